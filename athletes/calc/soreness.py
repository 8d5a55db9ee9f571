"""The days after hard work: what is seen then tells of a capacity that is lower for a while.

Work counts as hard with three sets of ten to failure (Moran-Navarro et al. 2017), and above all when it was far more
than usual. ln L is then lower by an effect of which only mean and SD are known beforehand, in full for a day and
less by the day from then on.
"""

import math
from bisect import bisect_left, insort
from collections.abc import Iterator, Sequence
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
    for one, usual in zip(ordered, _usual(ordered), strict=True):
        share = _unusual_share(one.repetitions, usual)
        if share > 0.0:
            found.append(Effect(one.at_hour, share * UNUSUAL_LOSS, share * UNUSUAL_LOSS_SD, True))
        elif one.failure_repetitions >= FAILURE_REPETITIONS:
            found.append(Effect(one.at_hour, FAILURE_LOSS, FAILURE_LOSS_SD, False))
    return found


def _usual(ordered: Sequence[Work]) -> Iterator[float | None]:
    """For each session the median repetitions of those before it within USUAL_DAYS; None where there are none.

    The window is kept sorted, each session going in once and out once.
    """
    by_day = sorted((one.day, one.repetitions) for one in ordered if one.repetitions > 0.0)
    gone = 0
    window: list[float] = []
    for one in ordered:
        while gone < len(by_day) and by_day[gone][0] < one.day - USUAL_DAYS:
            del window[bisect_left(window, by_day[gone][1])]
            gone += 1
        # Hour 24 of a day is hour 0 of the next: of two such sessions the later one may have the earlier day.
        while gone > 0 and by_day[gone - 1][0] >= one.day - USUAL_DAYS:
            gone -= 1
            insort(window, by_day[gone][1])
        yield _median(window) if window else None
        if one.repetitions > 0.0:
            insort(window, one.repetitions)


def _median(ascending: Sequence[float]) -> float:
    half = len(ascending) // 2
    return ascending[half] if len(ascending) % 2 else (ascending[half - 1] + ascending[half]) / 2.0


def _unusual_share(repetitions: float, usual: float | None) -> float:
    """0 for what is usual, 1/2 for twice as much, 1 for four times as much and more; 1 where nothing is known."""
    if usual is None:
        return 1.0 if repetitions >= UNUSUAL_UNKNOWN else 0.0
    if repetitions < UNUSUAL_LEAST or repetitions / usual < UNUSUAL_RATIO:
        return 0.0
    return min(0.5 * math.log2(repetitions / usual), 1.0)


def share_left(hours_since: FloatArray) -> FloatArray:
    """Share of an effect that is felt so many hours after it began."""
    since = np.asarray(hours_since, dtype=np.float64)
    left = np.exp2(-np.maximum(since - SORE_FULL_HOURS, 0.0) / SORE_HALF_HOURS)
    return np.where((since >= SAME_SESSION_HOURS) & (since <= SORE_END_HOURS), left, 0.0)


def felt(effects: Sequence[Effect], at_hour: FloatArray) -> tuple[IntArray, FloatArray]:
    """(index of the effect that is felt most, -1 for none; its share left), each (M,).

    effects in the order of time; at_hour (M,) in any. Only those that are not over at an hour are looked at there.
    """
    which: IntArray = np.full(at_hour.shape, -1, dtype=np.int64)
    share: FloatArray = np.zeros(at_hour.shape)
    if not effects or not at_hour.size:
        return which, share
    began, mean = np.array([effect[:2] for effect in effects]).T
    # A minute more at either side, so that share_left alone decides at the bounds.
    first = np.searchsorted(began, at_hour - SORE_END_HOURS - 1.0 / 60.0)
    after = np.searchsorted(began, at_hour - SAME_SESSION_HOURS + 1.0 / 60.0)
    most = np.zeros(at_hour.shape)
    for step in range(int((after - first).max())):
        there = np.flatnonzero(first + step < after)
        n = first[there] + step
        left = share_left(at_hour[there] - began[n])
        stronger = left * mean[n] > most[there]
        hit = there[stronger]
        which[hit], share[hit] = n[stronger], left[stronger]
        most[hit] = (left * mean[n])[stronger]
    return which, share
