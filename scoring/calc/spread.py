"""Quantiles over the scenarios."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, isnan

import numpy as np

from programming.calc.arrays import FloatArray, IntArray


@dataclass(frozen=True)
class Spread:
    """Quantiles of a quantity over the scenarios."""

    p10: float
    p50: float
    p90: float


def quantile(values: FloatArray | IntArray, level: float) -> float:
    """The point below which the share `level` (0 to 1) of finite values (N,), N > 0, lies; as `three_quantiles`."""
    return _point(np.sort(np.asarray(values, dtype=np.float64)), level)


def three_quantiles(values: FloatArray | IntArray) -> Spread:
    """The 10 %, 50 % and 90 % points of finite values (N,), N > 0, between neighbours in proportion."""
    ordered = np.sort(np.asarray(values, dtype=np.float64))
    return Spread(_point(ordered, 0.1), _point(ordered, 0.5), _point(ordered, 0.9))


def _point(ordered: FloatArray, level: float) -> float:
    at = level * (len(ordered) - 1)
    below = floor(at)
    low, high = ordered.item(below), ordered.item(min(below + 1, len(ordered) - 1))
    return float(low + (at - below) * (high - low))


def median(values: FloatArray | IntArray) -> float:
    """As numpy.median of (N,), N > 0, a tenth of what that takes for a few hundred; NaN where one of them is."""
    ordered = np.sort(np.asarray(values, dtype=np.float64))
    size, last = len(ordered), ordered.item(-1)  # NaN comes last
    middle: float = (ordered.item((size - 1) // 2) + ordered.item(size // 2)) / 2.0
    return last if isnan(last) else middle


def lower_points(values: FloatArray | IntArray, levels: Sequence[float]) -> list[float]:
    """The points of values (N,), N > 0, at levels (0 to 1), of two neighbours the lower one: infinite values stay."""
    ordered = np.sort(np.asarray(values, dtype=np.float64))
    return [ordered.item(floor((len(ordered) - 1) * level)) for level in levels]


def spread(values: FloatArray | IntArray) -> Spread:
    """`three_quantiles`, rounded for people."""
    return _rounded(np.sort(np.asarray(values, dtype=np.float64)))


def spread_and_points(
    values: FloatArray | IntArray, levels: Sequence[float]
) -> tuple[Spread, tuple[float, ...]]:
    """`spread`, and the points of the same values at levels (0 to 1), rounded like it."""
    ordered = np.sort(np.asarray(values, dtype=np.float64))
    return _rounded(ordered), tuple(round(_point(ordered, level), 2) for level in levels)


def _rounded(ordered: FloatArray) -> Spread:
    return Spread(*(round(_point(ordered, level), 2) for level in (0.1, 0.5, 0.9)))
