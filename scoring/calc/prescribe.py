"""The prescription of a block for one athlete: the option of each work item that best serves the aim.

Objective: expected loss over the aim's conditions on one common set of scenarios (see ``scoring.calc.loss``),
plus small costs of leaving the version as written and of a version never done. First-set windows look at each
item alone and leave a shortlist; later sets, time and score couple the items, so the combinations of the shortlists
are forecast jointly, each with its own best pacing; a condition that the best of them hardly ever meets is
refused as out of reach. Amounts are the coach's unless the athlete may have own ones and a condition on the whole
block gains clearly by them, or a cap is set. Time is seconds and n* repetitions, so that the unit of load cannot
matter. Penalty work has candidates too, under its own key.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from programming.calc.arrays import FloatArray
from programming.calc.revision import HOLD, REPETITIONS, Block, WorkItem
from scoring.calc.attempts import is_maximal, top_of_ladder
from scoring.calc.candidate import Candidate
from scoring.calc.combination import Combination, Setting, best_combination, best_volume
from scoring.calc.first_set import (
    Judged,
    check_set,
    closest,
    first_windows,
    infeasibility,
    judge,
    ladder,
    least_probability,
    shortlist,
    view,
)
from scoring.calc.forecast import forecast_block, run_policy
from scoring.calc.loss import Window
from scoring.calc.outlook import out_of_reach, outlook
from scoring.calc.prescription import (
    ALTERNATIVES,
    CandidateView,
    ChosenOption,
    ConditionForecast,
    PrescriptionResult,
    Reason,
    RuledOut,
)
from scoring.calc.volume import NOVEL_VOLUME, capped
from scoring.calc.warm_up import WarmUpSet, warm_up_ramp

NOVEL_AND_UNSURE = "harder_than_written_new_and_unsure"


@dataclass(frozen=True, eq=False)
class _Choice:
    """What there is to choose from, by item of the block: judged options, their windows, the shortlists."""

    block: Block
    windows: list[list[Window]]
    judged: list[list[Judged]]
    short: list[list[Judged]]
    reasons: list[Reason]
    ruled_out: tuple[RuledOut, ...]

    def views(self) -> tuple[CandidateView, ...]:
        """Every candidate, for the explanation."""
        return tuple(
            view(item.key, one, wanted, any(one is listed for listed in chosen))
            for item, options, wanted, chosen in zip(
                self.block.items, self.judged, self.windows, self.short, strict=True
            )
            for one in options
        )

    def ladders(self) -> list[list[Judged]]:
        """All options of the items that may move."""
        free = zip(self.judged, self.windows, strict=True)
        return [[] if wanted else ladder(options) for options, wanted in free]


def prescribe(
    block: Block,
    candidates: Mapping[str, Sequence[Candidate]],
    *,
    multiplier: FloatArray,
    ruled_out: Sequence[RuledOut] = (),
    to_failure: bool = True,
    allow_volume: bool = False,
    volume_caps: Mapping[str, float] | None = None,
    coach_approved: bool = False,
) -> PrescriptionResult:
    """Prescribe a block.

    candidates: by work key, each with fresh (N,) under common scenarios; multiplier (N,) of the slow fatigue.
    to_failure False: no set is planned to failure. allow_volume: amounts may differ from those written. volume_caps:
    the most of an item over the whole block, by work key; always kept. coach_approved: attempts at a maximum may be
    prescribed. Raises ValueError when arrays do not fit.
    """
    caps = dict(volume_caps or {})
    choice = _choose_from(block, candidates, tuple(ruled_out), coach_approved)
    if not all(choice.judged):
        return _refused(choice, choice.reasons, (), (), None)
    if allow_volume:
        caps = _caps_of_new_work(block, choice.short, caps)
    within, too_much = capped(block, caps)
    setting = Setting(within, multiplier, to_failure)
    best = best_combination(setting, choice.short, choice.ladders())
    if allow_volume:
        sure = not any(one.uncertain or one.candidate.is_novel for one in best.options)
        setting, best = best_volume(setting, best, choice.short, choice.ladders(), upward=sure and not caps)
    scenarios = setting.scenarios(best.options)
    runs = run_policy(setting.block, scenarios, best.policy)
    conditions, p_all = outlook(setting.block, scenarios, runs, best.policy)
    chosen = _chosen(block, setting.block, best)
    reasons = [*choice.reasons, *([] if too_much is None else [Reason("cap_below_work", too_much)])]
    reasons = reasons or out_of_reach(conditions, least_probability(best.options))
    if reasons:
        return _refused(choice, reasons, chosen, conditions, p_all)
    checks = tuple(
        check
        for item, one, options, wanted in zip(
            block.items, best.options, choice.judged, choice.windows, strict=True
        )
        if (check := check_set(item, one, options, wanted)) is not None
    )
    own = [one for one in chosen if not one.amount_as_written]
    return PrescriptionResult(
        feasible=True,
        chosen=chosen,
        closest=(),
        forecast=forecast_block(setting.block, scenarios, best.policy, runs),
        conditions=conditions,
        p_all=p_all,
        candidates=choice.views(),
        ruled_out=choice.ruled_out,
        reasons=(
            *(Reason("uncertain_capacity", check.work) for check in checks),
            *(Reason("capped_volume" if one.work in caps else "own_volume", one.work) for one in own),
        ),
        alternatives=(),
        check_sets=checks,
        warm_up=_warm_up(block, best.options, choice.judged),
    )


def _choose_from(
    block: Block,
    candidates: Mapping[str, Sequence[Candidate]],
    ruled_out: tuple[RuledOut, ...],
    coach_approved: bool,
) -> _Choice:
    """Judge all options of all items, and shortlist them; with the reasons why no option can serve an item."""
    windows = [first_windows(block, item.key) for item in block.items]
    judged, short, reasons, left_out = [], [], [], list(ruled_out)
    for item, wanted in zip(block.items, windows, strict=True):
        all_options = judge(_counted(item, candidates.get(item.key, ())), wanted)
        options = _not_too_new(all_options)
        dropped = [one.candidate.option for one in all_options if all(one is not kept for kept in options)]
        kept = {one.candidate.option.variation_key for one in options}
        gone = dict.fromkeys(one.variation_key for one in dropped if one.variation_key not in kept)
        left_out += [RuledOut(item.key, variation, NOVEL_AND_UNSURE) for variation in gone]
        reason = infeasibility(item.key, options, wanted)
        if reason is None and not coach_approved and is_maximal(block, item, options):
            reason = Reason("maximal_attempt_needs_coach", item.key)
            short.append([top_of_ladder(options)])
        elif reason is not None and options:
            short.append([closest(options)])
        else:
            short.append(shortlist(options, wanted))
        judged.append(options)
        reasons += [] if reason is None else [reason]
    return _Choice(block, windows, judged, short, reasons, tuple(left_out))


def _counted(item: WorkItem, options: Sequence[Candidate]) -> list[Candidate]:
    """The candidates as they limit this work: a capacity in another unit than the work's tells nothing of it."""
    units = {"load_repetition": REPETITIONS, "hold": HOLD}
    return [
        replace(one, kind="none", fresh=np.full(len(one.fresh), np.inf))
        if one.is_limited and units[one.kind] != item.unit
        else one
        for one in options
    ]


