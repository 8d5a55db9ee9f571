"""What a set that failed late in a session tells of the fresh athlete, by how much was spent before it.

A set that ended by failure after r repetitions of a load, when D of them were spent (`athletes.calc.fatigue`), says
r + D <= n* < r + D + 1 of the fresh athlete. D is known where all of the work before it, as far as it takes the same
muscles, was of the same load, and the rests are known. How much of that work was slow depends on n* itself, by the
depth of the sets: D is the one that agrees with the n* that it leads to, since an n* from elsewhere (the first set,
the capacity so far) would be another guess, and what is seen must not depend on what is thought already.

D depends also on how quickly the athlete tires for long. It is kept at three multipliers m, between which it is
nearly a parabola in ln m, and read for people of the athlete's sex, never with the athlete's own m: that is learned
from the same sets with the capacity taken as known, so that each would come back as proof of the other.

D is uncertain by the spread of m between people, and by MODEL_SHARE of itself.
"""

from math import hypot, log, sqrt
from typing import Final

import numpy as np

from athletes.calc.fatigue import BODY_ROWS, MULTIPLIER_LOG_SD, rest, spent_of, tire, total
from athletes.calc.multiplier import FAILURE, SetsDone
from athletes.calc.rested import decay
from programming.calc.arrays import FloatArray, IntArray, compiled

SPENT_AT: Final = (0.2, 0.5, 1.25)
"""Multipliers m, in equal steps of ln m, about those of nine in ten people of either sex."""

MODEL_SHARE: Final = 0.3
"""SD of D as a share of it, beside the spread of m. With it the totals of Ratamess et al. 2010 spread between people
about as published: men by 4.0, 3.8 and 3.6 repetitions after rests of 1, 2 and 3 min (3.8, 3.8 and 5.1), women by
2.5, 2.4 and 2.3 (3.8, 2.6 and 1.5); without it men by 3.3, 3.3 and 3.1."""

BISECTIONS: Final = 30

_POINTS: Final = ((-sqrt(3.0), 1.0 / 6.0), (0.0, 2.0 / 3.0), (sqrt(3.0), 1.0 / 6.0))
_STEP: Final = log(SPENT_AT[1] / SPENT_AT[0])

Spent = tuple[float, float, float]


def spent_before(done: SetsDone) -> Spent:
    """D before the last of the sets, in repetitions, at each of SPENT_AT.

    All sets are of one piece of work, at least two, the last one ended by failure; their `piece` is not looked at.
    """
    low, middle, high = (
        _spent_at(done.start, done.seconds, done.amount, done.ended, multiplier) for multiplier in SPENT_AT
    )
    return low, middle, high


@compiled
def _spent_at(
    start: FloatArray, seconds: FloatArray, amount: FloatArray, ended: IntArray, multiplier: float
) -> float:
    """D grows by less than n* does (the slow part takes nine tenths of it at most): so one agrees, and halving finds
    it."""
    last = len(start) - 1
    low, high = 0.0, amount[:last].sum() + last
    body, one, fresh = np.zeros((BODY_ROWS, 1)), np.ones((1, 1)), np.empty(1)
    for _ in range(BISECTIONS):
        middle = 0.5 * (low + high)
        fresh[0] = amount[last] + 0.5 + middle
        body[:] = 0.0
        for s in range(last):
            before = total(spent_of(body, one[0], 1.0))
            tire(
                body, one, one[0], one[0], fresh, 0, multiplier, before, amount[s], seconds[s], ended[s] == FAILURE
            )  # fmt: skip
            rest(body, decay(start[s + 1] - start[s] - seconds[s]))
        if total(spent_of(body, one[0], 1.0)) > middle:
            low = middle
        else:
            high = middle
    return float(0.5 * (low + high))


def spent_of_people(spent: Spent, median: float) -> tuple[float, float]:
    """(mean, SD) of D in repetitions, of people whose m has this median; `spent`: D at each of SPENT_AT.

    By three points and weights of Gauss and Hermite, in plain numbers: a long history asks this hundreds of times.
    """
    low, middle, high = spent
    rise, bend = 0.5 * (high - low), 0.5 * (high + low) - middle
    mean = square = 0.0
    for point, weight in _POINTS:
        u = (log(median / SPENT_AT[1]) + MULTIPLIER_LOG_SD * point) / _STEP
        found = max(middle + rise * u + bend * u * u, 0.0)
        mean += weight * found
        square += weight * found * found
    spread = sqrt(max(square - mean * mean, 0.0))
    return mean, hypot(spread, MODEL_SHARE * mean)
