"""How a capacity of holding, or a critical power, goes between two days when nobody looks.

The same as of ln L10 (athletes.calc.record): a random walk, a fall and more spread by confirmed absence, more spread
by a changed body mass. What differs is only what falls: ln L60 of a hold, ln of the critical power and of the reserve
by one factor (reasons beside the constants of endurance).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from athletes.calc.decay import Absence
from athletes.calc.record import Walk, body_mass_variance, walked
from programming.calc.arrays import IntArray


@dataclass(frozen=True)
class Ageing:
    """absences are confirmed ones; widened: (day, variance) of each change of the body mass, ascending."""

    absences: tuple[Absence, ...] = ()
    widened: tuple[tuple[int, float], ...] = ()

    def between(self, first: int, days: IntArray) -> Walk:
        """Fall and variance that each day (M,) has gathered since `first`, 0 there; no day lies before it."""
        at = np.concatenate([[first], days]).astype(np.float64)
        fall, variance = walked(self.absences, at)
        for day, added in self.widened:
            variance = variance + np.where(at >= day, added, 0.0)
        return Walk(fall[1:] - fall[0], variance[1:] - variance[0])

    def step(self, day: int, days: int) -> tuple[float, float]:
        """(fall, variance) of the `days` after a day."""
        walk = self.between(day, np.array([day + days], dtype=np.int64))
        return float(walk.fall[0]), float(walk.variance[0])


def ageing(absences: Iterable[Absence], weighed: Sequence[tuple[int, float | None]]) -> Ageing:
    """weighed: day and body mass in kg of each thing that was seen, None where it is not known; in any order."""
    known = sorted((day, mass) for day, mass in weighed if mass is not None)
    widened = [
        (day, body_mass_variance(before, mass))
        for (_, before), (day, mass) in pairwise(known)
        if mass != before
    ]
    return Ageing(tuple(sorted(absences, key=lambda one: (one.from_day, one.to_day))), tuple(widened))
