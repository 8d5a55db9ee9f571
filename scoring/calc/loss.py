"""How bad it is to miss a window, and on which side.

The loss is piecewise linear and convex in the value, on both sides in units of the window's scale: the mean of its
bounds, so that one repetition too few always costs three times one too many. Convex on purpose:
for options that differ by load alone a stronger athlete is then never given an easier one (for every scenario
the gain of the harder option over the easier one grows with strength). Counting whole repetitions bends the loss by
less than one of them: there the promise rests on the tests, not on the proof.
"""

from collections.abc import Sequence
from math import inf
from typing import Final, NamedTuple

import numpy as np

from programming.calc.arrays import FloatArray, compiled

# Too hard costs three times what too easy costs: two repetitions too few are as bad as six too many (ours).
# A version that is too hard breaks the session down and teaches bad repetitions; one too easy only trains
# less.
TOO_HARD: Final = 3.0
TOO_EASY: Final = 1.0
# The version as written is kept unless another is better by more than a thousand scenarios can mistake.
NOT_AS_WRITTEN: Final = 0.03
# A version that the athlete has not done before must be better by about a tenth of the window.
NOVEL: Final = 0.10


# A share of what is available is met within five percent points: what is available before a set is known to half a
# repetition at best, and of ten repetitions that is five points (ours).
SHARE_TOLERANCE: Final = 5.0


class Window(NamedTuple):
    """lower <= value <= upper, a side left open is None; low_is_hard: whether a low value means too hard."""

    lower: float | None
    upper: float | None
    low_is_hard: bool

    @property
    def scale(self) -> float:
        """The mean of the bounds that can be missed, at least 1."""
        bounds = [one for one in (self.lower, self.upper) if one is not None and one > 0.0]
        return max(sum(bounds) / len(bounds), 1.0) if bounds else 1.0

    def widened(self, by: float) -> "Window":
        """With bounds that are further out by as much."""
        lower, upper = self.lower, self.upper
        return self._replace(
            lower=None if lower is None else lower - by, upper=None if upper is None else upper + by
        )


def costs_of(window: Window) -> tuple[float, float]:
    """(loss for each unit below the lower bound, for each above the upper one); 0 on a side that cannot be missed."""
    below, above = (TOO_HARD, TOO_EASY) if window.low_is_hard else (TOO_EASY, TOO_HARD)
    can_be_below = window.lower is not None and window.lower > 0.0
    can_be_above = window.upper is not None
    return below / window.scale if can_be_below else 0.0, above / window.scale if can_be_above else 0.0


def window_loss(low: FloatArray, high: FloatArray, window: Window) -> FloatArray:
    """Loss (N,) of scenarios whose values range from `low` to `high` (N,); 0 inside the window.

    Infinite low or minus infinite high means that there is no value: no loss.
    """
    below, above = (TOO_HARD, TOO_EASY) if window.low_is_hard else (TOO_EASY, TOO_HARD)
    loss: FloatArray = np.zeros(len(low))
    if window.lower is not None and window.lower > 0.0:
        loss = loss + below * np.maximum(window.lower - low, 0.0) / window.scale
    if window.upper is not None:
        loss = loss + above * np.maximum(high - window.upper, 0.0) / window.scale
    return loss


def in_window(low: FloatArray, high: FloatArray, window: Window) -> FloatArray:
    """1.0 where all values from `low` to `high` lie in the window, bounds included, else 0.0 (N,)."""
    holds = np.ones(len(low), dtype=bool)
    if window.lower is not None:
        holds &= low >= window.lower
    if window.upper is not None:
        holds &= high <= window.upper
    return holds.astype(np.float64)


def bounds_and_costs(windows: Sequence[Window]) -> FloatArray:
    """Windows (W, 4): bounds, infinite where open; what a unit below and above them costs."""
    rows = [
        (
            -inf if window.lower is None else window.lower,
            inf if window.upper is None else window.upper,
            *costs_of(window),
        )
        for window in windows
    ]
    return np.array(rows, dtype=np.float64).reshape(len(rows), 4)


@compiled
def in_all(values: FloatArray, windows: FloatArray) -> tuple[float, float]:
    """(mean loss of values (N,) over windows (W, 4), how often they lie in all of them)."""
    lost, kept = 0.0, 0.0
    for n in range(len(values)):
        value, holds = values[n], True
        for row in range(len(windows)):
            lower, upper = windows[row, 0], windows[row, 1]
            if value < lower:
                lost += windows[row, 2] * (lower - value)
            if value > upper:
                lost += windows[row, 3] * (value - upper)
            holds = holds and lower <= value <= upper
        kept += 1.0 if holds else 0.0
    return lost / len(values), kept / len(values)
