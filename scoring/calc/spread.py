"""Quantiles over the scenarios."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import floor, isnan
from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray, IntArray

THREE: Final = (0.1, 0.5, 0.9)


@dataclass(frozen=True)
class Spread:
    """Quantiles of a quantity over the scenarios."""

    p10: float
    p50: float
    p90: float


def quantile(values: FloatArray | IntArray, level: float) -> float:
    """The point below which the share `level` (0 to 1) of finite values (N,), N > 0, lies; as `three_quantiles`."""
    (point,) = _points(np.sort(np.asarray(values, dtype=np.float64)), (level,))
    return point


def three_quantiles(values: FloatArray | IntArray) -> Spread:
    """The 10 %, 50 % and 90 % points of finite values (N,), N > 0, between neighbours in proportion."""
    ordered = np.sort(np.asarray(values, dtype=np.float64))
    return Spread(*_points(ordered, THREE))


def _points(ordered: FloatArray, levels: tuple[float, ...]) -> list[float]:
    found, item = [], ordered.item
    for below, above, part in _places(len(ordered), levels):
        low: float = item(below)
        found.append(low + part * (item(above) - low))
    return found


@lru_cache(maxsize=256)
def _places(size: int, levels: tuple[float, ...]) -> list[tuple[int, int, float]]:
    """The neighbours between which each level lies among so many values, and how far it is from the lower one."""
    places = [(level * (size - 1), floor(level * (size - 1))) for level in levels]
    return [(below, min(below + 1, size - 1), at - below) for at, below in places]


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
    return _rounded(ordered), tuple([round(point, 2) for point in _points(ordered, tuple(levels))])


def _rounded(ordered: FloatArray) -> Spread:
    return Spread(*[round(point, 2) for point in _points(ordered, THREE)])
