"""Time trials of cyclical work: what was seen, and how much the amounts and times of each kind of trial say.

Amounts are work [J] against a critical power [W], or distance [m] against a critical speed [m/s].
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, NamedTuple, get_args

import numpy as np

from athletes.calc.constants import WEAK_WEIGHT
from athletes.calc.covering import telling
from athletes.calc.endurance_constants import (
    CONTRADICTION_DAYS,
    CONTRADICTION_SDS,
    TRIAL_LOG_SD,
    TRIAL_LONGEST_S,
    TRIAL_MISFIT_LONG,
    TRIAL_MISFIT_SHORT,
    TRIAL_SHORTEST_S,
)
from programming.calc.arrays import FloatArray, IntArray

TrialKind = Literal["maximal", "at_least", "at_least_weak"]
SHORTEST_TOLD_S: Final = 0.1
LONGEST_TOLD_S: Final = 864_000.0
TRIAL_KINDS: Final[tuple[TrialKind, ...]] = get_args(TrialKind)


@dataclass(frozen=True)
class Trial:
    """An amount that was done in `seconds` on one day (any running day number).

    maximal: as fast as possible; at_least: faster would have been possible; at_least_weak: pain, a judge or the clock
    ended it. weight in (0, 1] divides the variance of the noise. body_mass_kg: that of
    the day, None where it is not known. Raises ValueError for what cannot have been seen.
    """

    day: int
    amount: float
    seconds: float
    kind: TrialKind = "maximal"
    weight: float = 1.0
    body_mass_kg: float | None = None

    def __post_init__(self) -> None:
        if self.kind not in TRIAL_KINDS:
            raise ValueError(f"kind must be one of {', '.join(TRIAL_KINDS)}, got {self.kind!r}")
        if not (math.isfinite(self.amount) and 1e-6 <= self.amount <= 1e12):
            raise ValueError(f"amount must lie in 1e-6 to 1e12, got {self.amount!r}")
        if not (math.isfinite(self.seconds) and SHORTEST_TOLD_S <= self.seconds <= LONGEST_TOLD_S):
            raise ValueError(
                f"seconds must lie in {SHORTEST_TOLD_S} to {LONGEST_TOLD_S}, got {self.seconds!r}"
            )
        if not (math.isfinite(self.weight) and 1e-3 <= self.weight <= 1.0):
            raise ValueError(f"weight must lie in 0.001 to 1, got {self.weight!r}")


class Trials(NamedTuple):
    """Trials of one kind as columns (M,), in the order of days; sd is the noise of ln of the amount."""

    day: IntArray
    log_amount: FloatArray
    seconds: FloatArray
    sd: FloatArray


def misfit(seconds: FloatArray) -> FloatArray:
    """SD of ln of the amount by which two parameters miss outside 2 to 20 minutes; 0 within."""
    short = np.maximum(np.log(TRIAL_SHORTEST_S / seconds), 0.0)
    long = np.maximum(np.log(seconds / TRIAL_LONGEST_S), 0.0)
    return TRIAL_MISFIT_SHORT * short + TRIAL_MISFIT_LONG * long


def columns(seen: Sequence[Trial], noise: float = TRIAL_LOG_SD) -> tuple[Trials, Trials]:
    """(maximal, lower bounds) sorted so that the order of entry does not matter.

    A lower bound is left out when another of the same weeks implies it: at least the amount in at most the time.
    """
    code = {kind: index for index, kind in enumerate(TRIAL_KINDS)}
    table = np.array([(o.day, code[o.kind], o.amount, o.seconds, o.weight) for o in seen]).reshape(-1, 5)
    order = np.lexsort((table[:, 4], table[:, 3], table[:, 2], table[:, 1], table[:, 0]))
    day, kind, amount, seconds, weight = table[order].T
    trust = np.sqrt(np.where(kind == code["at_least_weak"], WEAK_WEIGHT * weight, weight))
    told = Trials(day.astype(np.int64), np.log(amount), seconds, np.hypot(noise, misfit(seconds)) / trust)
    maximal = kind == code["maximal"]
    bounds = Trials(*(column[~maximal] for column in told))
    kept = telling(
        bounds.day,
        -np.log(bounds.seconds),
        bounds.log_amount,
        np.full(bounds.day.size, np.inf),
        trust[~maximal],
    )
    return Trials(*(column[maximal] for column in told)), Trials(*(column[kept] for column in bounds))


def contradict(maximal: Trials) -> bool:
    """Whether a longer trial was done at a clearly higher mean power than a shorter one of the same weeks.

    No parameters explain that: one of the two was not all-out, or was written down wrongly.
    """
    order = np.argsort(maximal.seconds, kind="stable")
    day, log_amount, seconds, sd = (column[order] for column in maximal)
    log_power = log_amount - np.log(seconds)
    gained = log_power[None, :] - log_power[:, None]  # of the second, longer one over the first
    longer = seconds[None, :] > seconds[:, None]
    near = np.abs(day[None, :] - day[:, None]) <= CONTRADICTION_DAYS
    return bool((longer & near & (gained > CONTRADICTION_SDS * np.hypot(sd[None, :], sd[:, None]))).any())
