"""What a prescription takes and gives: candidates in, chosen options with their explanation out."""

from dataclasses import dataclass
from typing import Final, Literal

from programming.calc.plain import as_plain
from programming.calc.revision import REPETITIONS
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.forecast import BlockForecast, Spread
from scoring.calc.warm_up import WarmUpSet

__all__ = [
    "ALTERNATIVES", "PRESCRIPTION_VERSION", "AttemptLoad", "Candidate", "CandidateView", "CheckSet", "ChosenOption",
    "ConditionForecast", "PrescriptionResult", "Reason", "ReasonCode", "RuledOut",
]  # fmt: skip

PRESCRIPTION_VERSION: Final = 5
"""Until version 2 the plan of a block was cut after so many sets as `scoring.sent.CUT_AT`."""

ReasonCode = Literal[
    "no_options",
    "too_hard_at_easiest",
    "too_easy_at_hardest",
    "between_options",
    "time_out_of_reach",
    "later_sets_out_of_reach",
    "score_out_of_reach",
    "share_out_of_reach",
    "stopped_by_something_else",
    "maximal_attempt_needs_coach",
    "works_up_lightly",
    "cap_below_work",
    "uncertain_capacity",
    "checked_with_other_work",
    "begins_light",
    "begins_easier",
    "aim_after_check_set",
    "own_volume",
    "capped_volume",
    "far_more_than_of_late",
    "aim_given_up_for_safety",
    "aim_given_up_for_whole_sets",
    "sets_may_break",
    "coarse_forecast",
]
# What to offer instead, by the reason of infeasibility.
ALTERNATIVES: Final[dict[ReasonCode, str]] = {
    "no_options": "choose_movement_for_this_equipment",
    "too_hard_at_easiest": "choose_easier_movement",
    "too_easy_at_hardest": "choose_harder_movement_or_more_repetitions",
    "between_options": "widen_window_or_change_repetitions",
    "time_out_of_reach": "change_time_window_or_repetitions",
    "later_sets_out_of_reach": "change_window_of_later_sets",
    "score_out_of_reach": "change_score_window_or_amounts",
    "share_out_of_reach": "change_window_of_shares",
    "stopped_by_something_else": "change_work_or_what_should_stop_the_athlete",
    "maximal_attempt_needs_coach": "warm_up_ladder_without_a_maximal_attempt",
    "cap_below_work": "give_fixed_amounts_within_the_cap",
}


@dataclass(frozen=True)
class RuledOut:
    """A variation that was not even a candidate, and why (a limit, equipment, beyond the curve ...)."""

    work: str
    variation: str
    reason: str


@dataclass(frozen=True)
class ChosenOption:
    """The option of one work item, and the amount to do of it (None: as much as possible) in `unit`."""

    work: str
    option: Option
    is_as_written: bool
    is_novel: bool
    amount: float | None = None
    unit: str = REPETITIONS
    amount_as_written: bool = True


@dataclass(frozen=True)
class CandidateView:
    """One candidate as the explanation shows it.

    fresh None: nothing local limits it; p_first_set None: that, or the aim has no first-set window here.
    """

    work: str
    option: Option
    is_as_written: bool
    is_novel: bool
    fresh: Spread | None
    p_first_set: float | None
    loss: float


@dataclass(frozen=True)
class ConditionForecast:
    """The probability that a condition of the aim holds, None with the reason where it cannot be told.

    index: its position in the aim; by: what should stop the athlete, for stopped_by.
    """

    index: int
    kind: str
    work: str | None
    lower: float | None
    upper: float | None
    probability: float | None
    by: str | None = None
    reason: str | None = None


@dataclass(frozen=True)
class CheckSet:
    """A set before the block that settles which option is right.

    Do `option`, stop at `stop_at` (repetitions, or seconds of a hold) or earlier with `reserve_at_least` left. Take
    `easier` when what was done and what was left make less than `able_at_least` together, `harder` when they make
    more than `able_at_most` (at `stop_at`: when more than `reserve_at_most` were left); rest `rest_after_s` before
    the block. None: there is no such option, or the window has no upper bound.
    """

    work: str
    option: Option
    stop_at: int
    reserve_at_least: int
    reserve_at_most: int | None
    rest_after_s: int
    easier: Option | None
    harder: Option | None
    unit: str = REPETITIONS
    able_at_least: int = 0
    able_at_most: int | None = None


@dataclass(frozen=True)
class AttemptLoad:
    """One attempt, its number from 1: `amount` repetitions of `option`, and how likely it succeeds, whatever came of
    those before.
    """

    work: str
    number: int
    option: Option
    amount: float
    probability: float


@dataclass(frozen=True)
class Reason:
    """Why: a code, and the work item it is about; None: the block as a whole."""

    code: ReasonCode
    work: str | None


@dataclass(frozen=True)
class PrescriptionResult:
    """The answer, with its explanation.

    feasible: whether to prescribe `chosen`; if not, `chosen` is empty, `closest` is what came nearest,
    `alternatives` what to offer instead. p_all: probability that all conditions hold at once, of the chosen
    or the closest options, None where none can be told. warm_up: the ramps to the chosen options; where a maximal
    attempt needs a coach, the ladder that is offered instead. attempts: what a coach may confirm there, and the loads
    of the attempts in a feasible answer, () where these have one load. rounds: at most so many rounds, rungs,
    intervals or attempts for this athlete, None: as written.
    """

    feasible: bool
    chosen: tuple[ChosenOption, ...]
    closest: tuple[ChosenOption, ...]
    forecast: BlockForecast | None
    conditions: tuple[ConditionForecast, ...]
    p_all: float | None
    candidates: tuple[CandidateView, ...]
    ruled_out: tuple[RuledOut, ...]
    reasons: tuple[Reason, ...]
    alternatives: tuple[str, ...]
    check_sets: tuple[CheckSet, ...]
    warm_up: tuple[WarmUpSet, ...] = ()
    rounds: int | None = None
    version: int = PRESCRIPTION_VERSION
    attempts: tuple[AttemptLoad, ...] = ()

    def to_json(self) -> dict[str, object]:
        """Plain JSON values."""
        return as_plain(self)
