"""How the capacity of an athlete in a movement went, as everything that was seen tells it today."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from athletes.calc.columns import as_history
from athletes.calc.smooth import capacity_history
from athletes.capacities import METHOD, Inputs, inputs_of
from athletes.capacity_inputs import absences_of, person_of, seen_by_movement, work_by_movement
from athletes.models import Athlete, Capacity
from athletes.queries import mass_histories
from programming.calc.catalogue import LOAD_REPETITION
from programming.models import Movement
from services.problems import NotFound

NEVER_OBSERVED: Final = "never_observed"
NOT_LOAD_REPETITION: Final = "not_load_repetition"
MOST_POINTS: Final = 60


@dataclass(frozen=True)
class Interval:
    """Median; 80 % lie between lower and upper."""

    median: float
    lower: float
    upper: float


@dataclass(frozen=True)
class Point:
    """A day with a sight, or today: the load in kg for ten repetitions in the variation that was seen most."""

    local_date: dt.date
    ten_repetition_kg: Interval


@dataclass(frozen=True)
class History:
    """Ascending points, none with the reason."""

    movement_id: UUID
    movement: str
    points: tuple[Point, ...]
    points_reason: str | None
    method: str
    prior_number: int | None
    inputs: str | None


def history_of(athlete: Athlete, movement_id: UUID, today: dt.date) -> History:
    """The newest MOST_POINTS days (ten queries). Raises NotFound for a movement that the organisation has not."""
    movement = Movement.objects.filter(id=movement_id).first()
    if movement is None:
        raise NotFound()
    if movement.capacity_kind != LOAD_REPETITION:
        return _empty(movement, NOT_LOAD_REPETITION)
    row = Capacity.objects.filter(athlete=athlete, movement=movement).select_related("prior").first()
    inputs = None if row is None else _inputs(athlete.id, row)
    if row is None or inputs is None:
        return _empty(movement, NEVER_OBSERVED)
    points = _points(inputs, today)
    reason = None if points else NEVER_OBSERVED
    number = row.prior.number
    return History(movement.id, movement.key, points, reason, METHOD, number, inputs.fingerprint())


def _empty(movement: Movement, reason: str) -> History:
    return History(movement.id, movement.key, (), reason, METHOD, None, None)


def _inputs(athlete_id: UUID, row: Capacity) -> Inputs | None:
    """Of the stored sights and the prior that the row was computed with."""
    masses = mass_histories([athlete_id])[athlete_id]
    person = person_of(athlete_id)
    seen = seen_by_movement(athlete_id, masses, person.sex)[0].get(row.movement_id)
    if not seen:
        return None
    work = work_by_movement(athlete_id).get(row.movement_id, ())
    document = row.prior.document["movements"][str(row.movement_id)]
    return inputs_of(seen, document, row.prior.number, masses, absences_of(athlete_id), work, person)


def _points(inputs: Inputs, today: dt.date) -> tuple[Point, ...]:
    telling = as_history(inputs.observations).day
    if not telling.size:
        return ()
    last = max(today.toordinal(), int(telling[-1]))
    days = sorted({*telling.tolist(), last})[-MOST_POINTS:]
    found = capacity_history(
        inputs.prior, inputs.observations, days, absences=inputs.absences, work=inputs.work
    )
    lower, upper = found.interval()
    return tuple(
        Point(
            dt.date.fromordinal(day),
            Interval(math.exp(found.mean[n]), math.exp(lower[n]), math.exp(upper[n])),
        )
        for n, day in enumerate(days)
    )
