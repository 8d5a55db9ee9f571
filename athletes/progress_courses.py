"""The course of a capacity of whichever kind, and the terms in which it is told. No writes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, replace
from math import log
from typing import Any, Final

import numpy as np

from athletes.calc.capacity import Capacity as LoadCapacity
from athletes.calc.capacity import after_body_mass, one_rm, repetitions_at
from athletes.calc.columns import as_history
from athletes.calc.course import Course, Pair, Spread, Terms, telling_days
from athletes.calc.critical import CriticalCapacity, critical_after_body_mass
from athletes.calc.critical_course import course_of_trials
from athletes.calc.hold import HoldCapacity, hold_after_body_mass
from athletes.calc.hold_course import course_of_holds
from athletes.calc.hold_forecast import seconds_at
from athletes.calc.hold_seen import hold_history
from athletes.calc.record import body_mass_variance
from athletes.calc.smooth import course_of_load
from athletes.calc.terms import HoldTerms, MaximumTerms, PlainTerms, RepetitionTerms
from athletes.calc.trial_forecast import critical_of
from athletes.calc.trials import columns
from athletes.calc.typical_error import (
    usual_error_of_hold,
    usual_error_of_maximum,
    usual_error_of_repetitions,
)
from athletes.capacities import METHOD, Inputs
from athletes.described import BODY_MASS_MISSING, NOT_A_LOAD
from athletes.endurance import CRITICAL_METHOD, HOLD_METHOD, CriticalInputs, HoldInputs
from athletes.performed import effective_kg, fraction_of
from athletes.progress_rows import Known, LastDone, Material
from athletes.states import CapacityState
from programming.calc.movement_prior import SPEED

Valued = tuple[Spread | None, str | None]

REPETITIONS: Final = ("repetitions_to_failure", "repetitions")
MAXIMUM: Final = ("one_repetition_maximum", "kg")
SECONDS: Final = ("seconds_held", "s")
POWER: Final = ("critical_power", "W")
VELOCITY: Final = ("critical_speed", "m/s")


@dataclass(frozen=True)
class Scale:
    """Own terms: `measure` in `unit`; error: usual for a test that gave a value, None where one test gives none.

    load_kg: on a running day number, or None with the reason; of terms without a load 1.
    """

    measure: str
    unit: str
    terms: Terms
    load_kg: Callable[[int], tuple[float | None, str | None]]
    at: Callable[[Any, float], Valued]
    error: Callable[[float], float] | None

    def value(self, state: CapacityState, day: int) -> Valued:
        """What a state is in own terms on its day; None with the reason."""
        load_kg, reason = self.load_kg(day)
        return (None, reason) if load_kg is None else self.at(state, load_kg)

    def relative(self, pair: Pair, earlier: int, later: int) -> tuple[Pair | None, str | None]:
        """Against what has to be moved on each of the two days."""
        (before, why), (after, why_after) = self.load_kg(earlier), self.load_kg(later)
        if before is None or after is None:
            return None, why or why_after
        return pair.relative(log(before), log(after)), None


@dataclass(frozen=True)
class Told:
    """A course with its terms, and where it comes from; first_day: of the first sight."""

    course: Course[Any]
    scale: Scale
    first_day: int
    method: str
    inputs: str


def told_of(
    material: Material, known: Known, done: LastDone, since: dt.date, today: dt.date, most: int
) -> Told | None:
    """None where no sight tells anything. most: days, besides the one that is asked for."""
    inputs = material.inputs(known)
    if inputs is None:
        return None
    seen = _days_seen(inputs)
    if not seen:
        return None
    days = telling_days(seen, today.toordinal(), since.toordinal(), most)
    if isinstance(inputs, Inputs):
        changed = inputs.body_masses_kg if inputs.body_mass_changed else None
        course = _widened(_of_load(inputs, days, done), changed, seen)
        return Told(course, _load_scale(material, done, course), min(seen), METHOD, inputs.fingerprint())
    absences = inputs.between.absences
    if isinstance(inputs, HoldInputs):
        held = course_of_holds(inputs.start, inputs.seen, days, absences=absences)
        course, scale = held, _hold_scale(material, done, held)
        method = HOLD_METHOD
    else:
        tried = course_of_trials(inputs.start, inputs.seen, days, absences=absences)
        course, scale = tried, _critical_scale(inputs.start.measure)
        method = CRITICAL_METHOD
    course = _widened(course, inputs.between.mass_change, seen)
    return Told(course, scale, min(seen), method, inputs.fingerprint())


def _days_seen(inputs: Inputs | HoldInputs | CriticalInputs) -> list[int]:
    """On which something was seen that tells."""
    if isinstance(inputs, Inputs):
        found = as_history(inputs.observations).day
    elif isinstance(inputs, HoldInputs):
        found = hold_history(inputs.seen).day
    else:
        found = np.concatenate([trials.day for trials in columns(inputs.seen)])
    return sorted(set(found.tolist()))


def _of_load(inputs: Inputs, days: tuple[int, ...], done: LastDone) -> Course[LoadCapacity]:
    return course_of_load(
        inputs.prior,
        inputs.observations,
        days,
        done.version.variation.key,
        absences=inputs.absences,
        work=inputs.work,
    )


def _widened(course: Course[Any], masses_kg: tuple[float, float] | None, seen: list[int]) -> Course[Any]:
    """When the body mass has changed much since the last sight: less certain on the last day."""
    if masses_kg is None or course.days[-1] <= seen[-1]:
        return course
    added = np.zeros(len(course.days))
    added[-1] = body_mass_variance(*masses_kg)
    last = _after_body_mass(course.states[-1], masses_kg)
    return replace(
        course,
        states=(*course.states[:-1], last),
        var=course.var + added,
        with_last=course.with_last + added,
    )


def _after_body_mass(state: CapacityState, masses_kg: tuple[float, float]) -> CapacityState:
    if isinstance(state, LoadCapacity):
        return after_body_mass(state, *masses_kg)
    if isinstance(state, HoldCapacity):
        return hold_after_body_mass(state, *masses_kg)
    return critical_after_body_mass(state, *masses_kg)


def _loads(material: Material, done: LastDone) -> Callable[[int], tuple[float | None, str | None]]:
    variation, settings = done.version.variation, done.settings

    def on(day: int) -> tuple[float | None, str | None]:
        mass = material.masses.on(dt.date.fromordinal(day))
        load_kg = effective_kg(variation, settings, mass)
        if load_kg is not None:
            return load_kg, None
        needs_mass = fraction_of(variation, settings.height_cm) > 0.0 and mass is None
        return None, BODY_MASS_MISSING if needs_mass else NOT_A_LOAD

    return on


def _no_load(day: int) -> tuple[float | None, str | None]:
    return 1.0, None


def _load_scale(material: Material, done: LastDone, course: Course[LoadCapacity]) -> Scale:
    """Repetitions where a share of the body is moved, else the maximum."""
    last = course.states[-1]
    if fraction_of(done.version.variation, done.settings.height_cm) > 0.0:
        terms = RepetitionTerms(last.k_nodes, last.asymptote_share)
        return Scale(*REPETITIONS, terms, _loads(material, done), _repetitions, usual_error_of_repetitions)
    maximum = MaximumTerms(last.k_nodes, last.asymptote_share)
    return Scale(*MAXIMUM, maximum, _no_load, _maximum, usual_error_of_maximum)


def _hold_scale(material: Material, done: LastDone, course: Course[HoldCapacity]) -> Scale:
    terms = HoldTerms(course.states[-1].exponents)
    return Scale(*SECONDS, terms, _loads(material, done), _seconds, usual_error_of_hold)


def _critical_scale(measure: str) -> Scale:
    return Scale(*(VELOCITY if measure == SPEED else POWER), PlainTerms(), _no_load, _critical, None)


def _repetitions(state: LoadCapacity, load_kg: float) -> Valued:
    found = repetitions_at(state, load_kg)
    return _spread(found.p10, found.p50, found.p90), found.reason


def _maximum(state: LoadCapacity, load_kg: float) -> Valued:
    found = one_rm(state)
    return Spread(found.lo_kg, found.kg, found.hi_kg), None


def _seconds(state: HoldCapacity, load_kg: float) -> Valued:
    found = seconds_at(state, load_kg)
    told = _spread(found.p10, found.p50, found.p90)
    return told, None if told else found.reason  # a reason beside numbers says that they are rough


def _critical(state: CriticalCapacity, load_kg: float) -> Valued:
    found = critical_of(state)
    return Spread(found.lower, found.median, found.upper), None


def _spread(lower: float | None, median: float | None, upper: float | None) -> Spread | None:
    return None if lower is None or median is None or upper is None else Spread(lower, median, upper)
