"""How quickly an athlete works: the seconds of a unit beside what is usual of the variation, learned from logged sets.

Of a set y = ln(seconds / (amount * usual seconds)) is taken as

    y = person + movement + error,

the person's own way of working in everything (SD PERSON_SD), what is particular in one movement (MOVEMENT_SD), and an
error of a set (SET_SD), the sets of one day sharing another (DAY_SD). All are normal, so that the answer is a linear
regression with priors: exact, and the same in whatever order the sets come. Ours: cadence differs between people and
exercises far more than within one set of them; the last repetitions before failure are slower, which the error of a
set takes in.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

PERSON_SD: Final = 0.20
MOVEMENT_SD: Final = 0.15
DAY_SD: Final = 0.08
SET_SD: Final = 0.15
LEAST_UNITS: Final = 3.0
"""A set of fewer is mostly getting into position."""
MOST_AWAY: Final = 1.5
"""|y| beyond: a clock that was left running, not a cadence."""


class TimedSet(NamedTuple):
    """One set: the movement, the day (any number of it), units done, seconds it took, usual seconds of a unit."""

    movement: str
    day: int
    amount: float
    seconds: float
    usual_s: float


class Tempo(NamedTuple):
    """ln of the factor of the usual seconds: mean and SD, for a day to come."""

    mean: float
    sd: float


UNKNOWN: Final = Tempo(0.0, float(np.hypot(np.hypot(PERSON_SD, MOVEMENT_SD), DAY_SD)))


def learn(sets: Sequence[TimedSet]) -> tuple[dict[str, Tempo], Tempo]:
    """(of each movement that was timed, of every other one).

    Raises ValueError for amounts and seconds that are not positive and finite.
    """
    told = [one for one in sets if one.amount >= LEAST_UNITS and abs(_log(one)) <= MOST_AWAY]
    if not told:
        return {}, UNKNOWN
    movements = sorted({one.movement for one in told})
    days = sorted({one.day for one in told})
    width = 1 + len(movements) + len(days)
    design = np.zeros((len(told), width))
    for row, one in enumerate(told):
        design[row, [0, 1 + movements.index(one.movement), 1 + len(movements) + days.index(one.day)]] = 1.0
    prior = np.concatenate(([PERSON_SD], np.full(len(movements), MOVEMENT_SD), np.full(len(days), DAY_SD)))
    precision = np.diag(prior**-2.0) + design.T @ design / SET_SD**2
    cov = np.linalg.inv(precision)
    mean = cov @ (design.T @ np.array([_log(one) for one in told])) / SET_SD**2
    found = {}
    for index, movement in enumerate(movements, start=1):
        both = cov[0, 0] + cov[index, index] + 2.0 * cov[0, index]
        found[movement] = Tempo(float(mean[0] + mean[index]), float(np.sqrt(both + DAY_SD**2)))
    other = Tempo(float(mean[0]), float(np.sqrt(cov[0, 0] + MOVEMENT_SD**2 + DAY_SD**2)))
    return found, other


def _log(one: TimedSet) -> float:
    values = (one.amount, one.seconds, one.usual_s)
    if not all(np.isfinite(value) and value > 0.0 for value in values):
        raise ValueError(f"amount, seconds and usual seconds must be positive and finite, got {one}")
    return float(np.log(one.seconds / (one.amount * one.usual_s)))
