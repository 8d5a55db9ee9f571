"""What time alone makes due: a session comes within the seven days for which prescriptions are issued."""

from django.utils import timezone

from scoring.actions.prescriptions import HORIZON
from scoring.queries import athletes_without_prescription
from services.api.idempotency import purge_expired
from services.changes.actions import LOW_PRIORITY, record_changes
from services.changes.relay import organisation_ids
from services.tenancy.context import tenant_transaction


def sweep_organisations() -> int:
    """Mark every athlete who has a coming session and no answer for it; returns the number of organisations.

    Asks for what is missing now, not for what a clock should have brought: a missed run is made up by the
    next one, and a second run at once marks nothing that the first has not. Idempotency keys whose time is
    over go as well.
    """
    now = timezone.now()
    organisations = organisation_ids()
    for org_id in organisations:
        with tenant_transaction(org_id):
            missing = athletes_without_prescription(now, now + HORIZON)
            record_changes(kind="athlete", subjects=missing, priority=LOW_PRIORITY)
            purge_expired(now=now)
    return len(organisations)
