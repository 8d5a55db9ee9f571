"""What absence takes away: the mean of ln L10 falls, its variance grows (constants: Bosquet et al. 2013)."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from athletes.calc.constants import (
    ABSENCE_GRACE_DAYS,
    ABSENCE_LARGEST_LOSS,
    ABSENCE_LOSS_CV,
    ABSENCE_LOSS_DAYS,
)
from programming.calc.arrays import FloatArray


@dataclass(frozen=True)
class Absence:
    """Days without training, as somebody confirmed: from_day to to_day, both included (running day numbers).

    Raises ValueError when it ends before it begins.
    """

    from_day: int
    to_day: int

    def __post_init__(self) -> None:
        if self.to_day < self.from_day:
            raise ValueError(f"to_day must not lie before from_day, got {self.from_day} to {self.to_day}")


def lost_until(absences: Sequence[Absence], days: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(fall of the mean, variance) of ln L10, each (M,), that absences have made up to each day.

    Both never shrink with the day: what comes back, tests tell. Absences that touch or overlap are one.
    """
    fall, variance = np.zeros(days.shape), np.zeros(days.shape)
    for begin, end in _merged(absences):
        away = np.clip(days - begin, 0.0, end - begin) - ABSENCE_GRACE_DAYS
        lost = ABSENCE_LARGEST_LOSS * -np.expm1(-np.maximum(away, 0.0) / ABSENCE_LOSS_DAYS)
        fall += lost
        variance += (ABSENCE_LOSS_CV * lost) ** 2
    return fall, variance


def away_until(absences: Sequence[Absence], days: FloatArray) -> FloatArray:
    """Days of absence (M,) up to each day."""
    away = np.zeros(days.shape)
    for begin, end in _merged(absences):
        away += np.clip(days - begin, 0.0, end - begin)
    return away


def _merged(absences: Sequence[Absence]) -> list[tuple[int, int]]:
    """(first day, day after the last) of each stretch, ascending."""
    stretches: list[tuple[int, int]] = []
    for absence in sorted(absences, key=lambda one: one.from_day):
        if stretches and absence.from_day <= stretches[-1][1]:
            begin, end = stretches[-1]
            stretches[-1] = (begin, max(end, absence.to_day + 1))
        else:
            stretches.append((absence.from_day, absence.to_day + 1))
    return stretches
