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
from programming.calc.arrays import FloatArray, IntArray, compiled, inlined, table

HOURS: int = 24


@dataclass(frozen=True, slots=True)
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
    if not work:
        return []
    day, hour, done, failed = table(
        [(one.day, one.hour, one.repetitions, one.failure_repetitions) for one in work], 4
    )
    at_hour = HOURS * day + hour
    order = np.lexsort((failed, done, at_hour))
    day, done, failed = day[order], done[order], failed[order]
    usual = usual_before(day, done, np.lexsort((done, day)))
    # What _unusual_share may call unusual, so that the usual sessions cost nothing more.
    more = (done >= UNUSUAL_LEAST) & (done / usual >= UNUSUAL_RATIO)
    unusual = np.where(np.isnan(usual), done >= UNUSUAL_UNKNOWN, more)
    hard = np.flatnonzero(unusual | (failed >= FAILURE_REPETITIONS))
    rows = zip(*(column[hard].tolist() for column in (at_hour[order], done, failed, usual)), strict=True)
    return [one for row in rows if (one := _effect(*row)) is not None]


def _effect(at_hour: float, done: float, failed: float, usual: float) -> Effect | None:
    share = _unusual_share(done, None if math.isnan(usual) else usual)
    if share > 0.0:
        return Effect(at_hour, share * UNUSUAL_LOSS, share * UNUSUAL_LOSS_SD, True)
    return Effect(at_hour, FAILURE_LOSS, FAILURE_LOSS_SD, False) if failed >= FAILURE_REPETITIONS else None


@compiled
def usual_before(day: FloatArray, done: FloatArray, by_day: IntArray) -> FloatArray:
    """For each session (M,) in the order of time the median repetitions of those before it within USUAL_DAYS, without
    sessions of none; NaN where there are none. by_day (M,): the sessions ordered by day and repetitions.

    The window is kept sorted, each session going in once and out once.
    """
    ordered = by_day[done[by_day] > 0.0]
    window, size, gone = np.empty_like(done), 0, 0
    usual = np.full(done.size, np.nan)
    for n in range(done.size):
        first = day[n] - USUAL_DAYS
        while gone < ordered.size and day[ordered[gone]] < first:
            leave(window, size, done[ordered[gone]])
            size, gone = size - 1, gone + 1
        # Hour 24 of a day is hour 0 of the next: of two such sessions the later one may have the earlier day.
        while gone > 0 and day[ordered[gone - 1]] >= first:
            gone -= 1
            enter(window, size, done[ordered[gone]])
            size += 1
        if size > 0:
            half = size // 2
            usual[n] = window[half] if size % 2 else (window[half - 1] + window[half]) / 2.0
        if done[n] > 0.0:
            enter(window, size, done[n])
            size += 1
    return usual


@inlined
def enter(window: FloatArray, size: int, value: float) -> None:
    """Put a value into the ascending first `size` of a window."""
    at = np.searchsorted(window[:size], value)
    for n in range(size, at, -1):
        window[n] = window[n - 1]
    window[at] = value


@inlined
def leave(window: FloatArray, size: int, value: float) -> None:
    """Take a value that is there out of them."""
    for n in range(np.searchsorted(window[:size], value), size - 1):
        window[n] = window[n + 1]


def _unusual_share(repetitions: float, usual: float | None) -> float:
    """0 for what is usual, 1/2 for twice as much, 1 for four times as much and more; 1 where nothing is known."""
    if usual is None:
        return 1.0 if repetitions >= UNUSUAL_UNKNOWN else 0.0
    if repetitions < UNUSUAL_LEAST or repetitions / usual < UNUSUAL_RATIO:
        return 0.0
    return min(0.5 * math.log2(repetitions / usual), 1.0)


@inlined
def left_after(since: float) -> float:
    """Share of an effect that is felt so many hours after it began."""
    if since < SAME_SESSION_HOURS or since > SORE_END_HOURS:
        return 0.0
    return float(2.0 ** (-max(since - SORE_FULL_HOURS, 0.0) / SORE_HALF_HOURS))


@compiled
def share_left(hours_since: FloatArray) -> FloatArray:
    """As `left_after`, of each (M,)."""
    return np.array([left_after(since) for since in hours_since])


def felt(effects: Sequence[Effect], at_hour: FloatArray) -> tuple[IntArray, FloatArray]:
    """(index of the effect that is felt most, -1 for none; its share left), each (M,).

    effects in the order of time; at_hour (M,) in any. Only those that are not over at an hour are looked at there.
    """
    which: IntArray = np.full(at_hour.shape, -1, dtype=np.int64)
    share: FloatArray = np.zeros(at_hour.shape)
    if not effects or not at_hour.size:
        return which, share
    began, mean, _, _ = table(effects, 4)
    return most_felt(began, mean, at_hour)


@compiled
def most_felt(began: FloatArray, mean: FloatArray, at_hour: FloatArray) -> tuple[IntArray, FloatArray]:
    """As `felt`, of effects with these beginnings, ascending, and means, each (E,)."""
    which, share = np.full(at_hour.size, -1), np.zeros(at_hour.size)
    for i in range(at_hour.size):
        most = 0.0
        for n in range(np.searchsorted(began, at_hour[i]) - 1, -1, -1):
            since = at_hour[i] - began[n]
            if since > SORE_END_HOURS:
                break
            left = left_after(since)
            if left * mean[n] >= most and left > 0.0:  # of equals the earlier
                which[i], share[i], most = n, left, left * mean[n]
    return which, share
