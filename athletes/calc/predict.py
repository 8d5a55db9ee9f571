"""What a capacity foretells: repetitions at a load, the load for a number of repetitions, the maximum.

Given k the repetitions n* at a load follow from ln L10, so their distribution is a mixture over the nodes of
k. What the curve cannot tell is added to each node's spread in quadrature (the misfit, see constants), as an
error of ln L through the slope of the curve. n* below 0 counts as 0, and everything ends at MOST_REPETITIONS.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

import numpy as np
from scipy.special import ndtr

from athletes.calc.constants import (
    BEYOND_CURVE_PROBABILITY,
    MISFIT_AT_TESTED,
    MISFIT_FAR,
    MISFIT_NEAR,
    MISFIT_REACH,
    MOST_REPETITIONS,
)
from athletes.calc.lifted import heaviest, most_repetitions
from athletes.calc.mixture import (
    lifts_drawn,
    node_spread,
    probability_of_at_most,
    quantile_of_normals,
    quantile_of_repetitions,
    repetition_moments,
)
from athletes.calc.observation import day_noise
from athletes.calc.state import Capacity
from athletes.calc.uniforms import normal_quantiles
from programming.calc.arrays import FloatArray, IntArray
from programming.calc.kept import kept

BEYOND_CURVE: Final = "beyond_curve"
PERCENTILES: Final = (0.1, 0.5, 0.9)
# Below so many repetitions the slope of the curve serves for its chord.
SLOPE_BELOW: Final = 1e-6


@dataclass(frozen=True, eq=False)
class Mixture:
    """n* at one load: at node k of `weight` (K,), ln L10 - ln L is normal with mean `ahead` and SD
    `spread`."""

    k_nodes: FloatArray
    weight: FloatArray
    ahead: FloatArray
    spread: FloatArray
    asymptote_share: float

    def at_most(self, n: float) -> float:
        """P(n* <= n)."""
        if n < 0.0:
            return 0.0
        if n >= MOST_REPETITIONS:
            return 1.0
        return probability_of_at_most(
            self.k_nodes, self.weight, self.ahead, self.spread, self.asymptote_share, n
        )


@dataclass(frozen=True, eq=False)
class RepetitionForecast:
    """Repetitions n* available at a load; every number is None when `reason` says why there is none."""

    mean: float | None
    sd: float | None
    p10: float | None
    p50: float | None
    p90: float | None
    reason: str | None
    mixture: Mixture

    def probability(self, lo: float | None, hi: float | None) -> float | None:
        """P(lo <= n* <= hi), a side that is None being open; None when there is no forecast."""
        if self.reason is not None:
            return None
        below = self.mixture.at_most(lo) if lo is not None and lo > 0.0 else 0.0
        up_to = self.mixture.at_most(hi) if hi is not None else 1.0
        return min(max(up_to - below, 0.0), 1.0)


class OneRepMax(NamedTuple):
    """One-repetition maximum in kg: its median and the interval that holds it with 80 %."""

    kg: float
    lo_kg: float
    hi_kg: float


def repetitions_at(capacity: Capacity, load_kg: float) -> RepetitionForecast:
    """Repetitions available at an effective load in kg, without the noise of the day.

    No forecast, reason `beyond_curve`, where the load is at or below the asymptote with a probability of more
    than BEYOND_CURVE_PROBABILITY, or the median reaches MOST_REPETITIONS. Raises ValueError for a load that is not
    positive and finite.
    """
    mixture = _mixture(capacity, load_kg)
    if probability_beyond(capacity, load_kg) > BEYOND_CURVE_PROBABILITY:
        return RepetitionForecast(None, None, None, None, None, BEYOND_CURVE, mixture)
    parts = (
        mixture.k_nodes,
        mixture.weight,
        mixture.ahead,
        mixture.spread,
        mixture.asymptote_share,
        MOST_REPETITIONS,
    )
    p10, p50, p90 = (quantile_of_repetitions(*parts, share) for share in PERCENTILES)
    if p50 >= MOST_REPETITIONS:
        return RepetitionForecast(None, None, None, None, None, BEYOND_CURVE, mixture)
    mean, sd = repetition_moments(*parts)
    return RepetitionForecast(mean, sd, p10, p50, p90, None, mixture)


class DrawnLifts(NamedTuple):
    """Of N scenarios: repetitions n* (N,), each within 0 to MOST_REPETITIONS, and by how much of its logarithm one of
    them lowers the strength (N,), so that all n* take it down from what is lifted once, fresh, to the load."""

    repetitions: FloatArray
    per_repetition: FloatArray


def sample_lifts(capacity: Capacity, load_kg: float, u: FloatArray) -> DrawnLifts:
    """N scenarios at an effective load in kg.

    u (N, 2) are uniforms in (0, 1), the first choosing the node of k, the second the quantile of ln L10: the
    same u at another load is the same person. Raises ValueError for another shape or range.
    """
    return sample_lifts_at(capacity, (load_kg,), u)[0]


def sample_lifts_at(capacity: Capacity, loads_kg: Sequence[float], u: FloatArray) -> list[DrawnLifts]:
    """`sample_lifts` at each of several loads: who is drawn is the same for all of them, and found once."""
    quantile = normal_quantiles(u)
    node = np.minimum(np.searchsorted(np.cumsum(capacity.weight), u[:, 0]), capacity.weight.size - 1)
    return [DrawnLifts(*_drawn(_mixture(capacity, load_kg), node, quantile)) for load_kg in loads_kg]


def _drawn(mixture: Mixture, node: IntArray, quantile: FloatArray) -> tuple[FloatArray, FloatArray]:
    return lifts_drawn(
        mixture.k_nodes, mixture.ahead, mixture.spread, mixture.asymptote_share, MOST_REPETITIONS, SLOPE_BELOW,
        node, quantile,
    )  # fmt: skip


def load_for_repetitions(capacity: Capacity, n: float) -> float:
    """Load in kg for n repetitions: the posterior mean of its logarithm. n must lie in 0 to
    MOST_REPETITIONS."""
    if not 0.0 <= n <= MOST_REPETITIONS:
        raise ValueError(f"n must lie in 0 to {MOST_REPETITIONS:g}, got {n!r}")
    return math.exp(float(capacity.weight @ (capacity.mean + _rise(capacity, n))))


def one_rm(capacity: Capacity) -> OneRepMax:
    """The load that can be moved once and no more (n* = 1)."""
    log_load = capacity.mean + _rise(capacity, 1.0)
    sd = np.sqrt(capacity.var)
    lo, mid, hi = (math.exp(quantile_of_normals(capacity.weight, log_load, sd, p)) for p in PERCENTILES)
    return OneRepMax(mid, lo, hi)


def told_one_rm(capacity: Capacity, variation: str) -> OneRepMax:
    """`one_rm` as it is told: no less than what was lifted of late in the variation. The interval's lower end stays,
    for today may be a worse day; the upper one reaches what was lifted, so that the interval holds 80 % or more."""
    found = one_rm(capacity)
    lifted = heaviest(capacity.lifts, 1.0, capacity.day, capacity.absences, variation)
    if lifted is None or lifted <= found.kg:
        return found
    return OneRepMax(lifted, found.lo_kg, max(found.hi_kg, lifted))


def told_repetitions(capacity: Capacity, load_kg: float, variation: str) -> RepetitionForecast:
    """`repetitions_at` as it is told: median and mean no less than what was done of late with this load or more."""
    found = repetitions_at(capacity, load_kg)
    done = most_repetitions(capacity.lifts, load_kg, capacity.day, capacity.absences, variation)
    if found.p50 is None or found.p90 is None or found.mean is None or done <= found.p50:
        return found
    return replace(found, mean=max(found.mean, done), p50=done, p90=max(found.p90, done))


def probability_of_count(capacity: Capacity, load_kg: float, count: float) -> float:
    """P of so many whole repetitions in a set to failure at an effective load in kg, with the noise of the day."""
    mixture, noise = _mixture(capacity, load_kg), day_noise(np.array([count, count + 1.0]))
    k, a = mixture.k_nodes, mixture.asymptote_share
    ahead = mixture.ahead - np.log(_share_left(k, a, 10.0))
    below = [
        ndtr((-np.log(_share_left(k, a, edge)) - ahead) / np.hypot(mixture.spread, sd * _slope(k, a, edge)))
        for edge, sd in zip((count, count + 1.0), noise.tolist(), strict=True)
    ]
    return float(mixture.weight @ (below[1] - (below[0] if count > 0.0 else 0.0)))


def _share_left(k: FloatArray, a: float, n: FloatArray | float) -> FloatArray:
    """L / S (K,) at n* = n: exp of minus `athletes.calc.curve.drop`, of many k."""
    return np.asarray(a + (1.0 - a) * np.exp(-k * n))


def _slope(k: FloatArray, a: float, n: float) -> FloatArray:
    """Fall of ln L per repetition (K,) at n* = n, as `athletes.calc.curve.slope` of many k."""
    left = _share_left(k, a, n)
    return np.asarray(k * (left - a) / left)


def _rise(capacity: Capacity, n: float) -> FloatArray:
    """ln of the load for n repetitions above ln L10, (K,)."""
    a, k = capacity.asymptote_share, capacity.k_nodes
    return np.asarray(np.log(_share_left(k, a, n) / _share_left(k, a, 10.0)))


def _mixture(capacity: Capacity, load_kg: float) -> Mixture:
    if not (math.isfinite(load_kg) and load_kg > 0.0):
        raise ValueError(f"load_kg must be positive and finite, got {load_kg!r}")
    log_load = math.log(load_kg)
    ahead = capacity.mean - log_load
    share = _misfit_share(capacity, log_load)
    a = capacity.asymptote_share
    spread = node_spread(capacity.k_nodes, capacity.weight, ahead, capacity.var, a, share, MOST_REPETITIONS)
    return Mixture(capacity.k_nodes, capacity.weight, ahead, spread, a)


def _misfit_share(capacity: Capacity, log_load: float) -> float:
    """SD of the misfit per repetition, by the distance in ln L to the nearest tested load; untested, to the expected
    load for ten repetitions."""
    tested = capacity.tested_log_loads
    if not tested.size:
        expected = float(capacity.weight @ capacity.mean)
        return capacity.misfit * (MISFIT_AT_TESTED + MISFIT_FAR * abs(log_load - expected))
    distance: float = min(abs(one - log_load) for one in tested.tolist())
    near = -MISFIT_NEAR * math.expm1(-distance / MISFIT_REACH)
    return capacity.misfit * (MISFIT_AT_TESTED + max(near, MISFIT_FAR * distance))


def probability_beyond(capacity: Capacity, load_kg: float) -> float:
    """Probability that an effective load in kg lies at or below the asymptote: no number of repetitions."""
    a = capacity.asymptote_share
    if a == 0.0:
        return 0.0
    # L <= a S is ln L10 >= ln L - ln a - drop(10).
    drop, sd = _of_all_loads(capacity)
    bound = math.log(load_kg) - math.log(a) + drop
    return float(capacity.weight @ ndtr((capacity.mean - bound) / sd))


@kept
def _of_all_loads(capacity: Capacity) -> tuple[FloatArray, FloatArray]:
    """(minus drop(10), SD of ln L10), (K,) each: what is the same at every load."""
    a = capacity.asymptote_share
    return np.log(a + (1.0 - a) * np.exp(-10.0 * capacity.k_nodes)), np.sqrt(capacity.var)
