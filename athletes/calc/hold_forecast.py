"""What a capacity to hold tells: seconds at a load, a load for seconds, and seconds in scenarios."""

import math
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from scipy.special import ndtr

from athletes.calc.endurance_constants import HOLD_LONGEST_S, HOLD_MISFIT_SHAPE, HOLD_SHORTEST_S
from athletes.calc.hold import HoldCapacity
from athletes.calc.hold_seen import ANCHOR_S, outside
from athletes.calc.mixture import quantile_of_normals
from athletes.calc.uniforms import normal_quantiles
from programming.calc.arrays import FloatArray

BEYOND_HOLD_LAW: Final = "beyond_hold_law"
NEAR_MAXIMUM: Final = "near_maximum"
PERCENTILES: Final = (0.1, 0.5, 0.9)


@dataclass(frozen=True, eq=False)
class HoldForecast:
    """Seconds available at a load, as a mixture of normals of ln t; numbers are None beyond the law.

    The percentiles end at HOLD_LONGEST_S. reason `near_maximum` comes with numbers: they are rough there.
    """

    p10: float | None
    p50: float | None
    p90: float | None
    reason: str | None
    weight: FloatArray
    log_seconds: FloatArray
    spread: FloatArray

    def probability(self, lo: float | None, hi: float | None) -> float | None:
        """P(lo <= t <= hi) in seconds, a side that is None being open; None beyond the law."""
        if self.p50 is None:
            return None
        below = self._at_most(lo) if lo is not None and lo > 0.0 else 0.0
        up_to = self._at_most(hi) if hi is not None else 1.0
        return min(max(up_to - below, 0.0), 1.0)

    def _at_most(self, seconds: float) -> float:
        if seconds <= 0.0:
            return 0.0
        if seconds >= HOLD_LONGEST_S:
            return 1.0
        return float(self.weight @ ndtr((math.log(seconds) - self.log_seconds) / self.spread))


def seconds_at(capacity: HoldCapacity, load_kg: float) -> HoldForecast:
    """Seconds available at an effective load in kg, without the noise of the day.

    No numbers, reason `beyond_hold_law`, where the median exceeds HOLD_LONGEST_S. Raises ValueError for a load that
    is not positive and finite.
    """
    log_seconds, spread = _nodes(capacity, load_kg)
    told = [quantile_of_normals(capacity.weight, log_seconds, spread, p) for p in PERCENTILES]
    if told[1] > math.log(HOLD_LONGEST_S):
        return HoldForecast(None, None, None, BEYOND_HOLD_LAW, capacity.weight, log_seconds, spread)
    reason = NEAR_MAXIMUM if told[1] < math.log(HOLD_SHORTEST_S) else None
    p10, p50, p90 = (min(math.exp(max(q, -50.0)), HOLD_LONGEST_S) for q in (min(q, 50.0) for q in told))
    return HoldForecast(p10, p50, p90, reason, capacity.weight, log_seconds, spread)


class DrawnHolds(NamedTuple):
    """Of N scenarios: seconds (N,), each within 0 to HOLD_LONGEST_S, and by how much of its logarithm one of them
    lowers the strength (N,).

    The power law knows no strength at no time: here it is that of HOLD_SHORTEST_S, so that t seconds lower it by
    e ln(1 + t / HOLD_SHORTEST_S) (ours).
    """

    seconds: FloatArray
    per_second: FloatArray


def sample_holds(capacity: HoldCapacity, load_kg: float, u: FloatArray) -> DrawnHolds:
    """N scenarios at an effective load in kg.

    u (N, 2) are uniforms in (0, 1), the first choosing the node of e, the second the quantile: the same u at another
    load is the same person. Raises ValueError for another shape or range.
    """
    quantile = normal_quantiles(u)
    log_seconds, spread = _nodes(capacity, load_kg)
    node = np.minimum(np.searchsorted(np.cumsum(capacity.weight), u[:, 0]), capacity.weight.size - 1)
    drawn = log_seconds[node] + spread[node] * quantile
    seconds: FloatArray = np.exp(np.clip(drawn, -50.0, math.log(HOLD_LONGEST_S)))
    return DrawnHolds(seconds, capacity.exponents[node] * np.log1p(seconds / HOLD_SHORTEST_S) / seconds)


def load_for_seconds(capacity: HoldCapacity, seconds: float) -> float:
    """Load in kg that is held so long: the posterior mean of its logarithm. seconds: HOLD_SHORTEST_S to
    HOLD_LONGEST_S."""
    if not HOLD_SHORTEST_S <= seconds <= HOLD_LONGEST_S:
        raise ValueError(f"seconds must lie in {HOLD_SHORTEST_S:g} to {HOLD_LONGEST_S:g}, got {seconds!r}")
    rise = capacity.exponents * math.log(ANCHOR_S / seconds)
    return math.exp(float(capacity.weight @ (capacity.mean + rise)))


def load_for_a_minute(capacity: HoldCapacity) -> tuple[float, float, float]:
    """L60 in kg: its median and the interval that holds it with 80 %, (median, lower, upper)."""
    sd = np.sqrt(capacity.var)
    lo, mid, hi = (math.exp(quantile_of_normals(capacity.weight, capacity.mean, sd, p)) for p in PERCENTILES)
    return mid, lo, hi


def _nodes(capacity: HoldCapacity, load_kg: float) -> tuple[FloatArray, FloatArray]:
    """(mean, SD) of ln t at each node."""
    if not (math.isfinite(load_kg) and load_kg > 0.0):
        raise ValueError(f"load_kg must be positive and finite, got {load_kg!r}")
    log_load = math.log(load_kg)
    log_seconds = math.log(ANCHOR_S) + (capacity.mean - log_load) / capacity.exponents
    tested = capacity.tested_log_loads
    expected = np.array([float(capacity.weight @ capacity.mean)])
    shape = HOLD_MISFIT_SHAPE * float(np.abs((tested if tested.size else expected) - log_load).min())
    known = np.sqrt(capacity.var) / capacity.exponents
    return log_seconds, np.sqrt(known**2 + shape**2 + outside(log_seconds) ** 2)
