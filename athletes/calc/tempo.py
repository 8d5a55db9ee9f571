"""How quickly an athlete works: the seconds of a unit beside what is usual of the variation, from logged sets.

Of a set y = ln(seconds / (units * usual seconds)) is taken as

    y = person + movement + failed + error,

the person's own way of working in everything (SD PERSON_SD), what is particular in one movement (MOVEMENT_SD), what a
set to failure is slower by, and an error of a set (SET_SD), the sets of one day sharing another (DAY_SD). Who goes to
failure has tried one unit more than is counted: it is among the units. How steady somebody's cadence is differs
too: both errors are multiplied by one scale, of which a few are weighed by how well they explain the sets (`SCALES`).
With each scale all is normal, so that the answer is a linear regression with priors: exact, and the same in whatever
order the sets come. What is told are mean and variance of their mixture. Ours, no published spread is known to us:
cadence differs between people and exercises far more than within one set of them.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from math import exp, inf, log
from typing import Final, NamedTuple

import numpy as np

from programming.calc.arrays import FloatArray

PERSON_SD: Final = 0.20
MOVEMENT_SD: Final = 0.15
DAY_SD: Final = 0.08
SET_SD: Final = 0.15
SCALES: Final = (0.25, 0.5, 1.0, 2.0)
SCALE_PRIOR: Final = (0.25, 0.35, 0.30, 0.10)
"""Days of a person differ by 2 to 16 %, most by 4 or 8: repeated mean velocities of one load do by some 3 to 10 %
(from memory), and the pauses between repetitions come on top."""
SLOWER_LOG: Final = 0.10
SLOWER_SD: Final = 0.10
SLOWER_TO_FAILURE: Final = exp(SLOWER_LOG)
"""Factor of a unit's seconds in a set to failure, and SD of its logarithm between people. The same repetitions were
lifted at 0.35 m/s in sets to failure and at 0.42 m/s in others (Iglesias-Soler et al. 2012, read in the abstract):
1.2 times as long on the way up, which is about half of a repetition (common practice, no source). The SD is ours: as
large as the effect itself, since its spread between people was not told."""
LEAST_UNITS: Final = 3.0
"""A set of fewer is mostly getting into position."""
MOST_AWAY: Final = 1.5
"""|y| beyond: a clock that was left running, not a cadence."""
METHOD_VERSION: Final = 2
MEAN_STEP: Final = 0.02
SD_STEP: Final = 0.01


class TimedSet(NamedTuple):
    """One set: the movement, the day (any number of it), units done, seconds it took, usual seconds of a unit, and
    whether one more was tried and failed.
    """

    movement: str
    day: int
    amount: float
    seconds: float
    usual_s: float
    failed: bool = False


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


_DAY_VAR: Final = DAY_SD**2 * float(np.dot(SCALE_PRIOR, np.square(SCALES)))
UNKNOWN: Final = Tempo(0.0, float(np.sqrt(PERSON_SD**2 + MOVEMENT_SD**2 + _DAY_VAR)))


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


class _Regression(NamedTuple):
    """Of P coefficients (person, each movement, failed) with unit scale: information (P, P), its product with y (P,),
    sum of squares of y, each weighed by the errors; number of sets.
    """

    information: FloatArray
    product: FloatArray
    square: float
    sets: int


def learn(sets: Sequence[TimedSet]) -> Tempos:
    """What the sets tell.

    Raises ValueError for amounts and seconds that are not positive and finite.
    """
    logs = _logs(sets)
    told = [(one, y) for one, y in zip(sets, logs, strict=True) if _tells(one, y)]
    if not told:
        return NOTHING_TIMED
    movements = sorted({one.movement for one, _ in told})
    prior = np.array([PERSON_SD, *[MOVEMENT_SD] * len(movements), SLOWER_SD])
    regression = _regression(told, movements)
    weights, means, covs = zip(*_by_scale(regression, prior), strict=True)
    weight = np.exp(np.array(weights) - max(weights))
    weight /= weight.sum()
    mean, cov, day = np.array(means), np.array(covs), DAY_SD**2 * np.square(SCALES)
    timed, found = Counter(one.movement for one, _ in told), {}
    for index, movement in enumerate(movements, start=1):
        var = cov[:, 0, 0] + cov[:, index, index] + 2.0 * cov[:, 0, index] + day
        found[movement] = _mixed(weight, mean[:, 0] + mean[:, index], var, timed[movement])
    return Tempos(found, _mixed(weight, mean[:, 0], cov[:, 0, 0] + MOVEMENT_SD**2 + day, 0))


def _tells(one: TimedSet, y: float) -> bool:
    return one.amount >= LEAST_UNITS and abs(y) <= MOST_AWAY


def _regression(told: Sequence[tuple[TimedSet, float]], movements: Sequence[str]) -> _Regression:
    """The error that the sets of a day share is taken out by the day's sums (Sherman and Morrison)."""
    places = {movement: index for index, movement in enumerate(movements, start=1)}
    design, y = np.zeros((len(told), len(movements) + 2)), np.array([of for _, of in told])
    design[:, 0] = 1.0
    design[np.arange(len(told)), [places[one.movement] for one, _ in told]] = 1.0
    design[:, -1] = [one.failed for one, _ in told]
    y -= SLOWER_LOG * design[:, -1]
    days, number = np.unique([one.day for one, _ in told], return_inverse=True)
    both = np.column_stack((design, y))
    sums = np.zeros((len(days), both.shape[1]))
    np.add.at(sums, number, both)
    many = sums[:, 0]
    shared = DAY_SD**2 / (SET_SD**2 + many * DAY_SD**2)
    products = (both.T @ both - (sums.T * shared) @ sums) / SET_SD**2
    return _Regression(products[:-1, :-1], products[:-1, -1], float(products[-1, -1]), len(told))


def _by_scale(regression: _Regression, prior: FloatArray) -> Iterator[tuple[float, FloatArray, FloatArray]]:
    """With each scale: ln of its weight, up to what all have in common, and mean (P,) and covariance (P, P)."""
    information, product, square, sets = regression
    for scale, before in zip(SCALES, SCALE_PRIOR, strict=True):
        per = scale**-2.0
        cov = np.linalg.inv(np.diag(prior**-2.0) + per * information)
        mean = per * (cov @ product)
        volume = float(np.linalg.slogdet(cov)[1])
        misfit = per * (square - float(product @ mean))
        yield log(before) + 0.5 * (volume - misfit) - sets * log(scale), mean, cov


def _mixed(weight: FloatArray, mean: FloatArray, var: FloatArray, sets: int) -> Tempo:
    """Mean and SD of a mixture of normals."""
    middle = float(weight @ mean)
    return Tempo(middle, float(np.sqrt(weight @ (var + (mean - middle) ** 2))), sets)


def _logs(sets: Sequence[TimedSet]) -> list[float]:
    for one in sets:
        if not (0.0 < one.amount < inf and 0.0 < one.seconds < inf and 0.0 < one.usual_s < inf):
            raise ValueError(f"amount, seconds and usual seconds must be positive and finite, got {one}")
    return [log(one.seconds / ((one.amount + one.failed) * one.usual_s)) for one in sets]
