"""Return to training after two weeks or more without it, after illness, or as somebody new to it.

Published guidance, not medical advice. Source: Caterisano et al. 2019, Strength and Conditioning Journal 41(3):1-23
(joint consensus of CSCCa and NSCA), doi 10.1519/SSC.0000000000000477:

    conditioning and testing   volume cut by at least 50, 30, 20, 10 % in weeks 1 to 4 against the uppermost volume
    who                        two weeks for returners, four for new athletes and after heat illness or
                               rhabdomyolysis (from memory)
    lifting                    at most 3 days in the first week, 4 in the second; intensity relative volume
                               sets * repetitions * share of 1RM within 11 to 30; work to rest at least 1:4, then
                               1:3 (from memory)

The service cuts the volume and plans no failure; the figures of lifting are told with a prescription, as a caution on
the movements under a load, and choose no load and no amount. `lifting_allowed` is the rule for who plans the sets.

A highest volume of five repetitions or fewer is a test of strength and no volume of training: a single would allow
nothing, and less than somebody gets who was never seen in the movement. Of a return from nothing but time, the share
is then of an ordinary beginning (athletes.calc.caution); after heat illness or rhabdomyolysis it stays of what was
done (ours).

A week that was not tolerated is a matter for the staff, who hold the athlete; nothing here advances by itself
beyond the calendar. No work to failure in the first week.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, get_args

from athletes.calc.caution import NOVEL_EXPOSURE

Kind = Literal["returning", "new", "after_heat_illness", "after_rhabdomyolysis"]
KINDS: Final[tuple[Kind, ...]] = get_args(Kind)

SILENT_DAYS: Final = 14
"""Days from the last training to a session from which on somebody counts as having been away (two weeks)."""

VOLUME_SHARES: Final = (0.5, 0.7, 0.8, 0.9)
WEEKS: Final[dict[Kind, int]] = {
    "returning": 2,
    "new": 4,
    "after_heat_illness": 4,
    "after_rhabdomyolysis": 4,
}
SESSIONS: Final = (3, 4)
REST_PER_WORK: Final = (4.0, 3.0)
IRV_LOW, IRV_HIGH = 11.0, 30.0

PEAK_DAYS: Final = 84
"""Ours: the highest volume is looked for in the twelve weeks before; what was possible years ago is no measure."""

LEAST_BASELINE: Final[dict[Kind, float]] = {
    "returning": NOVEL_EXPOSURE,
    "new": NOVEL_EXPOSURE,
    "after_heat_illness": 0.0,
    "after_rhabdomyolysis": 0.0,
}
"""Ours: repetitions that a share is of where no volume of training is known, by the kind of return."""
MOST_OF_A_TEST: Final = 5.0
"""Ours: who did no more of a movement in any session of twelve weeks has tested it."""

LATEST_QUESTION_DAYS: Final = 28
"""Ours: whoever has trained for four weeks since is through the longest scheme; nobody is asked about it then."""


@dataclass(frozen=True)
class ReturnWeek:
    """What holds in one week of the return.

    volume_share of the highest volume of one session before; max_sessions of lifting and work_rest (seconds of
    rest for each of work, at least) are None in weeks for which no figure is published.
    """

    volume_share: float
    to_failure: bool
    max_sessions: int | None
    irv_low: float
    irv_high: float
    work_rest: float | None


@dataclass(frozen=True)
class Silence:
    """Days without any known training: first and last (ordinals of dates)."""

    first_day: int
    last_day: int


def baseline(peak: float, least: float) -> float:
    """Repetitions that a share is of: the highest volume, or `least` where that was a test."""
    return max(peak, least) if peak <= MOST_OF_A_TEST else peak


def return_scheme(kind: Kind, weeks_since: int) -> ReturnWeek | None:
    """The week of the return, `weeks_since` being 0 in the first seven days; None when the scheme is over.

    Raises ValueError for an unknown kind or a negative number of weeks.
    """
    if kind not in WEEKS:
        raise ValueError(f"unknown kind of return {kind!r}")
    if weeks_since < 0:
        raise ValueError(f"weeks since the return must not be negative, got {weeks_since}")
    if weeks_since >= WEEKS[kind]:
        return None
    return ReturnWeek(
        volume_share=VOLUME_SHARES[weeks_since],
        to_failure=weeks_since > 0,
        max_sessions=SESSIONS[weeks_since] if weeks_since < len(SESSIONS) else None,
        irv_low=IRV_LOW,
        irv_high=IRV_HIGH,
        work_rest=REST_PER_WORK[weeks_since] if weeks_since < len(REST_PER_WORK) else None,
    )


def most_volume(baseline: float, share: float) -> int:
    """Whole repetitions within the share of a baseline (rounded down). Raises ValueError below 0."""
    if not (math.isfinite(baseline) and baseline >= 0.0):
        raise ValueError(f"a volume is finite and not negative, got {baseline!r}")
    return math.floor(baseline * share + 1e-9)


def intensity_relative_volume(sets: int, repetitions: int, share_of_one_rm: float) -> float:
    """sets * repetitions * load as a share (0..1) of the one-repetition maximum, of one exercise."""
    if sets < 0 or repetitions < 0 or not 0.0 <= share_of_one_rm <= 1.0:
        raise ValueError("sets and repetitions must not be negative, the share must lie in 0 to 1")
    return sets * repetitions * share_of_one_rm


def lifting_allowed(week: ReturnWeek, sets: int, repetitions: int, share_of_one_rm: float) -> bool:
    """Whether the lifting stays at or below the upper figure; less than the lower one harms nobody."""
    return intensity_relative_volume(sets, repetitions, share_of_one_rm) <= week.irv_high + 1e-9


def silence_before(trained: Sequence[int], day: int) -> Silence | None:
    """The days without training before `day`, if there are two weeks of them and there was training before.

    trained: ordinals of the days with a result, a test or a confirmed training, in any order; days on or after
    `day` are ignored. None for somebody who never trained: nobody returns to what they have not begun.
    """
    last = max((one for one in trained if one < day), default=None)
    if last is None or day - last < SILENT_DAYS:
        return None
    return Silence(last + 1, day - 1)


def week_of_return(returned_on: int, day: int) -> int:
    """Full weeks since the first day back; 0 on it and for days before."""
    return max(day - returned_on, 0) // 7