def _not_too_new(judged: list[Judged]) -> list[Judged]:
    """Without what is new to the athlete, of unsure capacity, and harder than the version as written."""
    written = [one.candidate.option.effective_kg for one in judged if one.candidate.is_as_written]
    if not written:
        return judged
    most = max(written)
    return [one for one in judged if not one.is_new_and_unsure or one.candidate.option.effective_kg <= most]


def _caps_of_new_work(
    block: Block, short: Sequence[Sequence[Judged]], caps: Mapping[str, float]
) -> dict[str, float]:
    """The caps, with those of work that would be new and unsure."""
    found = dict(caps)
    for item, options in zip(block.work, short, strict=False):
        if options and options[0].is_new_and_unsure:
            most = NOVEL_VOLUME * max(options[0].spread.p50, 1.0)
            found[item.key] = min(found.get(item.key, most), most)
    return found


def _chosen(written: Block, own: Block, best: Combination) -> tuple[ChosenOption, ...]:
    return tuple(
        ChosenOption(
            item.key, one.candidate.option, one.candidate.is_as_written, one.candidate.is_novel,
            mine.amount, item.unit, mine.amount == item.amount,
        )
        for item, mine, one in zip(written.items, own.items, best.options, strict=True)
    )  # fmt: skip


def _warm_up(
    block: Block, options: Sequence[Judged], judged: Sequence[Sequence[Judged]]
) -> tuple[WarmUpSet, ...]:
    """The ramps to the options of work that is counted in repetitions, of whatever can be set up."""
    return tuple(
        one
        for item, chosen, listed in zip(block.items, options, judged, strict=True)
        if chosen.candidate.is_limited and item.unit == REPETITIONS
        for one in warm_up_ramp(
            item.key,
            chosen.candidate.option,
            [other.candidate.option for other in listed],
            chosen.spread.p50,
        )
    )


def _refused(
    choice: _Choice,
    reasons: Sequence[Reason],
    nearest: tuple[ChosenOption, ...],
    conditions: tuple[ConditionForecast, ...],
    p_all: float | None,
) -> PrescriptionResult:
    """An answer too: why not, what came closest, what to offer instead."""
    maximal = any(reason.code == "maximal_attempt_needs_coach" for reason in reasons)
    tops = [options[0] for options in choice.short if options]
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
        warm_up=_warm_up(choice.block, tops, choice.judged) if maximal else (),
    )
