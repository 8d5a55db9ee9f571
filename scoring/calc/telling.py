"""What is told of a block that was worked out: the options and amounts with their forecast and reasons, or why not.

Deciding is `scoring.calc.prescribe`; here nothing is chosen any more.
"""

from collections.abc import Mapping, Sequence

from programming.calc.revision import Block
from scoring.calc.caps import Caps
from scoring.calc.check_plan import Checks, begins_light
from scoring.calc.choice import Choice
from scoring.calc.combination import Combination, Setting
from scoring.calc.first_set import least_probability, too_easy
from scoring.calc.forecast import forecast_block
from scoring.calc.in_one_go import probably_broken
from scoring.calc.light_shares import heavier_breaks, keeps_reserve
from scoring.calc.outlook import out_of_reach
from scoring.calc.prescription import (
    ALTERNATIVES,
    ChosenOption,
    ConditionForecast,
    PrescriptionResult,
    Reason,
    ReasonCode,
)
from scoring.calc.scenarios import Scenarios
from scoring.calc.simulation import Runs
from scoring.calc.warm_up import ramps_to

Foreseen = tuple[Scenarios, Runs, tuple[ConditionForecast, ...], float | None]
"""Scenarios, runs, how likely each condition of an aim is, and all of them together."""


def told(
    block: Block,
    choice: Choice,
    setting: Setting,
    best: Combination,
    seen: Foreseen,
    caps: Caps,
    checks: Checks,
) -> PrescriptionResult:
    """The combination told, with what was changed in the block as it is written, and why."""
    scenarios, runs, conditions, p_all = seen
    told_by = setting.told_by(scenarios, best.found.sets)
    missed = out_of_reach(conditions, least_probability(best.options))
    chosen = chosen_of(block, setting.block, best)
    rounds = setting.block.rules.repeats if setting.block.rules != block.rules else None
    return PrescriptionResult(
        feasible=True,
        chosen=chosen,
        closest=(),
        forecast=forecast_block(
            setting.block, scenarios, best.found.way, runs, told_by, best.found.instead_of
        ),
        conditions=conditions,
        p_all=p_all,
        candidates=choice.views(),
        ruled_out=choice.ruled_out,
        reasons=(
            *checks.reasons(),
            *begins_light(block, best.options),
            *_volume_reasons(chosen, caps.why(block, best.options), rounds),
            *(Reason("sets_may_break", work) for work in probably_broken(setting.block, runs)),
            *(
                Reason(_why_missed(choice, checks, setting, best, work), work)
                for work in dict.fromkeys((*(one.work for one in missed), *too_easy(block, best.options)))
            ),
        ),
        alternatives=(),
        check_sets=checks.sets,
        warm_up=ramps_to(block, best.candidates, choice.settable),
        rounds=rounds,
    )


def refused(
    choice: Choice,
    reasons: Sequence[Reason],
    nearest: tuple[ChosenOption, ...],
    conditions: tuple[ConditionForecast, ...],
    p_all: float | None,
) -> PrescriptionResult:
    """An answer too: why not, what came closest, what to offer instead."""
    maximal = any(reason.code == "maximal_attempt_needs_coach" for reason in reasons) and all(choice.judged)
    ramps = (
        ramps_to(choice.block, [one.candidate for one in choice.best_alone], choice.settable)
        if maximal
        else ()
    )
    return PrescriptionResult(
        feasible=False,
        chosen=(),
        closest=nearest,
        forecast=None,
        conditions=conditions,
        p_all=p_all,
        candidates=choice.views(),
        ruled_out=choice.ruled_out,
        reasons=tuple(reasons),
        alternatives=tuple(dict.fromkeys(ALTERNATIVES[reason.code] for reason in reasons)),
        check_sets=(),
        warm_up=ramps,
    )


def chosen_of(written: Block, own: Block, best: Combination) -> tuple[ChosenOption, ...]:
    return tuple(
        ChosenOption(
            item.key, one.candidate.option, one.candidate.is_as_written, one.candidate.is_novel,
            mine.amount, item.unit, mine.amount == item.amount,
        )
        for item, mine, one in zip(written.items, own.items, best.options, strict=True)
    )  # fmt: skip


def _volume_reasons(
    chosen: Sequence[ChosenOption], caps: Mapping[str, ReasonCode], rounds: int | None
) -> list[Reason]:
    """Why there is another amount of an item, or why there are fewer rounds of all."""
    own = [one.work for one in chosen if not one.amount_as_written]
    cut = [one.work for one in chosen if one.work in caps and (rounds is not None or one.work in own)]
    return [
        *(Reason(caps[work], work) for work in cut),
        *(Reason("own_volume", work) for work in own if work not in cut),
    ]


def _why_missed(
    choice: Choice, checks: Checks, setting: Setting, best: Combination, work: str | None
) -> ReasonCode:
    """Why the aim is hardly met and yet not refused: it is safety's price, not settled before the check set, sets are
    not to be broken, or what can be loaded lies on either side of it.
    """
    whole = setting.block.rules == choice.block.rules and setting.block.work == choice.block.work
    if whole and checks.sets:
        return "aim_after_check_set"
    safety = not whole or choice.has_unseen or keeps_reserve(setting, best.options)
    if safety:
        return "aim_given_up_for_safety"
    breaks = heavier_breaks(setting, best.options, choice.judged, work)
    return "aim_given_up_for_whole_sets" if breaks else "between_options"
