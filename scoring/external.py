"""External load of an athlete over some days, from the sets of results and from training logs. No writes.

Kilograms stand by pattern of movement, hard sets by muscle group, metres by movement or kind of training. None of
them is ever added to another: there is no common unit but effort times minutes, which load days have.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.db.models import Count, Exists, Q, QuerySet, Sum

from athletes.calc.external_load import DoneSet, MuscleSets, Volume, done_of
from athletes.calc.load import Figure
from athletes.catalogue import CatalogueVersion, versions
from athletes.models import TrainingLog
from athletes.performed import MassHistory, Settings, effective_kg, fraction_of
from athletes.queries import mass_histories
from programming.models import Movement
from scoring.actions.scores import latest_attempts
from scoring.actions.session_work import NOT_BELIEVED, TOTALS
from scoring.balance import Counted, WithoutSets
from scoring.believed import unbelieved_reviews
from scoring.models import SetLog

METHOD_VERSION: Final = 1
NO_DISTANCES: Final = "distances_not_known"
FAILURE: Final = "failure"


@dataclass(frozen=True)
class PatternVolume:
    pattern: str
    volume: Volume


@dataclass(frozen=True)
class MuscleGroupSets:
    muscle_group: str
    hard_sets: MuscleSets


@dataclass(frozen=True)
class MovementAmounts:
    """Of one movement what is not counted in repetitions, and how long its sets with a known time took. metres,
    kilocalories: None where no set is counted in them."""

    movement: UUID
    name: str
    pattern: str
    sets: int
    metres: float | None
    kilocalories: float | None
    minutes: float
    sets_without_time: int


@dataclass(frozen=True)
class LoggedAmounts:
    """Training beside the programme of one modality. metres: of sessions that told them, so many did not."""

    modality: str
    sessions: int
    minutes: float
    metres: Figure
    sessions_without_distance: int


@dataclass(frozen=True)
class ExternalLoad:
    """unknown_sets: counted in repetitions, of which nobody said how many were left; none of them is a hard one."""

    results: Counted
    volume_by_pattern: tuple[PatternVolume, ...]
    hard_sets_by_muscle_group: tuple[MuscleGroupSets, ...]
    unknown_sets: int
    by_movement: tuple[MovementAmounts, ...]
    logged: tuple[LoggedAmounts, ...]
    method_version: int = METHOD_VERSION


def external_load(athlete_id: UUID, first: dt.date, last: dt.date) -> ExternalLoad:
    """Of days, both included (six queries, however many results there are).

    Of results that nobody believes, and of totals, no sets are known: they are counted as such.
    """
    attempts = _attempts(athlete_id, first, last)
    believed = {attempt: day for attempt, day, doubted in attempts if not doubted}
    rows = list(SetLog.objects.filter(attempt_id__in=believed).order_by("attempt_id", "ordinal"))
    known = versions({row.variation_version_id for row in rows})
    movements = _movements({one.movement_id for one in known.values()})
    masses = mass_histories([athlete_id])[athlete_id]
    sets = [_done(row, known[row.variation_version_id], believed[row.attempt_id], masses) for row in rows]
    done = done_of(sets)
    return ExternalLoad(
        results=_counted(attempts, {row.attempt_id for row in rows}),
        volume_by_pattern=_volumes(sets, movements),
        hard_sets_by_muscle_group=tuple(MuscleGroupSets(*one) for one in done.hard_sets.items()),
        unknown_sets=sum(
            one.repetitions is not None and one.reserve is None and not one.failed for one in sets
        ),
        by_movement=_amounts(sets, movements),
        logged=_logged(athlete_id, first, last),
    )


def _attempts(athlete_id: UUID, first: dt.date, last: dt.date) -> list[tuple[UUID, dt.date, bool]]:
    rows = latest_attempts(athlete_id).filter(local_date__range=(first, last))
    found: QuerySet[Any, Any] = rows.annotate(doubted=Exists(unbelieved_reviews("id")))
    return list(found.values_list("id", "local_date", "doubted"))


def _movements(ids: Iterable[UUID]) -> dict[str, Movement]:
    return {str(row.id): row for row in Movement.objects.filter(id__in=set(ids))}


def _done(row: SetLog, version: CatalogueVersion, day: dt.date, masses: MassHistory) -> DoneSet:
    return DoneSet(
        movement=str(version.movement_id),
        repetitions=None if row.repetitions is None else float(row.repetitions),
        moved_kg=_moved(row, version, masses.on(day)),
        failed=row.ended_by == FAILURE,
        reserve=None if row.rir is None else float(row.rir),
        muscles=version.variation.muscle_groups,
        metres=row.distance_m,
        seconds=row.hold_s if row.duration_s is None else row.duration_s,
        kilocalories=row.energy_kcal,
    )


def _moved(row: SetLog, version: CatalogueVersion, body_mass_kg: float | None) -> float | None:
    """Kilograms of one repetition; 0 where assistance leaves nothing, None where nobody knows."""
    variation, settings = version.variation, Settings(row.load_kg, row.assistance_kg, row.height_cm)
    fraction = fraction_of(variation, row.height_cm)
    if fraction > 0.0 and body_mass_kg is None:
        return None
    if fraction == 0.0 and row.load_kg is None and "load" in variation.adjustable:
        return None
    return effective_kg(variation, settings, body_mass_kg) or 0.0


def _counted(attempts: Sequence[tuple[UUID, dt.date, bool]], with_sets: set[UUID]) -> Counted:
    reasons = [
        NOT_BELIEVED if doubted else TOTALS
        for attempt, _, doubted in attempts
        if doubted or attempt not in with_sets
    ]
    return Counted(len(attempts), tuple(WithoutSets(*one) for one in sorted(Counter(reasons).items())))


def _volumes(sets: Sequence[DoneSet], movements: Mapping[str, Movement]) -> tuple[PatternVolume, ...]:
    grouped: dict[str, list[DoneSet]] = defaultdict(list)
    for one in sets:
        if one.repetitions is not None:
            grouped[movements[one.movement].pattern].append(one)
    return tuple(PatternVolume(name, done_of(grouped[name]).volume) for name in sorted(grouped))


def _amounts(sets: Sequence[DoneSet], movements: Mapping[str, Movement]) -> tuple[MovementAmounts, ...]:
    grouped: dict[str, list[DoneSet]] = defaultdict(list)
    for one in sets:
        grouped[one.movement].append(one)
    found = [_of_movement(movements[key], listed) for key, listed in grouped.items()]
    return tuple(sorted(found, key=lambda one: (one.name, str(one.movement))))


def _of_movement(movement: Movement, sets: Sequence[DoneSet]) -> MovementAmounts:
    done, key = done_of(sets), str(movement.id)
    return MovementAmounts(
        movement=movement.id,
        name=movement.name,
        pattern=movement.pattern,
        sets=len(sets),
        metres=done.metres.get(key),
        kilocalories=done.kilocalories.get(key),
        minutes=done.minutes,
        sets_without_time=sum(one.seconds is None for one in sets),
    )


def _logged(athlete_id: UUID, first: dt.date, last: dt.date) -> tuple[LoggedAmounts, ...]:
    rows = TrainingLog.objects.filter(athlete_id=athlete_id, local_date__range=(first, last))
    summed = rows.values("modality").annotate(
        sessions=Count("id"),
        told_minutes=Sum("minutes"),
        metres=Sum("distance_m"),
        without=Count("id", filter=Q(distance_m=None)),
    )
    return tuple(
        LoggedAmounts(
            row["modality"],
            row["sessions"],
            row["told_minutes"],
            Figure(None, NO_DISTANCES) if row["metres"] is None else Figure(row["metres"]),
            row["without"],
        )
        for row in summed.order_by("modality")
    )
