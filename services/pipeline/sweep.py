"""What time alone makes due: sessions that come within the seven days for which prescriptions are issued."""

from datetime import timedelta

from django.utils import timezone

from athletes.queries import athletes_of_location
from programming.queries import locations_with_sessions_between
from scoring.actions.prescriptions import HORIZON
from services.changes.actions import LOW_PRIORITY, record_changes
from services.changes.relay import organisation_ids
from services.tenancy.context import tenant_transaction


def sweep_organisations() -> int:
    """Mark every athlete for whom a session has come into the horizon; returns the number of organisations.

    Looks back a day beyond its own period, so that a missed run is made up by the next one; marking twice
    costs a recompute that finds nothing changed.
    """
    now = timezone.now()
    organisations = organisation_ids()
    for org_id in organisations:
        with tenant_transaction(org_id):
            entering = locations_with_sessions_between(now + HORIZON - timedelta(days=1), now + HORIZON)
            for location_id in entering:
                record_changes(
                    kind="athlete",
                    subjects=athletes_of_location(location_id).values_list("id", flat=True),
                    priority=LOW_PRIORITY,
                )
    return len(organisations)
