"""Progression of an athlete in a movement: how the capacity went, what changed since a date, bests, tests due.

Everything is told in the terms in which somebody speaks of the movement: repetitions to failure where the body is
moved, the one-repetition maximum of a barbell, seconds of a hold, critical power or speed. Rested, and of an ordinary
day: a best may lie above. Worked out when it is read, from the rows that the capacity was computed from.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from math import expm1
from typing import Final
from uuid import UUID

from athletes.calc.bests import Best
from athletes.calc.course import Spread, own_change
from athletes.calc.typical_error import minimal_detectable_change
from athletes.capacity_notes import SpreadOfDue, spread_of_due, test_due_of
from athletes.models import Athlete
from athletes.performed import Settings
from athletes.progress_bests import bests_of
from athletes.progress_courses import MAXIMUM, Told, told_of
from athletes.progress_error import OWN_ERROR, USUAL_ERROR, own_error
from athletes.progress_rows import Known, Material, materials_of
from athletes.progress_worth import worthwhile_of

NEVER_OBSERVED: Final = "never_observed"
SAME_DAY: Final = "same_day"
NOT_ONE_TEST: Final = "not_one_test"
MOST_POINTS: Final = 24
"""Of the newest days with a sight; the capacity's own history has more."""


@dataclass(frozen=True)
class Point:
    """A day with a sight, the day that the change is counted from, or today; value None with its reason."""

    local_date: dt.date
    value: Spread | None
    value_reason: str | None


@dataclass(frozen=True)
class Change:
    """From one day to another. amount: in own terms, None with its reason; percent: of the load or power at the same
    work. improved, neither and declined add to 1."""

    counted_from: dt.date
    counted_until: dt.date
    amount: Spread | None
    amount_reason: str | None
    percent: Spread
    improved: float
    neither: float
    declined: float
    smallest_worthwhile_percent: float
    smallest_worthwhile_from: str


@dataclass(frozen=True)
class Detectable:
    """What two tests, one then and one now, could tell apart, in own terms."""

    typical_error: float
    typical_error_from: str
    change: float


@dataclass(frozen=True)
class Progress:
    """One movement; measure and unit are the own terms, None with `points_reason` where nothing tells of them."""

    movement_id: UUID
    movement: str
    capacity_kind: str
    measure: str | None
    unit: str | None
    variation_id: UUID | None
    variation: str | None
    settings: Settings
    points: tuple[Point, ...]
    points_reason: str | None
    change: Change | None
    change_reason: str | None
    detectable: Detectable | None
    detectable_reason: str | None
    bests: tuple[Best, ...]
    bests_left_out: int
    test_due_reason: str | None
    spread: SpreadOfDue | None
    spread_reason: str | None
    method: str
    prior_number: int
    inputs: str | None


@dataclass(frozen=True)
class Asked:
    """What is asked: since which day a change counts, today, and the smallest change in percent that is worth a word
    (None: the usual one)."""

    since: dt.date
    today: dt.date
    worthwhile_percent: float | None = None


def progression_of(athlete: Athlete, asked: Asked, movement_id: UUID | None = None) -> tuple[Progress, ...]:
    """By movement, of all that were seen or of one (nine queries)."""
    material = materials_of([athlete.id], movement_id)[athlete.id]
    return tuple(progress_of(material, known, asked) for known in material.known)


def progress_of(material: Material, known: Known, asked: Asked) -> Progress:
    done = material.last_done(known.movement_id)
    told = None if done is None else told_of(material, known, done, asked.since, asked.today, MOST_POINTS)
    bests, left_out = bests_of(material, known.movement_id)
    change, change_reason = (None, NEVER_OBSERVED) if told is None else change_of(told, known, asked)
    detectable, why_not = _detectable(told, material, known.movement_id)
    points = () if told is None else _points(told)
    spread = None if told is None else spread_of_due(told.course.states[-1])
    return Progress(
        movement_id=known.movement_id,
        movement=known.movement,
        capacity_kind=known.kind,
        measure=None if told is None else told.scale.measure,
        unit=None if told is None else told.scale.unit,
        variation_id=None if done is None else done.version.variation_id,
        variation=None if done is None else done.version.variation.key,
        settings=Settings() if done is None else done.settings,
        points=points,
        points_reason=None if points else NEVER_OBSERVED,
        change=change,
        change_reason=change_reason,
        detectable=detectable,
        detectable_reason=why_not,
        bests=bests,
        bests_left_out=left_out,
        test_due_reason=NEVER_OBSERVED if told is None else test_due_of(told.course.states[-1]),
        spread=spread,
        spread_reason=None if spread else NEVER_OBSERVED,
        method="" if told is None else told.method,
        prior_number=known.prior_number,
        inputs=None if told is None else told.inputs,
    )


def _points(told: Told) -> tuple[Point, ...]:
    return tuple(
        Point(dt.date.fromordinal(day), *told.scale.value(state, day))
        for day, state in zip(told.course.days, told.course.states, strict=True)
    )


def change_of(told: Told, known: Known, asked: Asked) -> tuple[Change | None, str | None]:
    """(change, None), or None with the reason."""
    days = told.course.days
    start = max(min(asked.since.toordinal(), days[-1]), told.first_day)
    if start >= days[-1]:
        return None, SAME_DAY
    index = days.index(start)
    pair, reason = told.scale.relative(told.course.pair(index), start, days[-1])
    if pair is None:
        return None, reason
    worth = worthwhile_of(known.prior, asked.worthwhile_percent)
    chances, spread = pair.chances(worth.log), pair.spread()
    ends = [told.scale.value(told.course.states[n], days[n])[1] for n in (index, -1)]
    why_not = next((one for one in ends if one is not None), None)
    return (
        Change(
            dt.date.fromordinal(start),
            dt.date.fromordinal(days[-1]),
            None if why_not else own_change(pair, told.scale.terms),
            why_not,
            Spread(*(100.0 * expm1(value) for value in (spread.lower, spread.median, spread.upper))),
            chances.improved,
            chances.neither,
            chances.declined,
            worth.percent,
            worth.origin,
        ),
        None,
    )


def _detectable(
    told: Told | None, material: Material, movement_id: UUID
) -> tuple[Detectable | None, str | None]:
    """By the athlete's own repeated tests, else at what is available today by the usual error of such a test."""
    done = material.last_done(movement_id)
    if told is None or done is None:
        return None, NEVER_OBSERVED
    if told.scale.error is None:
        return None, NOT_ONE_TEST
    own = own_error(material, movement_id, done, maximum=told.scale.measure == MAXIMUM[0])
    if own is not None:
        return Detectable(own, OWN_ERROR, minimal_detectable_change(own)), None
    value, reason = told.scale.value(told.course.states[-1], told.course.days[-1])
    if value is None:
        return None, reason
    error = told.scale.error(value.median)
    return Detectable(error, USUAL_ERROR, minimal_detectable_change(error)), None
