"""What to know beside the figures of a capacity: tests that are due or contradict, and why it is wide."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from math import expm1
from typing import Final

from athletes.calc.capacity import (
    INTERVAL_GROWN,
    NEVER_OBSERVED,
    ONLY_LOWER_BOUNDS,
    in_variation,
    is_seen,
    on_the_day,
    test_due,
)
from athletes.calc.capacity import Capacity as LoadCapacity
from athletes.calc.carry import log_sd
from athletes.calc.constants import TEST_DUE_LOG_SD
from athletes.calc.critical import CriticalCapacity
from athletes.calc.endurance_constants import CRITICAL_DUE_LOG_SD, HOLD_DUE_LOG_SD
from athletes.calc.gain import LASTS_DAYS
from athletes.calc.hold import BOUNDS_ONLY, PRIOR_ONLY, HoldCapacity
from athletes.calc.smooth import PERCENTILE_Z
from athletes.moments import NOON
from athletes.states import CapacityState

VARIATION_UNSEEN: Final = "variation_unseen"
BODY_MASS_CHANGED: Final = "body_mass_changed"
SORE_DAY: Final = "sore_day"
GAIN_EXPECTED: Final = "gain_expected"
CONTRADICTORY_TESTS: Final = "contradictory_tests"
FELT_FROM: Final = 0.01
"""A soreness or a gain that moves ln L by less is not worth a word: a quarter of a repetition of ten."""

_DUE_FOR: Final = {PRIOR_ONLY: NEVER_OBSERVED, BOUNDS_ONLY: ONLY_LOWER_BOUNDS}


@dataclass(frozen=True)
class Contradiction:
    """Two days on which what was seen cannot well be true of one person."""

    earlier: dt.date
    later: dt.date


@dataclass(frozen=True)
class Notes:
    """test_due: why a test is due, None when none is. notes: codes of what makes the figures wide or doubtful."""

    test_due: str | None
    contradictions: tuple[Contradiction, ...]
    notes: tuple[str, ...]


NOTHING_TO_NOTE: Final = Notes(None, (), ())


def notes_of(state: CapacityState | None, variation: str, hour: float = NOON) -> Notes:
    """Of a stored state that was carried to the day without its soreness (see `as_done`)."""
    if isinstance(state, HoldCapacity | CriticalCapacity):
        return Notes(_endurance_due(state), (), ())
    if state is None:
        return NOTHING_TO_NOTE
    told = (
        (CONTRADICTORY_TESTS, bool(state.contradictions)),
        (BODY_MASS_CHANGED, state.body_mass_changed),
        (SORE_DAY, _is_sore(state, hour)),
        (GAIN_EXPECTED, abs(state.gain) * (LASTS_DAYS - state.gain_days) >= FELT_FROM),
        (VARIATION_UNSEEN, state.observations > 0 and not is_seen(state, variation)),
    )
    pairs = tuple(
        Contradiction(dt.date.fromordinal(first), dt.date.fromordinal(second))
        for first, second in state.contradictions
    )
    return Notes(
        test_due(in_variation(state, variation)), pairs, tuple(code for code, holds in told if holds)
    )


def as_done(state: LoadCapacity, variation: str, hour: float = NOON) -> LoadCapacity:
    """What can be done of a variation at an hour of the state's day, soreness included."""
    return in_variation(on_the_day(state, hour), variation)


def _is_sore(state: LoadCapacity, hour: float) -> bool:
    today = on_the_day(state, hour)
    return float(state.weight @ (state.mean - today.mean)) >= FELT_FROM


@dataclass(frozen=True)
class SpreadOfDue:
    """By how much the load or power that 90 % lie below exceeds the middle, and from where a test is due [%]."""

    percent: float
    limit_percent: float


def spread_of_due(state: CapacityState) -> SpreadOfDue:
    """Of a state that was carried to the day."""
    return SpreadOfDue(*(100.0 * expm1(PERCENTILE_Z * sd) for sd in (log_sd(state), _limit(state))))


def test_due_of(state: CapacityState) -> str | None:
    """Why a test is due on the day to which the state was carried, whatever its kind; None when none is."""
    return test_due(state) if isinstance(state, LoadCapacity) else _endurance_due(state)


def _limit(state: CapacityState) -> float:
    if isinstance(state, LoadCapacity):
        return TEST_DUE_LOG_SD
    return HOLD_DUE_LOG_SD if isinstance(state, HoldCapacity) else CRITICAL_DUE_LOG_SD


def _endurance_due(state: HoldCapacity | CriticalCapacity) -> str | None:
    reasons = (state.reason,) if isinstance(state, HoldCapacity) else state.reasons
    told = next((_DUE_FOR[reason] for reason in reasons if reason in _DUE_FOR), None)
    return told or (INTERVAL_GROWN if log_sd(state) > _limit(state) else None)
