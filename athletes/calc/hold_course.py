"""How the capacity to hold a position went: ln L60 on chosen days as all holds together tell it."""

from collections.abc import Sequence

import numpy as np

from athletes.calc.ageing import ageing
from athletes.calc.course import Course
from athletes.calc.decay import Absence
from athletes.calc.hold import (
    NEGLIGIBLE_WEIGHT,
    SWEEPS,
    VARIANCE_UNIT,
    HoldCapacity,
    hold_posterior,
    without_absence,
)
from athletes.calc.hold_seen import HoldSeen, hold_history
from athletes.calc.joint import Ties, filter_jointly
from athletes.calc.observation import History
from athletes.calc.smooth import check_days
from athletes.calc.smoothing import Sights, events_of, walked_back
from programming.calc.arrays import FloatArray
from programming.calc.movement_prior import HoldStart


def course_of_holds(
    start: HoldStart, seen: Sequence[HoldSeen], days: Sequence[int], *, absences: Sequence[Absence] = ()
) -> Course[HoldCapacity]:
    """y = ln L60; days and errors as for :func:`athletes.calc.smooth.capacity_history`."""
    history = hold_history(seen)
    check_days(history.day, days)
    ages = ageing(absences, [(one.day, one.body_mass_kg) for one in seen])
    moved, _ = without_absence(history, ages)
    log_e, weight, _, _, resolved = hold_posterior(start, moved)
    kept = weight > NEGLIGIBLE_WEIGHT
    exponents, weight = np.exp(log_e[kept]), weight[kept] / weight[kept].sum()
    known, asked = history.day.astype(np.float64), np.array(days, dtype=np.float64)
    at_asked = ages.between(int(known[0]), np.array(days, dtype=np.int64))
    # The filter's days are steps of VARIANCE_UNIT.
    events = events_of(known, VARIANCE_UNIT * (moved.day - moved.day[0]), asked, at_asked.variance)
    walk = walked_back(_sights(exponents, start, moved), events, len(days), every_pair=False)
    mean = walk.mean[:, :, 0] + start.log_l60 - at_asked.fall
    var = walk.own[:, :, 0, 0]
    tested = np.unique(history.log_load[np.isfinite(history.lower) & np.isfinite(history.upper)])
    states = tuple(
        HoldCapacity(
            exponents,
            weight,
            mean[:, t].copy(),
            var[:, t].copy(),
            day,
            tested.copy(),
            len(seen),
            ages.absences,
            resolved,
        )
        for t, day in enumerate(days)
    )
    return Course(tuple(days), states, weight, mean, var, walk.joint[:, :, -1])


def _sights(exponents: FloatArray, start: HoldStart, moved: History) -> Sights:
    size, variance = moved.day.size, start.log_l60_sd**2
    ties = Ties(
        step=np.diff(moved.day, prepend=moved.day[0]) * VARIANCE_UNIT,
        offset=np.full(size, -1),
        leans=np.zeros(size, dtype=np.bool_),
        sore=np.zeros(size),
        extra_var=np.zeros(size),
        aux_sd=np.zeros(0),
    )
    begin = np.full(exponents.size, start.log_l60)
    *_, precision, shift = filter_jointly(exponents, 0.0, begin, variance, SWEEPS, moved, ties)
    return Sights(exponents, 0.0, variance, moved, ties, precision, shift)
