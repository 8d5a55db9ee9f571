"""The days after hard work: what is seen then tells of a capacity that is lower for a while.

Work counts as hard with three sets of ten to failure (Moran-Navarro et al. 2017), and above all when it was far more
than usual. ln L is then lower by an effect of which only mean and SD are known beforehand, in full for a day and
less by the day from then on.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from athletes.calc.constants import (
    FAILURE_LOSS,
    FAILURE_LOSS_SD,
    FAILURE_REPETITIONS,
    SAME_SESSION_HOURS,
    SORE_END_HOURS,
    SORE_FULL_HOURS,
    SORE_HALF_HOURS,
    UNUSUAL_LEAST,
    UNUSUAL_LOSS,
    UNUSUAL_LOSS_SD,
    UNUSUAL_RATIO,
    UNUSUAL_UNKNOWN,
    USUAL_DAYS,
)
from programming.calc.arrays import FloatArray, IntArray

HOURS: int = 24


@dataclass(frozen=True)
class Work:
    """What one session held of the movement: its repetitions in all sets, and those of sets that went to failure.

    hour is the hour of the day at its end, 0 to 24. Raises ValueError for what cannot have been.
    """

    day: int
    repetitions: float
    failure_repetitions: float = 0.0
    hour: float = 12.0

    def __post_init__(self) -> None:
        if not (math.isfinite(self.repetitions) and 0.0 <= self.repetitions <= 1e6):
            raise ValueError(f"repetitions must lie in 0 to 1000000, got {self.repetitions!r}")
        if not 0.0 <= self.failure_repetitions <= self.repetitions:
            raise ValueError(
                f"failure_repetitions must lie in 0 to repetitions, got {self.failure_repetitions!r}"
            )
        if not 0.0 <= self.hour <= HOURS:
            raise ValueError(f"hour must lie in 0 to 24, got {self.hour!r}")

    @property
    def at_hour(self) -> float:
        return HOURS * self.day + self.hour


class Effect(NamedTuple):
    """A lowering of ln L by mean and SD, from at_hour on. unusual: after far more work than usual."""

    at_hour: float
    mean: float
    sd: float
    unusual: bool


def effects_of(work: Sequence[Work]) -> list[Effect]:
    """The effect of each session that was hard, in the order of time."""
    ordered = sorted(work, key=lambda one: (one.at_hour, one.repetitions, one.failure_repetitions))
    found = []
    for n, one in enumerate(ordered):
        before = [w.repetitions for w in ordered[:n] if one.day - w.day <= USUAL_DAYS and w.repetitions > 0]
        share = _unusual_share(one.repetitions, before)
        if share > 0.0:
            found.append(Effect(one.at_hour, share * UNUSUAL_LOSS, share * UNUSUAL_LOSS_SD, True))
        elif one.failure_repetitions >= FAILURE_REPETITIONS:
            found.append(Effect(one.at_hour, FAILURE_LOSS, FAILURE_LOSS_SD, False))
    return found


def _unusual_share(repetitions: float, before: Sequence[float]) -> float:
    """0 for what is usual, 1/2 for twice as much, 1 for four times as much and more; 1 where nothing is known."""
    if not before:
        return 1.0 if repetitions >= UNUSUAL_UNKNOWN else 0.0
    ratio = repetitions / float(np.median(before))
    if ratio < UNUSUAL_RATIO or repetitions < UNUSUAL_LEAST:
        return 0.0
    return min(0.5 * math.log2(ratio), 1.0)


def share_left(hours_since: FloatArray) -> FloatArray:
    """Share of an effect that is felt so many hours after it began."""
    since = np.asarray(hours_since, dtype=np.float64)
    left = np.exp2(-np.maximum(since - SORE_FULL_HOURS, 0.0) / SORE_HALF_HOURS)
    return np.where((since >= SAME_SESSION_HOURS) & (since <= SORE_END_HOURS), left, 0.0)


def felt(effects: Sequence[Effect], at_hour: FloatArray) -> tuple[IntArray, FloatArray]:
    """(index of the effect that is felt most, -1 for none; its share left), each (M,)."""
    which: IntArray = np.full(at_hour.shape, -1, dtype=np.int64)
    share: FloatArray = np.zeros(at_hour.shape)
    most = np.zeros(at_hour.shape)
    for n, effect in enumerate(effects):
        left = share_left(at_hour - effect.at_hour)
        stronger = left * effect.mean > most
        which[stronger], share[stronger] = n, left[stronger]
        most = np.maximum(most, left * effect.mean)
    return which, share
