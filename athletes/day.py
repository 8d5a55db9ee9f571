"""What is different for one athlete in one session: kit in use, something sore, a drop-in."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet

from athletes.models import DayChange, DayChangeEnd
from services.tenancy.compiled import Given, any_of, compiled

KIT_IN_USE: Final = "kit_in_use"
SORE: Final = "sore"
DROP_IN: Final = "drop_in"
KINDS: Final = (KIT_IN_USE, SORE, DROP_IN)


@dataclass(frozen=True)
class Day:
    """All standing changes of an athlete's session together; `ids` ascending."""

    ids: tuple[UUID, ...] = ()
    items: frozenset[str] = frozenset()
    hazards: frozenset[str] = frozenset()
    muscle_groups: frozenset[str] = frozenset()
    drop_in: bool = False

    def told(self) -> dict[str, object]:
        """As a prescription's content says it: plain values in a fixed order."""
        return {
            "kit_in_use": sorted(self.items),
            "sore_hazards": sorted(self.hazards),
            "sore_muscle_groups": sorted(self.muscle_groups),
            "drop_in": self.drop_in,
        }


AS_USUAL: Final = Day()


def standing_day_changes() -> QuerySet[DayChange]:
    """Those that nobody has ended."""
    return DayChange.objects.filter(~Exists(DayChangeEnd.objects.filter(day_change=OuterRef("id"))))


def days_of(athlete_id: UUID, dates: Mapping[UUID, dt.date]) -> dict[UUID, Day]:
    """By session what is different for the athlete; sessions without a change are left out (one query).

    dates: of the sessions that are asked about. A change that lasts holds for those of other sessions as well.
    """
    rows: dict[UUID, list[DayChange]] = defaultdict(list)
    first = min(dates.values(), default=dt.date.max)
    for row in _changes(athlete=athlete_id, sessions=list(dates), first=first):
        for session_id, date in dates.items():
            if row.session_id == session_id or (row.until is not None and date <= row.until):
                rows[session_id].append(row)
    return {
        session_id: Day(
            ids=tuple(row.id for row in found),
            items=frozenset(item for row in found for item in row.items),
            hazards=frozenset(hazard for row in found for hazard in row.hazards),
            muscle_groups=frozenset(group for row in found for group in row.muscle_groups),
            drop_in=any(row.kind == DROP_IN for row in found),
        )
        for session_id, found in rows.items()
    }


@compiled
def _changes(athlete: Given, sessions: Given, first: Given) -> QuerySet[DayChange]:
    theirs = Q(session_id=any_of(sessions)) | Q(until__gte=first)
    return standing_day_changes().filter(theirs, athlete_id=athlete).order_by("id")


def drop_ins() -> QuerySet[DayChange]:
    """Who takes part in which session as a guest."""
    return standing_day_changes().filter(kind=DROP_IN)
