"""Charts of a series against a centre: weighted mean (EWMA) and cumulative sums (CUSUM).

    weighted mean    z_i = a x_i + (1 - a) z_{i-1}, z_0 = centre;  SD of z_i = s sqrt(a / (2 - a) [1 - (1 - a)^(2i)])
    cumulative sums  high_i = max(0, x_i - centre - slack + high_{i-1})
                     low_i  = max(0, centre - slack - x_i + low_{i-1})

NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3 and 6.3.2.4; Montgomery, Introduction to Statistical Quality
Control, chapter 9. The limits that go with them there are for independent normal data with a known centre; answers on
a scale are none of it: `athletes.calc.own_baseline` has limits for these.
"""

from typing import NamedTuple

import numpy as np
from scipy.signal import lfilter

from programming.calc.arrays import BoolArray, FloatArray


class WeightedChart(NamedTuple):
    """z (..., D); distance (D,): of the limits from the centre on each day; final_distance: after many days."""

    z: FloatArray
    distance: FloatArray
    final_distance: float


class Sums(NamedTuple):
    """high and low (..., D), both at least 0."""

    high: FloatArray
    low: FloatArray


def weighted_values(x: FloatArray, centre: FloatArray, a: float) -> FloatArray:
    """z (..., D) of values (..., D) about centres (...). Raises ValueError unless 0 < a <= 1."""
    if not 0.0 < a <= 1.0:
        raise ValueError(f"the weight of a value must lie above 0 and up to 1, got {a!r}")
    away: FloatArray = lfilter([a], [1.0, a - 1.0], x - centre[..., None], axis=-1)
    z: FloatArray = centre[..., None] + away
    return z


def weighted_chart(x: FloatArray, *, centre: float, sd: float, a: float, width: float) -> WeightedChart:
    """Of values (D,): z, and limits `width` SDs of z from the centre. Raises ValueError for sd or width below 0."""
    if not (sd >= 0.0 and width >= 0.0):
        raise ValueError("the SD and the width must be at least 0")
    z = weighted_values(x, np.array(centre), a)
    final = width * sd * float(np.sqrt(a / (2.0 - a)))
    number = np.arange(1, x.size + 1)
    return WeightedChart(z, final * np.sqrt(1.0 - (1.0 - a) ** (2.0 * number)), final)


def cumulative_sums(x: FloatArray, *, centre: FloatArray | float, slack: FloatArray | float) -> Sums:
    """Of values (..., D) about centres (...), each of both sums forgetting `slack` a day."""
    high, low = np.zeros(x.shape), np.zeros(x.shape)
    up, down = np.zeros(x.shape[:-1]), np.zeros(x.shape[:-1])
    for day in range(x.shape[-1]):
        away = x[..., day] - centre
        up, down = np.maximum(0.0, up + away - slack), np.maximum(0.0, down - away - slack)
        high[..., day], low[..., day] = up, down
    return Sums(high, low)


def beyond(sums: Sums, limit: float) -> BoolArray:
    """Days (..., D) on which either sum lies above the limit."""
    outside: BoolArray = (sums.high > limit) | (sums.low > limit)
    return outside
