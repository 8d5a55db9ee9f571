"""How an ability went over some days, and what can be said of its change up to the last of them.

y is the logarithm of an ability (ln L10, ln L60, ln of the critical power) as it was on each day: a mixture of
normals over S nodes, jointly normal on two days at each node. Both days are known through the same sights, so the
spread of a change is that of the joint distribution; two intervals side by side overstate it, and where one follows
from the other they say nothing of it.

A change is worth a word where it exceeds the smallest worthwhile one, a fifth of the spread between people (Hopkins
2000, Sports Med 30:1-15; Ward et al. 2018). Probabilities are those of this model with its stated prior, no
inference from a test alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Generic, Protocol, TypeVar

import numpy as np
from scipy.special import ndtr

from athletes.calc.mixture import quantile_of_normals
from programming.calc.arrays import FloatArray

WORTHWHILE_SHARE: Final = 0.2
PERCENTILES: Final = (0.1, 0.5, 0.9)
SMALLEST_SD: Final = 1e-9  # of the logarithm: below it two days are one
HALVINGS: Final = 28
Z, Z_WEIGHT = np.polynomial.hermite_e.hermegauss(15)
Z_SHARE: Final = Z_WEIGHT / Z_WEIGHT.sum()

State = TypeVar("State")


@dataclass(frozen=True)
class Spread:
    """The values that 10, 50 and 90 % lie below."""

    lower: float
    median: float
    upper: float


@dataclass(frozen=True)
class Chances:
    """Probabilities, adding to 1, of an improvement worth a word, of neither, and of a decline worth a word."""

    improved: float
    neither: float
    declined: float


@dataclass(frozen=True, eq=False)
class Pair:
    """y on two days at each node, all (S,): weights summing to 1, means, variances, covariance between the days."""

    weight: FloatArray
    earlier: FloatArray
    later: FloatArray
    earlier_var: FloatArray
    later_var: FloatArray
    covariance: FloatArray

    def relative(self, log_earlier: float, log_later: float) -> "Pair":
        """Against what has to be moved on each day: ln of it in the same unit, known exactly."""
        return replace(self, earlier=self.earlier - log_earlier, later=self.later - log_later)

    @property
    def change_sd(self) -> FloatArray:
        """SD (S,) of later less earlier."""
        variance = self.earlier_var + self.later_var - 2.0 * self.covariance
        sd: FloatArray = np.sqrt(np.maximum(variance, SMALLEST_SD**2))
        return sd

    def spread(self) -> Spread:
        """Of the change of y."""
        told = (self.weight, self.later - self.earlier, self.change_sd)
        return Spread(*(quantile_of_normals(*told, p) for p in PERCENTILES))

    def chances(self, worthwhile: float) -> Chances:
        """Of a change of y by more than `worthwhile`, which must be positive. Raises ValueError for other."""
        if not worthwhile > 0.0:
            raise ValueError(f"worthwhile must be positive, got {worthwhile!r}")
        mean, sd = self.later - self.earlier, self.change_sd
        improved = float(self.weight @ ndtr((mean - worthwhile) / sd))
        declined = float(self.weight @ ndtr((-worthwhile - mean) / sd))
        return Chances(improved, max(1.0 - improved - declined, 0.0), declined)


@dataclass(frozen=True, eq=False)
class Course(Generic[State]):
    """`states` are the capacities on `days` (T,), ascending. weight (S,) of nodes; mean and var (S, T) of y on each
    day, with_last (S, T) its covariance with y on the last day.
    """

    days: tuple[int, ...]
    states: tuple[State, ...]
    weight: FloatArray
    mean: FloatArray
    var: FloatArray
    with_last: FloatArray

    def pair(self, earlier: int) -> Pair:
        """y on one of the days, by its index, and on the last."""
        return Pair(
            self.weight,
            self.mean[:, earlier],
            self.mean[:, -1],
            self.var[:, earlier],
            self.var[:, -1],
            self.with_last[:, earlier],
        )


class Terms(Protocol):
    """The athlete's own terms of y, rising with it: repetitions, kg, seconds, W."""

    def own(self, y: FloatArray) -> FloatArray:
        """(S, N) of y (S, N)."""

    def back(self, value: FloatArray) -> FloatArray:
        """y (S, N) of values (S, N); -inf below the least that there is, inf from the most on."""


def own_change(pair: Pair, terms: Terms) -> Spread:
    """Of the later value less the earlier one in the athlete's own terms.

    Given the earlier y the later one is normal, and the terms rise with y: so the distribution function is an
    integral over the earlier y alone.
    """
    sd = np.sqrt(pair.earlier_var)
    slope = pair.covariance / np.maximum(pair.earlier_var, SMALLEST_SD**2)
    rest = np.sqrt(np.maximum(pair.later_var - slope * pair.covariance, SMALLEST_SD**2))
    away = sd[:, None] * Z[None, :]
    before = terms.own(pair.earlier[:, None] + away)
    centre = pair.later[:, None] + slope[:, None] * away
    share = pair.weight[:, None] * Z_SHARE[None, :]

    def at_most(change: float) -> float:
        return float((share * ndtr((terms.back(before + change) - centre) / rest[:, None])).sum())

    after = terms.own(np.concatenate([centre - 9.0 * rest[:, None], centre + 9.0 * rest[:, None]], axis=1))
    reach = float(after.max() - after.min() + before.max() - before.min()) + float(
        abs(after.mean() - before.mean())
    )
    lower, median, upper = (_quantile(at_most, -reach, reach, p) for p in PERCENTILES)
    return Spread(lower, median, upper)


def _quantile(at_most: "DistributionFunction", low: float, high: float, p: float) -> float:
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if at_most(middle) < p:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


class DistributionFunction(Protocol):
    def __call__(self, change: float, /) -> float: ...


def telling_days(known: Sequence[int], today: int, since: int, most: int) -> tuple[int, ...]:
    """The newest `most` days to tell of: those with a sight, the one that a change is counted from, and today.

    known must not be empty; a day before the first sight is none, since the prior holds there.
    """
    first, last = min(known), max(today, *known)
    start = min(max(since, first), last)
    listed = sorted({*known, last})[-max(most, 2) :]
    return tuple(sorted({start, *listed}))
