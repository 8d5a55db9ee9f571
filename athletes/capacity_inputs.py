"""What the recompute and the history of a capacity read of an athlete: sights, work and absences. No writes."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from athletes.actions.observations import SPENT_FIELDS
from athletes.calc.capacity import Absence, Work
from athletes.calc.capacity import Observation as Seen
from athletes.capacities import Person, SeenRow, usable
from athletes.catalogue import CatalogueVersion, versions
from athletes.endurance import AmountRow
from athletes.models import Athlete, Observation, WorkDone
from athletes.performed import MassHistory, Settings
from athletes.queries import confirmed_absences
from programming.calc.catalogue import CYCLICAL, HOLD
from programming.calc.variation import REPETITIONS
from services.tenancy.compiled import Given, compiled

SEEN_FIELDS = (
    "movement_id",
    "variation_version_id",
    "local_date",
    "hour",
    "kind",
    "load_kg",
    "assistance_kg",
    "height_cm",
    "repetitions",
    "rir",
    "weight",
    "unit",
    "amount",
    "seconds",
    *SPENT_FIELDS,
)


Rows = dict[UUID, list[SeenRow]]
Amounts = dict[UUID, list[AmountRow]]


def seen_by_movement(
    athlete_id: UUID, masses: MassHistory, sex: str
) -> tuple[dict[UUID, list[Seen]], Amounts, dict[UUID, CatalogueVersion]]:
    """Usable sets, holds and trials of each movement, and the versions that were done (two queries)."""
    rows, amounts = rows_by_movement(_observed(athlete=athlete_id))
    known = versions(versions_in(rows, amounts))
    return *usable_by_movement(rows, amounts, known, masses, sex), known


def rows_by_movement(observed: Iterable[tuple[Any, ...]]) -> tuple[Rows, Amounts]:
    """Of stored observations as SEEN_FIELDS."""
    rows: Rows = defaultdict(list)
    amounts: Amounts = defaultdict(list)
    for (
        movement,
        version,
        day,
        hour,
        kind,
        *adjusted,
        done,
        rir,
        weight,
        unit,
        amount,
        seconds,
        least,
        usual,
        most,
    ) in observed:
        settings = Settings(*adjusted)
        if unit == REPETITIONS:
            spent = None if usual is None else (least, usual, most)
            rows[movement].append(
                SeenRow(movement, version, day, kind, settings, done, rir, weight, hour, spent)
            )
        else:
            told = AmountRow(movement, version, day, kind, settings, unit, amount, seconds, weight)
            amounts[movement].append(told)
    return rows, amounts


def versions_in(rows: Rows, amounts: Amounts) -> set[UUID]:
    """Which versions were done."""
    performed = {row.variation_version_id for listed in rows.values() for row in listed}
    return performed | {row.variation_version_id for listed in amounts.values() for row in listed}


def usable_by_movement(
    rows: Rows, amounts: Amounts, known: Mapping[UUID, CatalogueVersion], masses: MassHistory, sex: str
) -> tuple[dict[UUID, list[Seen]], Amounts]:
    """Sets that tell of strength, and holds and trials that tell of theirs, of movements that have any."""
    used = {movement: usable(listed, known, masses, sex) for movement, listed in rows.items()}
    kept = {
        movement: [row for row in listed if known[row.variation_version_id].capacity_kind in (HOLD, CYCLICAL)]
        for movement, listed in amounts.items()
    }
    return (
        {movement: listed for movement, listed in used.items() if listed},
        {movement: listed for movement, listed in kept.items() if listed},
    )


@compiled
def _observed(athlete: Given) -> QuerySet[Observation, tuple[Any, ...]]:
    return Observation.objects.filter(athlete_id=athlete).values_list(*SEEN_FIELDS)


def work_by_movement(athlete_id: UUID) -> dict[UUID, list[Work]]:
    """What sessions and tests held of each movement; what is doubted teaches nothing (one query)."""
    found: dict[UUID, list[Work]] = defaultdict(list)
    for movement, day, hour, done, failed in _work(athlete=athlete_id):
        found[movement].append(Work(day.toordinal(), done, min(failed, done), hour))
    return found


def telling_work() -> QuerySet[WorkDone]:
    """What was done of movements, without what is doubted: that teaches nothing."""
    return WorkDone.objects.filter(movement__isnull=False, repetitions__gt=0, doubted=False)


@compiled
def _work(athlete: Given) -> QuerySet[WorkDone, tuple[UUID, dt.date, float, float, float]]:
    rows = telling_work().filter(athlete_id=athlete)
    return rows.values_list("movement_id", "local_date", "hour", "repetitions", "failure_repetitions")


def person_of(athlete_id: UUID) -> Person:
    """What a prior asks of the athlete besides the body mass (one query)."""
    ((sex, born_on),) = _person(athlete=athlete_id)
    return Person(sex, born_on)


@compiled
def _person(athlete: Given) -> QuerySet[Athlete, tuple[str, dt.date | None]]:
    return Athlete.objects.filter(id=athlete).values_list("sex", "born_on")


def absences_of(athlete_id: UUID) -> list[Absence]:
    """As the calculation takes them (two queries)."""
    return [
        Absence(away.from_date.toordinal(), max(away.from_date, away.to_date).toordinal())
        for away in confirmed_absences(athlete_id)
    ]
