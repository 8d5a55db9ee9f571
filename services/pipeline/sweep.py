"""What time alone makes due: a session comes within the seven days for which prescriptions are issued, a screening
expires, two weeks pass without training."""

import datetime as dt
from uuid import UUID

import structlog
from celery.exceptions import SoftTimeLimitExceeded
from django.utils import timezone
from prometheus_client import Counter

from athletes.safety_due import athletes_due_for_safety
from programming.horizon import PRESCRIBED_AHEAD
from scoring.queries import athletes_without_prescription
from services.api.idempotency import purge_expired
from services.changes.actions import LOW_PRIORITY, record_changes
from services.changes.relay import organisation_ids
from services.exchange.actions.exports import drop_expired
from services.exchange.actions.imports import give_up
from services.tenancy.context import tenant_transaction

log = structlog.get_logger(__name__)

SWEPT = Counter(
    "dosewright_swept_organisations", "Organisations that the sweep has seen, by outcome", ["outcome"]
)


def sweep_organisations() -> int:
    """Mark every athlete who has a coming session and no answer for it; returns the number of organisations done.

    Asks for what is missing now, not for what a clock should have brought: a missed run is made up by the
    next one, and a second run at once marks nothing that the first has not. Idempotency keys and exports
    whose time is over go as well. What goes wrong in one organisation is logged and counted, and stops no other one.
    """
    now = timezone.now()
    done = 0
    for org_id in organisation_ids():
        try:
            _sweep(org_id, now)
        except SoftTimeLimitExceeded:
            raise
        except Exception:
            SWEPT.labels("failed").inc()
            log.exception("sweep_failed", organisation=str(org_id))
        else:
            SWEPT.labels("done").inc()
            done += 1
    return done


def _sweep(org_id: UUID, now: dt.datetime) -> None:
    with tenant_transaction(org_id):
        missing = athletes_without_prescription(now, now + PRESCRIBED_AHEAD)
        restrained = athletes_due_for_safety(now, now + PRESCRIBED_AHEAD)
        record_changes(kind="athlete", subjects=[*missing, *restrained], priority=LOW_PRIORITY)
        purge_expired(now=now)
        drop_expired(now=now)
        give_up(now=now)
