"""Quantiles over the scenarios."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor

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


def points(values: FloatArray | IntArray, levels: Sequence[float]) -> tuple[float, ...]:
    """The points of finite values (N,), N > 0, at levels (0 to 1); as `spread`, and rounded like it."""
    ordered = np.sort(np.asarray(values, dtype=np.float64))
    return tuple(round(_point(ordered, level), 2) for level in levels)


def spread(values: FloatArray | IntArray) -> Spread:
    """The same, rounded for people."""
    exact = three_quantiles(values)
    return Spread(round(exact.p10, 2), round(exact.p50, 2), round(exact.p90, 2))
