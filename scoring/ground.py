"""What an athlete's prescriptions rest on beside the sessions themselves, read at once."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from athletes.day import Day, days_of
from athletes.models import Capacity
from athletes.states import CapacityState
from scoring.done_before import done_before
from scoring.models import Attempt, CheckSet, Override, OverrideEnd, Prescription
from scoring.overriding import Named
from scoring.working_out import Known
from services.tenancy.compiled import Given, any_of, compiled
from services.tenancy.context import required_org

WITHDRAWN: Final = "withdrawn"
REPLACED: Final = "replaced"
FELL: Final = "fell"


@dataclass(frozen=True)
class Standing:
    """The athlete's newest prescription for a session."""

    number: int
    fingerprint: str


@dataclass(frozen=True)
class StandingOverride:
    """An override that nobody has ended."""

    id: UUID
    work: tuple[Named, ...]
    acknowledged: tuple[str, ...]
    reason: str
    made_by: UUID


@dataclass(frozen=True)
class Ground:
    """The mappings are by session, `capacities` by movement.

    checked: ids of the check sets, as texts; done: what they took, by work key and unit. variations: those done
    before; heaviest: of those with a load, by variation; only_checked: movements and variations that were seen in
    check sets alone; capacities: the trace of each.
    """

    org_id: UUID
    standing: Mapping[UUID, Standing]
    days: Mapping[UUID, Day]
    checked: Mapping[UUID, list[str]]
    done: Mapping[UUID, Mapping[tuple[str, str], float]]
    overrides: Mapping[UUID, StandingOverride]
    variations: frozenset[UUID]
    heaviest: Mapping[UUID, float]
    only_checked: frozenset[UUID]
    capacities: Mapping[UUID, Mapping[str, Any]]

    def known(self, session_id: UUID, states: Mapping[UUID, CapacityState]) -> Known:
        """What one of the sessions is worked out from; states: capacity by movement, as of the session."""
        return Known(
            states,
            self.variations,
            done=self.done.get(session_id, {}),
            only_checked=self.only_checked,
            heaviest=self.heaviest,
        )


def read_ground(athlete_id: UUID, dates: Mapping[UUID, dt.date]) -> Ground:
    """Of the sessions on these dates. Six queries."""
    session_ids = list(dates)
    checked, done = _checked(athlete_id, session_ids)
    before = done_before([athlete_id])[athlete_id]
    return Ground(
        org_id=required_org(),
        standing=standing_of(athlete_id, session_ids),
        days=days_of(athlete_id, dates),
        checked=checked,
        done=done,
        overrides=_overrides(athlete_id, session_ids),
        variations=before.variations,
        heaviest=before.heaviest,
        only_checked=before.only_checked,
        capacities=_traces(athlete_id),
    )


def standing_of(athlete_id: UUID, session_ids: Collection[UUID]) -> dict[UUID, Standing]:
    rows = _issued(athlete=athlete_id, sessions=list(session_ids))
    return {session_id: Standing(number, print_) for session_id, number, print_ in rows}


@compiled
def _issued(athlete: Given, sessions: Given) -> QuerySet[Prescription, tuple[UUID, int, str]]:
    rows = Prescription.objects.filter(athlete_id=athlete, session_id=any_of(sessions)).order_by("number")
    return rows.values_list("session_id", "number", "fingerprint")


def taken_of(athlete_id: UUID, session_ids: Collection[UUID]) -> set[UUID]:
    """Those of the sessions of which the athlete has a result (one query, none for no sessions)."""
    return set(_taken(athlete=athlete_id, sessions=list(session_ids))) if session_ids else set()


@compiled
def _taken(athlete: Given, sessions: Given) -> QuerySet[Attempt, UUID]:
    rows = Attempt.objects.filter(athlete_id=athlete, session_id=any_of(sessions))
    return rows.values_list("session_id", flat=True)


def standing_overrides() -> QuerySet[Override]:
    """Those that nobody and nothing has ended."""
    return Override.objects.filter(~Exists(OverrideEnd.objects.filter(override=OuterRef("id"))))


def _overrides(athlete_id: UUID, session_ids: Collection[UUID]) -> dict[UUID, StandingOverride]:
    rows = _overrides_of(athlete=athlete_id, sessions=list(session_ids))
    return {row.session_id: as_standing(row) for row in rows}


@compiled
def _overrides_of(athlete: Given, sessions: Given) -> QuerySet[Override]:
    rows = standing_overrides().filter(athlete_id=athlete, session_id=any_of(sessions))
    return rows.order_by("created_at", "id")


def as_standing(row: Override) -> StandingOverride:
    work = tuple(Named.from_json(one) for one in row.work)
    return StandingOverride(row.id, work, tuple(row.acknowledged), row.reason, row.made_by_id)


def _checked(
    athlete_id: UUID, session_ids: Collection[UUID]
) -> tuple[dict[UUID, list[str]], dict[UUID, dict[tuple[str, str], float]]]:
    """The check sets of each session, and what was done in them; a set that another one replaces was not done."""
    read = _check_sets(athlete=athlete_id, sessions=list(session_ids))
    replaced = {replaces for _, _, replaces, *_ in read}
    found: dict[UUID, list[str]] = defaultdict(list)
    done: dict[UUID, dict[tuple[str, str], float]] = defaultdict(lambda: defaultdict(float))
    for session_id, id_, _, work, unit, amount in read:
        found[session_id].append(str(id_))
        if id_ not in replaced:
            done[session_id][work, unit] += amount
    return found, done


@compiled
def _check_sets(athlete: Given, sessions: Given) -> QuerySet[CheckSet, tuple[Any, ...]]:
    rows = CheckSet.objects.filter(athlete_id=athlete, session_id=any_of(sessions)).order_by("id")
    return rows.values_list("session_id", "id", "replaces_id", "work", "unit", "amount")


def _traces(athlete_id: UUID) -> dict[UUID, dict[str, Any]]:
    return {
        movement_id: {
            "inputs": inputs,
            "observations": observations,
            "prior": prior,
            "method_version": method_version,
        }
        for movement_id, inputs, observations, prior, method_version in _traced(athlete=athlete_id)
    }


@compiled
def _traced(athlete: Given) -> QuerySet[Capacity, tuple[UUID, str, int, int, int]]:
    # Columns, not rows: the states and the prior's document are long, and not needed here.
    rows = Capacity.objects.filter(athlete_id=athlete)
    return rows.values_list("movement_id", "inputs", "observations", "prior__number", "method_version")
