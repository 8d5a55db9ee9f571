"""How a critical power or speed went: its logarithm on chosen days as all trials together tell it.

Both parameters are moved by one factor whose logarithm walks (``athletes.calc.critical``). Given the parameters on
the day of the last trial the walk since an earlier day is normal, and the maximal trials are sights of it with known
errors: exact at each node of the grid. Lower bounds speak of the parameters alone, as in the estimate.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from athletes.calc.ageing import Ageing, ageing
from athletes.calc.course import Course
from athletes.calc.critical import (
    NEGLIGIBLE_WEIGHT,
    UNRESOLVED,
    CriticalCapacity,
    aged_critical,
    reasons_of,
    trials_without_absence,
)
from athletes.calc.critical_posterior import TrialPosterior, grid_of
from athletes.calc.decay import Absence
from athletes.calc.endurance_constants import TRIAL_LOG_SD
from athletes.calc.smooth import check_days
from athletes.calc.trials import Trial, columns
from programming.calc.arrays import FloatArray, IntArray
from programming.calc.movement_prior import CyclicalStart


class _Rows(NamedTuple):
    """By W' (K,): its weight and ln; of ln CP on T days mean and var (K, T), covariance with that on the last trial's
    day (K, T), without absence."""

    weight: FloatArray
    log_reserve: FloatArray
    mean: FloatArray
    var: FloatArray
    with_last: FloatArray


def course_of_trials(
    start: CyclicalStart, seen: Sequence[Trial], days: Sequence[int], *, absences: Sequence[Absence] = ()
) -> Course[CriticalCapacity]:
    """y = ln of the critical power or speed; days and errors as for :func:`athletes.calc.smooth.capacity_history`.

    What a reserve was on an earlier day goes with the critical power: `states` have it.
    """
    maximal, bounds = columns(seen, TRIAL_LOG_SD)
    known = np.sort(np.concatenate([maximal.day, bounds.day]))
    check_days(known, days)
    first, last = min(one.day for one in seen), max(one.day for one in seen)
    ages = ageing(absences, [(trial.day, trial.body_mass_kg) for trial in seen])
    maximal, bounds = (trials_without_absence(trials, ages, first) for trials in (maximal, bounds))
    since = [_since(ages, first, last, at) for at in (maximal.day, bounds.day)]
    posterior = TrialPosterior(start, maximal, bounds, *since)
    asked = np.minimum(np.array(days, dtype=np.int64), last)
    rows, resolved = _rows(posterior, _since(ages, first, last, asked), since[0])
    told = reasons_of(maximal, len(seen)) + (() if resolved else (UNRESOLVED,))
    fall = ages.between(first, asked).fall
    states, later = [], []
    for t, day in enumerate(days):
        state = CriticalCapacity(
            start.measure,
            rows.log_reserve + _drift(rows, t) - fall[t],
            rows.weight.copy(),
            rows.mean[:, t] - fall[t],
            np.maximum(rows.var[:, t], 1e-14),
            int(asked[t]),
            told,
            len(seen),
            ages.absences,
        )
        states.append(aged_critical(state, day - int(asked[t])))
        later.append(ages.step(last, max(day - last, 0)))
    lost, grown = np.array(later).T
    var = rows.var + grown
    # After the last trial the walk goes on by itself: what is shared with an earlier day is what it had then.
    with_last = rows.with_last + np.where(np.array(days) > last, grown, 0.0)
    return Course(tuple(days), tuple(states), rows.weight, rows.mean - fall - lost, var, with_last)


def _since(ages: Ageing, first: int, last: int, days: IntArray) -> FloatArray:
    """Variance of the walk between each day and the last trial's."""
    return ages.step(first, last - first)[1] - ages.between(first, days).variance


def _drift(rows: _Rows, t: int) -> float:
    """How far both parameters lay above those of the last trial's day, on the average."""
    return float(rows.weight @ (rows.mean[:, t] - rows.mean[:, -1]))


def _rows(posterior: TrialPosterior, asked: FloatArray, seen: FloatArray) -> tuple[_Rows, bool]:
    """asked (T,), seen (M,): variance of the walk between each day, or maximal trial, and the last trial."""
    theta, weight, resolved = grid_of(posterior)
    flat = theta.reshape(-1, 2)
    # Walk from the last trial backwards: w = ln of a day's factor over the last day's. A trial speaks of w - ahead.
    shared = np.minimum.outer(asked, seen)
    lean = shared @ posterior.whiten.T
    residual = -posterior.whiten @ posterior.ahead(flat, posterior.maximal)
    walk = (lean @ residual).T.reshape(*weight.shape, -1)
    left = asked - np.einsum("tm,tm->t", lean, lean)
    total = weight.sum(axis=1)
    kept = total > NEGLIGIBLE_WEIGHT
    given = weight[kept] / total[kept][:, None]
    level = theta[kept][:, :, 1]
    y = level[:, :, None] + walk[kept]
    mean, last = np.einsum("ij,ijt->it", given, y), np.einsum("ij,ij->i", given, level)
    away, off = y - mean[:, None, :], level - last[:, None]
    var = np.einsum("ij,ijt->it", given, away**2) + np.maximum(left, 0.0)
    with_last = np.einsum("ij,ijt,ij->it", given, away, off)
    return _Rows(total[kept] / total[kept].sum(), theta[kept][:, 0, 0], mean, var, with_last), resolved
