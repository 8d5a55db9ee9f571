"""What the calculation last gave, where a person has given the prescription. No writes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db.models import Q

from scoring.models import Prescription


def worked_out(prescription: Prescription) -> Mapping[str, Any]:
    """The newest content that the calculation gave, and no person: the measure of what an override asks more (one
    query where a person gave the prescription).
    """
    content: Mapping[str, Any] = prescription.content
    if content.get("overridden_by") is None:
        return content
    by_nobody = Q(content__overridden_by__isnull=True) | Q(content__overridden_by=None)
    rows = Prescription.objects.filter(
        by_nobody, athlete=prescription.athlete_id, session=prescription.session_id
    )
    return rows.order_by("-number").values_list("content", flat=True).first() or content
