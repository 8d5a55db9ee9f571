"""Which one-sided observations tell something that no other of the same weeks tells better.

Forty sets of ten that were stopped as planned are not forty independent proofs: nobody plans what he cannot
do, and the same good weeks made them all. Counted one by one they would push the capacity ever higher above
what was done. So a set that another one covers (at least its load, at least its repetitions, at least its
trust, less than COVERED_WITHIN_DAYS apart) is left out; and likewise a missed single that a missed lighter
one covers.
"""

import math

import numpy as np
from numpy.typing import NDArray

from athletes.calc.constants import COVERED_WITHIN_DAYS
from programming.calc.arrays import FloatArray, IntArray, compiled, inlined


@compiled
def telling(
    day: IntArray, log_load: FloatArray, lower: FloatArray, upper: FloatArray, trust: FloatArray
) -> NDArray[np.bool_]:
    """Whether to keep each of the observations (M,), sorted by day; of equals in reach the last is kept.

    Observations that bound N from both sides are always kept, those that bound it from neither never.
    """
    size = day.size
    kept = np.empty(size, np.bool_)
    for i in range(size):
        bounded_below, bounded_above = lower[i] > -math.inf, upper[i] < math.inf
        kept[i] = bounded_below or bounded_above
        if bounded_below == bounded_above:
            continue
        first = i
        while first > 0 and day[i] - day[first - 1] < COVERED_WITHIN_DAYS:
            first -= 1
        for j in range(first, size):
            if day[j] - day[i] >= COVERED_WITHIN_DAYS:
                break
            if j == i or (lower[j] > -math.inf) != bounded_below or (upper[j] < math.inf) != bounded_above:
                continue
            if covers(log_load, lower, upper, trust, j, i) and (
                j > i or not covers(log_load, lower, upper, trust, i, j)
            ):
                kept[i] = False
                break
    return kept


@inlined
def covers(
    log_load: FloatArray, lower: FloatArray, upper: FloatArray, trust: FloatArray, j: int, i: int
) -> bool:
    """Whether observation j implies what i says, both bounding N from the same one side."""
    if trust[j] < trust[i]:
        return False
    if lower[i] > -math.inf:
        return bool(log_load[j] >= log_load[i]) and bool(lower[j] >= lower[i])
    return bool(log_load[j] <= log_load[i]) and bool(upper[j] <= upper[i])
