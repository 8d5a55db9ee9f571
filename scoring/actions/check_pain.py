"""After pain in a check set what works the same muscles is left out, as after a sore day's word.

Of every session of that day and of the next, not of the one alone for which the set was asked: a body that hurt in
the morning is no other in the evening.
"""

from __future__ import annotations

import datetime as dt
from typing import Final

from athletes.day import SORE
from athletes.models import DayChange, DayChangeEnd
from programming.calc.variation import Variation
from scoring.loadable import worked_groups
from scoring.models import CheckSet
from services.tenancy.actor import Actor

PAIN: Final = "pain"
SPARED_DAYS: Final = dt.timedelta(days=1)
"""Beyond the day itself (ours): by then somebody has talked to the athlete."""
NOTE: Final = (
    "Pain ended a check set: talk to the athlete, and end this only when the work is fine again. It holds for every"
    " session of the day and of the next."
)


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
        until=max(row.local_date + SPARED_DAYS, row.session.local_date),
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
