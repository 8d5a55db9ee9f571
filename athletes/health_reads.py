"""Kinds of statements about health whose reading is written down, and who may read that."""

from __future__ import annotations

from typing import Final

from django.db.models import QuerySet

from athletes.models import HealthRead
from services.tenancy.actor import Actor, Role

WELLNESS: Final = "wellness"
REPORTS: Final = "reports"
LIMITATIONS: Final = "limitations"
SCREENINGS: Final = "screenings"
HEART_RATE: Final = "heart_rate"
KINDS: Final = (WELLNESS, REPORTS, LIMITATIONS, SCREENINGS, HEART_RATE)


def health_reads_visible_to(actor: Actor) -> QuerySet[HealthRead]:
    """All of the organisation for its owner, none for anybody else."""
    rows = HealthRead.objects.all()
    return rows if actor.role == Role.OWNER else rows.none()
