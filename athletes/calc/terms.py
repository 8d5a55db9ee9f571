"""An ability in the terms of a person, node by node: repetitions at a load, the maximum, seconds held, watts.

Each is a rising function of y = ln of the ability, relative to ln of the load where a load is moved.
"""

import math
from dataclasses import dataclass

import numpy as np

from athletes.calc.constants import MOST_REPETITIONS
from athletes.calc.endurance_constants import HOLD_LONGEST_S
from athletes.calc.hold_seen import ANCHOR_S
from programming.calc.arrays import FloatArray


@dataclass(frozen=True, eq=False)
class RepetitionTerms:
    """Repetitions to failure; y = ln L10 - ln L. k (S,), a of A = a S (athletes.calc.curve)."""

    k: FloatArray
    a: float

    def own(self, y: FloatArray) -> FloatArray:
        left = self._left(10.0) * np.exp(-y) - self.a
        n = np.full(y.shape, MOST_REPETITIONS)
        k = np.broadcast_to(self.k[:, None], y.shape)
        np.divide(-np.log(np.maximum(left, 1e-300) / (1.0 - self.a)), k, out=n, where=left > 0.0)
        return np.asarray(np.clip(n, 0.0, MOST_REPETITIONS))

    def back(self, value: FloatArray) -> FloatArray:
        y = np.log(self._left(10.0) / self._left(np.clip(value, 0.0, MOST_REPETITIONS)))
        return np.where(value < 0.0, -np.inf, np.where(value >= MOST_REPETITIONS, np.inf, y))

    def _left(self, n: FloatArray | float) -> FloatArray:
        """L / S (S, N) at n repetitions."""
        return np.asarray(self.a + (1.0 - self.a) * np.exp(-self.k[:, None] * n))


@dataclass(frozen=True, eq=False)
class MaximumTerms:
    """One-repetition maximum in kg; y = ln L10. k (S,), a of A = a S."""

    k: FloatArray
    a: float

    def own(self, y: FloatArray) -> FloatArray:
        return np.asarray(np.exp(y + self._rise()))

    def back(self, value: FloatArray) -> FloatArray:
        return np.asarray(_log(value) - self._rise())

    def _rise(self) -> FloatArray:
        single, ten = (self.a + (1.0 - self.a) * np.exp(-self.k * n) for n in (1.0, 10.0))
        return np.asarray(np.log(single / ten)[:, None])


@dataclass(frozen=True, eq=False)
class HoldTerms:
    """Seconds that are held, up to HOLD_LONGEST_S; y = ln L60 - ln L. exponents (S,)."""

    exponents: FloatArray

    def own(self, y: FloatArray) -> FloatArray:
        log_seconds = math.log(ANCHOR_S) + y / self.exponents[:, None]
        return np.asarray(np.exp(np.minimum(log_seconds, math.log(HOLD_LONGEST_S))))

    def back(self, value: FloatArray) -> FloatArray:
        y = (_log(value) - math.log(ANCHOR_S)) * self.exponents[:, None]
        return np.where(value >= HOLD_LONGEST_S, np.inf, y)


@dataclass(frozen=True)
class PlainTerms:
    """exp(y) itself: the critical power in W, the critical speed in m/s."""

    def own(self, y: FloatArray) -> FloatArray:
        return np.asarray(np.exp(y))

    def back(self, value: FloatArray) -> FloatArray:
        return _log(value)


def _log(value: FloatArray) -> FloatArray:
    """-inf where there is no logarithm: less than nothing."""
    return np.where(value > 0.0, np.log(np.maximum(value, 1e-300)), -np.inf)
