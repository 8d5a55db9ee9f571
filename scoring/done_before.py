"""What somebody has done before: which variations, whether a capacity is kept of them or not, and with what loads."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import reduce
from operator import or_
from typing import Any, Final
from uuid import UUID

from django.db.models import (
    Exists,
    F,
    FloatField,
    Max,
    OuterRef,
    Q,
    QuerySet,
    TextField,
    UUIDField,
    Value,
)

from athletes.models import Assessment, Observation
from programming.calc.variation import UNITS
from scoring.believed import unbelieved_reviews
from scoring.models import Attempt, SetLog
from services.tenancy.compiled import Given, any_of, compiled

VARIATION: Final = "variation_version__variation_id"
CHECK_SET: Final = "check_set"
"""Source of the observations that check sets tell."""


@dataclass(frozen=True)
class Done:
    """Of one athlete.

    variations: those that stand in a log, a test or an observation; observations alone would not do: none is written
    of work that no capacity tells of, which would stay on its easiest version for ever. heaviest: by variation the
    heaviest load [kg] that stands in a log or a test, of those with a load: one light set is no sign that the body
    knows a heavy one, nor is a heavy one that pain ended. only_checked: movements and variations that were seen in
    check sets alone.

    What a correction replaced counts for nothing, nor does a result that nobody believes, or that somebody has yet to
    look at, nor a set of nothing.
    """

    variations: frozenset[UUID]
    heaviest: Mapping[UUID, float]
    only_checked: frozenset[UUID]


def done_before(athlete_ids: Collection[UUID]) -> dict[UUID, Done]:
    """By athlete what was done; one query."""
    ids = list(athlete_ids)
    found: dict[UUID, list[_Row]] = defaultdict(list)
    read = _done_by_one(athlete=ids[0]) if len(ids) == 1 else _done_by(athletes=ids)
    for athlete_id, *row in read:
        found[athlete_id].append(_Row(*row))
    return {athlete_id: _together(found[athlete_id]) for athlete_id in athlete_ids}


@dataclass(frozen=True)
class _Row:
    """A variation in logs and tests with the heaviest load, or in the observations of one source and movement."""

    variation: UUID
    heaviest_kg: float | None
    source: str | None
    movement: UUID | None


def _together(rows: Collection[_Row]) -> Done:
    heaviest: dict[UUID, float] = {}
    seen: dict[bool, set[UUID]] = {True: set(), False: set()}
    for row in rows:
        if row.heaviest_kg is not None:
            heaviest[row.variation] = max(row.heaviest_kg, heaviest.get(row.variation, 0.0))
        if row.movement is not None:
            seen[row.source == CHECK_SET].update((row.variation, row.movement))
    return Done(frozenset(row.variation for row in rows), heaviest, frozenset(seen[True] - seen[False]))


@compiled
def _done_by(athletes: Given) -> QuerySet[Any, Any]:
    return _rows(any_of(athletes))


@compiled
def _done_by_one(athlete: Given) -> QuerySet[Any, Any]:
    """A statement of its own: of a list nobody knows how long it is, so that it would be planned at every call."""
    return _rows(athlete)


def _rows(athletes: Given) -> QuerySet[Any, Any]:
    seen = Observation.objects.filter(athlete_id=athletes).order_by()
    told: QuerySet[Any, Any] = seen.values_list("athlete_id", VARIATION).annotate(
        heaviest_kg=Value(None, FloatField()), told_by=F("source"), told_of=F("movement_id")
    )
    return told.union(
        _loads(_logged_sets(athletes), "attempt__athlete_id"), _loads(_tests(athletes), "athlete_id")
    )


def _loads(rows: QuerySet[Any], athlete: str) -> QuerySet[Any, Any]:
    """The heaviest load of each variation, beside what only observations tell."""
    loads: QuerySet[Any, Any] = (
        rows.order_by()
        .values_list(athlete, VARIATION)
        .annotate(
            heaviest_kg=Max("load_kg", filter=~Q(ended_by="pain")),
            told_by=Value(None, TextField()),
            told_of=Value(None, UUIDField()),
        )
    )
    return loads


def _logged_sets(athletes: Given) -> QuerySet[SetLog]:
    """From the athletes' own results on: who begins with the sets goes through those of the whole organisation."""
    later = Attempt.objects.filter(replaces=OuterRef("id"))
    counted = Attempt.objects.filter(~Exists(later), ~Exists(unbelieved_reviews("id")), athlete_id=athletes)
    return SetLog.objects.filter(something(), attempt__in=counted.order_by().values("id"))


def _tests(athletes: Given) -> QuerySet[Assessment]:
    later = Assessment.objects.filter(replaces=OuterRef("id"))
    return Assessment.objects.filter(~Exists(later), something(), athlete_id=athletes)


def something() -> Q:
    """Of sets and tests: those of which anything was done."""
    return reduce(or_, (Q(**{f"{unit}__gt": 0}) for unit in UNITS))
