"""What the recompute will prescribe after a check set, told to whoever stands there with the bar.

By the steps of the recompute itself and on the same rows, so that the version named at once is the one that follows;
what they write is taken back, since prescriptions are issued by the recompute only.
"""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Mapping
from typing import Any, Final

from django.db import connection, transaction

from athletes.actions.capacities import recompute_capacities
from scoring.actions.prescriptions import issue_prescriptions
from scoring.models import Prescription

logger = logging.getLogger(__name__)

PATIENCE: Final = "200ms"
"""How long to wait for a row that a recompute of this athlete holds: less than after which a deadlock is looked for,
so that a recompute is never ended for this answer (ours)."""


def content_after(prescription: Prescription, now: dt.datetime) -> Mapping[str, Any] | None:
    """The content of the next prescription of the same athlete and session, or of the one that stands where it says
    the same; None where it cannot be told at once.

    A set that is stored stays so whatever goes wrong here: a calculation that fails is logged, and fails again in the
    recompute, where somebody is told.
    """
    try:
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SELECT set_config('lock_timeout', %s, true)", [PATIENCE])
            recompute_capacities(athlete_id=prescription.athlete_id, today=now.date())
            issue_prescriptions(athlete_id=prescription.athlete_id, now=now, only={prescription.session_id})
            content = _newest(prescription)
            transaction.set_rollback(True)
    except Exception:
        logger.exception("What follows from a check set could not be told at once.")
        return None
    return content


def _newest(prescription: Prescription) -> Mapping[str, Any]:
    rows = Prescription.objects.filter(athlete=prescription.athlete_id, session=prescription.session_id)
    content: Mapping[str, Any] = rows.order_by("-number").values_list("content", flat=True)[0]
    return content
