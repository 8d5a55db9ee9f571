"""Which variations somebody has done before, whether or not a capacity is kept of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from functools import reduce
from operator import or_
from typing import Any
from uuid import UUID

from django.db.models import Exists, Max, OuterRef, Q, QuerySet

from athletes.models import Assessment, Observation
from programming.calc.variation import UNITS
from scoring.believed import unbelieved_reviews
from scoring.models import Attempt, SetLog
from services.tenancy.compiled import Given, any_of, compiled

VARIATION = "variation_version__variation_id"


def variations_done(athlete_ids: Collection[UUID]) -> Mapping[UUID, frozenset[UUID]]:
    """By athlete the variations that stand in a log, a test or an observation of theirs; one query.

    Observations alone would not do: none is written of work that no capacity tells of, which would stay on its
    easiest version for ever. What a correction replaced counts for nothing, nor does a result that nobody believes,
    or that somebody has yet to look at, nor a set of nothing.
    """
    found: dict[UUID, set[UUID]] = defaultdict(set)
    for athlete_id, variation_id in _done(athletes=list(athlete_ids)):
        found[athlete_id].add(variation_id)
    return {athlete_id: frozenset(found[athlete_id]) for athlete_id in athlete_ids}


@compiled
def _done(athletes: Given) -> QuerySet[Observation, tuple[UUID, UUID]]:
    seen = Observation.objects.filter(athlete_id=any_of(athletes)).values_list("athlete_id", VARIATION)
    logged = _logged_sets(athletes).order_by().values_list("attempt__athlete_id", VARIATION)
    tested = _tests(athletes).order_by().values_list("athlete_id", VARIATION)
    return seen.order_by().union(logged, tested)


def heaviest_done(athlete_id: UUID) -> Mapping[UUID, float]:
    """By variation the heaviest load [kg] that stands in a log or a test of the athlete, of those with a load; one
    query. One light set is no sign that the body knows a heavy one, nor is a heavy one that pain ended.
    """
    found: dict[UUID, float] = {}
    for variation_id, load_kg in _heaviest(athletes=[athlete_id]):
        if load_kg is not None:
            found[variation_id] = max(load_kg, found.get(variation_id, 0.0))
    return found


@compiled
def _heaviest(athletes: Given) -> QuerySet[Any, Any]:
    sets, tested = (rows.exclude(ended_by="pain") for rows in (_logged_sets(athletes), _tests(athletes)))
    rows = sets.order_by().values_list(VARIATION).annotate(Max("load_kg"))
    return rows.union(tested.order_by().values_list(VARIATION).annotate(Max("load_kg")))


def _logged_sets(athletes: Given) -> QuerySet[SetLog]:
    later = Attempt.objects.filter(replaces=OuterRef("attempt_id"))
    return SetLog.objects.filter(
        ~Exists(later),
        ~Exists(unbelieved_reviews("attempt_id")),
        something(),
        attempt__athlete_id=any_of(athletes),
    )


def _tests(athletes: Given) -> QuerySet[Assessment]:
    later = Assessment.objects.filter(replaces=OuterRef("id"))
    return Assessment.objects.filter(~Exists(later), something(), athlete_id=any_of(athletes))


def something() -> Q:
    """Of sets and tests: those of which anything was done."""
    return reduce(or_, (Q(**{f"{unit}__gt": 0}) for unit in UNITS))
