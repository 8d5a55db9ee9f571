"""Holds as they were seen, and as the filter of repetitions reads them: n = 10 + ln(t / 60) for n repetitions."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, get_args

import numpy as np

from athletes.calc.constants import WEAK_WEIGHT
from athletes.calc.covering import telling
from athletes.calc.endurance_constants import (
    HOLD_LOG_SD,
    HOLD_LONGEST_S,
    HOLD_MISFIT_OUTSIDE,
    HOLD_SHORTEST_S,
    HOLD_TIMING_S,
)
from athletes.calc.observation import IN_RANGE, History
from programming.calc.arrays import FloatArray

HoldKind = Literal["to_failure", "at_least", "at_least_weak"]
HOLD_KINDS: Final[tuple[HoldKind, ...]] = get_args(HoldKind)
MOST_SECONDS_TOLD: Final = 86_400.0
ANCHOR_S: Final = 60.0
AT_ANCHOR: Final = 10.0  # the filter measures everything from "ten repetitions"


@dataclass(frozen=True)
class HoldSeen:
    """A hold of one day (any running day number) at an effective load in kg.

    to_failure: `seconds` and not longer; at_least: stopped as planned; at_least_weak: ended by pain, a judge or the
    clock. weight in (0, 1] divides the variance of the noise. body_mass_kg: that of
    the day, None where it is not known. Raises ValueError for what cannot have been seen.
    """

    day: int
    load_kg: float
    seconds: float
    kind: HoldKind
    weight: float = 1.0
    body_mass_kg: float | None = None

    def __post_init__(self) -> None:
        if self.kind not in HOLD_KINDS:
            raise ValueError(f"kind must be one of {', '.join(HOLD_KINDS)}, got {self.kind!r}")
        if not (math.isfinite(self.load_kg) and 1e-3 <= self.load_kg <= 1e5):
            raise ValueError(f"load_kg must lie in 0.001 to 100000, got {self.load_kg!r}")
        if not (math.isfinite(self.seconds) and 0.0 <= self.seconds <= MOST_SECONDS_TOLD):
            raise ValueError(f"seconds must lie in 0 to {MOST_SECONDS_TOLD:g}, got {self.seconds!r}")
        if not (math.isfinite(self.weight) and 1e-3 <= self.weight <= 1.0):
            raise ValueError(f"weight must lie in 0.001 to 1, got {self.weight!r}")


def outside(log_seconds: FloatArray) -> FloatArray:
    """SD of ln t by which the law misses outside its bounds."""
    short = np.maximum(math.log(HOLD_SHORTEST_S) - log_seconds, 0.0)
    long = np.maximum(log_seconds - math.log(HOLD_LONGEST_S), 0.0)
    return HOLD_MISFIT_OUTSIDE * (short + long)


def hold_history(seen: Sequence[HoldSeen]) -> History:
    """Columns for the filter, n = 10 + ln(t / 60), sorted so that the order of entry does not matter."""
    code = {kind: index for index, kind in enumerate(HOLD_KINDS)}
    table = np.array([(o.day, code[o.kind], o.load_kg, o.seconds, o.weight) for o in seen]).reshape(-1, 5)
    order = np.lexsort((table[:, 4], table[:, 3], table[:, 2], table[:, 1], table[:, 0]))
    day, kind, load, seconds, weight = table[order].T
    failed = kind == code["to_failure"]
    least = np.where(failed, seconds - HOLD_TIMING_S, seconds)
    most = np.where(failed, seconds + HOLD_TIMING_S, np.inf)
    # Not even the second of the timing error: nothing bounds the time from below.
    lower = np.where(least > 0.0, _as_count(np.maximum(least, 1e-3)), -np.inf)
    upper = np.where(np.isfinite(most), _as_count(np.maximum(most, 1e-3)), np.inf)
    trust = np.sqrt(np.where(kind == code["at_least_weak"], WEAK_WEIGHT * weight, weight))
    told = np.log(np.maximum(seconds, HOLD_TIMING_S))
    history = History(
        day=day.astype(np.int64),
        form=np.full(day.size, IN_RANGE),
        log_load=np.log(load),
        lower=lower,
        upper=upper,
        noise_at=np.full(day.size, AT_ANCHOR),
        count_sd=np.hypot(HOLD_LOG_SD, outside(told)) / trust,
        load_sd=np.zeros(day.size),
    )
    keep = telling(history.day, history.log_load, history.lower, history.upper, trust)
    return History(*(column[keep] for column in history))


def _as_count(seconds: FloatArray) -> FloatArray:
    return AT_ANCHOR + np.log(seconds / ANCHOR_S)
