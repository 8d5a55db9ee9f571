"""After pain in a check set what works the same muscles is left out of that session, as after a sore day's word."""

from __future__ import annotations

from typing import Final

from athletes.day import SORE
from athletes.models import DayChange, DayChangeEnd
from programming.calc.variation import Variation
from scoring.loadable import worked_groups
from scoring.models import CheckSet
from services.tenancy.actor import Actor

PAIN: Final = "pain"
NOTE: Final = "Pain ended a check set: talk to the athlete, and end this only when the work is fine again."


def spare_after_pain(*, actor: Actor, row: CheckSet, variation: Variation) -> None:
    """Make the change of the day that spares what the set worked, where it was ended by pain.

    Anybody who may change the day may end it. Of work that names no muscles what it may hurt by is spared.
    """
    groups = sorted(worked_groups(variation))
    if row.ended_by != PAIN or not (groups or variation.hazards):
        return
    DayChange.objects.create(
        org_id=actor.org_id,
        session_id=row.session_id,
        athlete_id=row.athlete_id,
        kind=SORE,
        hazards=[] if groups else sorted(variation.hazards),
        muscle_groups=groups,
        note=NOTE,
        client_id=_client_id(row),
        made_by_id=actor.person_id,
    )


def spare_no_longer(*, actor: Actor, replaced: CheckSet) -> None:
    """End the change that a mistyped set made, unless somebody has."""
    rows = DayChange.objects.filter(client_id=_client_id(replaced), ends__isnull=True)
    DayChangeEnd.objects.bulk_create(
        DayChangeEnd(org_id=actor.org_id, day_change=row, ended_by_id=actor.person_id) for row in rows
    )


def _client_id(row: CheckSet) -> str:
    return f"pain in check set {row.id}"
