"""How quickly an athlete works: the seconds of a unit beside what is usual of the variation, from logged sets.

Of a set y = ln(seconds / (amount * usual seconds)) is taken as

    y = person + movement + error,

the person's own way of working in everything (SD PERSON_SD), what is particular in one movement (MOVEMENT_SD), and an
error of a set (SET_SD), the sets of one day sharing another (DAY_SD). All are normal, so that the answer is a linear
regression with priors: exact, and the same in whatever order the sets come. Ours, no published spread is known to us:
cadence differs between people and exercises far more than within one set of them; the last repetitions before failure
are slower, which the error of a set takes in.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from math import inf, log
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
METHOD_VERSION: Final = 1
MEAN_STEP: Final = 0.02
SD_STEP: Final = 0.01


class TimedSet(NamedTuple):
    """One set: the movement, the day (any number of it), units done, seconds it took, usual seconds of a unit."""

    movement: str
    day: int
    amount: float
    seconds: float
    usual_s: float


class Tempo(NamedTuple):
    """ln of the factor of the usual seconds, for a day to come: mean and SD; sets: of that movement that told it."""

    mean: float
    sd: float
    sets: int = 0

    def rounded(self) -> "Tempo":
        """In steps, so that one more set of the same cadence changes nothing that is foreseen."""
        mean, sd = (
            float(round(round(value / step) * step, 6))
            for value, step in ((self.mean, MEAN_STEP), (self.sd, SD_STEP))
        )
        return Tempo(mean, sd, self.sets)


UNKNOWN: Final = Tempo(0.0, float(np.hypot(np.hypot(PERSON_SD, MOVEMENT_SD), DAY_SD)))


class Tempos(NamedTuple):
    """Of each movement that was timed, and of every other one."""

    movements: Mapping[str, Tempo]
    other: Tempo

    def of(self, movement: str) -> Tempo:
        return self.movements.get(movement, self.other)

    def rounded(self) -> "Tempos":
        found = {movement: told.rounded() for movement, told in self.movements.items()}
        return Tempos(found, self.other.rounded() if found else self.other)


NOTHING_TIMED: Final = Tempos({}, UNKNOWN)


def learn(sets: Sequence[TimedSet]) -> Tempos:
    """What the sets tell.

    Raises ValueError for amounts and seconds that are not positive and finite.
    """
    logs = _logs(sets)
    told = [
        one for one, y in zip(sets, logs, strict=True) if one.amount >= LEAST_UNITS and abs(y) <= MOST_AWAY
    ]
    if not told:
        return NOTHING_TIMED
    movements = sorted({one.movement for one in told})
    days = sorted({one.day for one in told})
    columns = {key: number for number, key in enumerate([None, *movements, *days])}
    design = np.zeros((len(told), len(columns)))
    rows = np.arange(len(told))
    for of in ([0] * len(told), [columns[one.movement] for one in told], [columns[one.day] for one in told]):
        design[rows, of] = 1.0
    prior = np.concatenate(([PERSON_SD], np.full(len(movements), MOVEMENT_SD), np.full(len(days), DAY_SD)))
    cov = np.linalg.inv(np.diag(prior**-2.0) + design.T @ design / SET_SD**2)
    mean = cov @ (design.T @ np.array(_logs(told))) / SET_SD**2
    timed, found = Counter(one.movement for one in told), {}
    for movement in movements:
        index = columns[movement]
        both = cov[0, 0] + cov[index, index] + 2.0 * cov[0, index]
        sd = float(np.sqrt(both + DAY_SD**2))
        found[movement] = Tempo(float(mean[0] + mean[index]), sd, timed[movement])
    return Tempos(found, Tempo(float(mean[0]), float(np.sqrt(cov[0, 0] + MOVEMENT_SD**2 + DAY_SD**2))))


def _logs(sets: Sequence[TimedSet]) -> list[float]:
    for one in sets:
        if not (0.0 < one.amount < inf and 0.0 < one.seconds < inf and 0.0 < one.usual_s < inf):
            raise ValueError(f"amount, seconds and usual seconds must be positive and finite, got {one}")
    return [log(one.seconds / (one.amount * one.usual_s)) for one in sets]
