"""The prescription of a block for one athlete: the option of each work item that best serves the aim.

Objective: expected loss over the aim's conditions on one common set of scenarios (see ``scoring.calc.loss``),
plus small costs of leaving the version as written and of a version never done. First-set windows look at each
item alone and leave the options with a chance in them; later sets, time and score couple the items, so combinations
are forecast jointly, each with its own best pacing; a condition that the best of them hardly ever meets is
refused as out of reach. Amounts are the coach's unless the athlete may have own ones and a condition on the whole
block gains clearly by them, or a cap is set: one that was passed, or that of work which is new to the athlete and
unsure. A cap outranks lower bounds of time and score. Time is seconds and n* repetitions, so that the unit of load
cannot matter. Penalty work has candidates too, under its own key.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import cast

from programming.calc.arrays import FloatArray
from programming.calc.revision import Aim, Block, Condition
from programming.calc.variation import Option
from scoring.calc.best_volume import best_volume
from scoring.calc.candidate import Candidate
from scoring.calc.caps import Caps, UsedTo
from scoring.calc.check_plan import checks_of, counting_checks
from scoring.calc.check_sets import without_easy_sides
from scoring.calc.choice import Choice, choose_from
from scoring.calc.combination import Combination, Setting, evaluate, paced
from scoring.calc.effort import Budget
from scoring.calc.first_set import least_probability
from scoring.calc.forecast import run_policy
from scoring.calc.light_shares import (
    no_heavier_for_less,
    without_low_shares,
)
from scoring.calc.offered import with_offer
from scoring.calc.outlook import out_of_reach, outlook
from scoring.calc.prescription import (
    PrescriptionResult,
    Reason,
    RuledOut,
)
from scoring.calc.scenarios import Scenarios
from scoring.calc.search import best_combination
from scoring.calc.simulation import Runs
from scoring.calc.telling import Foreseen, chosen_of, refused, told
from scoring.calc.volume import OWN_VOLUME, capped, capped_where_possible, without_floors


def prescribe(
    block: Block,
    candidates: Mapping[str, Sequence[Candidate]],
    *,
    multiplier: FloatArray,
    ruled_out: Sequence[RuledOut] = (),
    settable: Mapping[str, Sequence[Option]] | None = None,
    to_failure: bool = True,
    allow_volume: bool = False,
    volume_caps: Mapping[str, float] | None = None,
    done_before: Mapping[str, float] | None = None,
    used_to: Mapping[str, UsedTo] | None = None,
    introductions: Mapping[str, float] | None = None,
    checked: Collection[str] = (),
    done_checks: Collection[str] = (),
    coach_approved: bool = False,
    budget: Budget | None = None,
) -> PrescriptionResult:
    """Prescribe a block.

    candidates: by work key, each with fresh (N,) under common scenarios; multiplier (N,) of the slow fatigue.
    settable: all that can be set up of an item, for the way up to its load; what it may be done with unless given.
    to_failure False: no set is planned to failure. allow_volume: amounts may differ from those written. volume_caps:
    the most of an item over the whole block, by work key; always kept, whatever the aim asks at least. done_before:
    what check sets of the session already took of them. used_to: of work that is far more than of late.
    introductions: repetitions of a work item that are an ordinary beginning of what is new. checked: movements with
    a check set in an earlier block; done_checks: those whose check set for this session was done. coach_approved:
    attempts at a maximum may be prescribed. budget: how much may be simulated.
    Raises ValueError when arrays do not fit.
    """
    caps = Caps(volume_caps or {}, done_before or {}, used_to or {}, introductions or {})
    budget = budget or Budget()
    choice = _chosen_from(budget, block, candidates, tuple(ruled_out), coach_approved, settable)
    if not all(choice.judged):
        return refused(choice, choice.reasons, (), (), None)
    within, too_much = capped(block, caps.of_safety())
    written = Setting(block, multiplier, to_failure, budget)
    setting, best = _best(written, within, choice, caps, own_volume=allow_volume)
    best = paced(setting, best)
    seen = _foreseen(setting, best, block.aim)
    reasons = _why_refused(choice, setting, best, block.aim, seen, too_much)
    if reasons:
        _, _, conditions, p_all = seen
        no = refused(choice, reasons, chosen_of(block, setting.block, best), conditions, p_all)
        return with_offer(no, choice, multiplier, to_failure=to_failure, budget=budget)
    most = caps.of_all(block, best.options)
    asked = checks_of(block, choice, best.options, most, checked, done_checks, to_failure=to_failure)
    less, checks = counting_checks(setting.block, most, caps.hard, asked)
    if less != setting.block:
        setting = _restrained(setting, less)
        best = paced(setting, evaluate(setting, best.options))
        seen = _foreseen(setting, best, block.aim)
    return told(block, choice, setting, best, seen, caps, checks)


def _chosen_from(
    budget: Budget, block: Block, candidates: Mapping[str, Sequence[Candidate]], ruled_out: tuple[RuledOut, ...],
    coach_approved: bool, settable: Mapping[str, Sequence[Option]] | None,
) -> Choice:  # fmt: skip
    """What there is to choose from: as before, where the same block is asked about again under one budget."""
    listed = tuple((key, tuple(options)) for key, options in candidates.items())
    key = ("choice", block, listed, ruled_out, coach_approved, id(settable))
    if key not in budget.found:
        # Beside what was set up, so that its id stands for nothing else.
        budget.found[key] = choose_from(block, candidates, ruled_out, coach_approved, settable), settable
    choice, _ = cast(tuple[Choice, object], budget.found[key])
    return choice


def _best(
    written: Setting, within: Block, choice: Choice, caps: Caps, *, own_volume: bool
) -> tuple[Setting, Combination]:
    """The combination that serves the aim best within the caps, with amounts of the athlete's own where allowed, and
    the setting with what was changed in the block for it."""
    setting = _restrained(written, within)
    ladders = choice.ladders()
    setting.budget.room_for(sum(len(ladder) > 1 for ladder in ladders))
    best = best_combination(setting, choice.best_alone, ladders)
    best = no_heavier_for_less(written, setting, best, choice.best_alone, ladders)
    setting, best = _short_if_new(choice, setting, best, caps)
    if own_volume:
        block = written.block
        as_asked = setting.block.work == block.work and setting.block.rules == block.rules
        setting, best = _own_volume(choice, setting, best, upward=not caps.hard and as_asked)
        setting, best = _short_if_new(choice, setting, best, caps)
    return setting, best


def _why_refused(
    choice: Choice, setting: Setting, best: Combination, written: Aim, seen: Foreseen, too_much: str | None
) -> list[Reason]:
    """Why even the best combination is not prescribed; nothing where it is. too_much: work that a cap cannot hold."""
    reasons = [*choice.reasons, *([] if too_much is None else [Reason("cap_below_work", too_much)])]
    aim = _standing(choice, setting, best)
    conditions = seen[2] if aim == written else _foreseen(setting, best, aim)[2]
    return reasons or out_of_reach(conditions, least_probability(best.options))


def _restrained(setting: Setting, within: Block) -> Setting:
    """With less of the work for safety: then no floor of time or score may ask for more."""
    if within.work == setting.block.work and within.rules == setting.block.rules:
        return setting
    return replace(setting, block=without_floors(within))


def _short_if_new(
    choice: Choice, setting: Setting, best: Combination, caps: Caps
) -> tuple[Setting, Combination]:
    """With less of what is new and unsure: of the options that serve the aim best then, where nothing of them is
    more than their own caps, else of the same ones.
    """
    within = capped_where_possible(setting.block, caps.of_little_known(setting.block, best.options))
    short = _restrained(setting, within)
    if short is setting:
        return short, best
    if not setting.budget.stop():
        again = best_combination(short, choice.best_alone, choice.ladders())
        kept = capped_where_possible(short.block, caps.of_little_known(short.block, again.options))
        if kept == short.block:
            return short, again
    return short, evaluate(short, best.options)


def _foreseen(setting: Setting, best: Combination, aim: Aim) -> Foreseen:
    """All scenarios of a combination, its runs in those that the budget allows, and in these how likely each
    condition of an aim is.
    """
    # A list of sets is no key; what it was taken in place of tells that there is one.
    key = ("foreseen", best.policy, best.found.instead_of, aim)
    return setting.once(key, best.options, lambda: _foresee(setting, best, aim))


def _foresee(setting: Setting, best: Combination, aim: Aim) -> Foreseen:
    again = [one for one in aim.conditions if one.kind == "stopped_by"]  # each plays the scenarios once more
    scenarios, played, runs = setting.once(
        ("played", best.policy, best.found.instead_of, len(again)),
        best.options,
        lambda: _play(setting, best, again),
    )
    # The block itself where it may be: what was worked out of its rules is kept with it.
    asked = setting.block if aim == setting.block.aim else replace(setting.block, aim=aim)
    return scenarios, runs, *outlook(asked, played, runs, best.found.way)


def _play(
    setting: Setting, best: Combination, conditions: Sequence[Condition]
) -> tuple[Scenarios, Scenarios, Runs]:
    """All scenarios of a combination, those that the budget has for the conditions, and the runs in these."""
    scenarios = setting.scenarios(best.options)
    played = setting.affordable(scenarios, conditions, best.found.sets)
    return scenarios, played, run_policy(setting.block, played, best.found.way)


def _standing(choice: Choice, setting: Setting, best: Combination) -> Aim:
    """What may be refused for: without what safety gives up, a first version that a check set leads up from, or a
    share that is too low only because the next load is too heavy.
    """
    if choice.has_unseen:
        return without_easy_sides(setting.block).aim
    return without_low_shares(setting, best.options, choice.judged)


def _refusals(choice: Choice, setting: Setting, best: Combination) -> list[Reason]:
    """The conditions that stand, and are hardly ever met."""
    conditions = _foreseen(setting, best, _standing(choice, setting, best))[2]
    return out_of_reach(conditions, least_probability(best.options))


def _own_volume(
    choice: Choice, setting: Setting, best: Combination, *, upward: bool
) -> tuple[Setting, Combination]:
    """Other amounts than written where that serves a condition on the whole block; never more for the unknown."""
    if not setting.asks_of_block or setting.budget.stop():
        return setting, best
    refused = _refusals(choice, setting, best)
    sure = not any(one.uncertain or one.candidate.is_novel for one in best.options)
    margin = 0.0 if refused else OWN_VOLUME
    other, found = best_volume(
        setting, best, choice.best_alone, choice.ladders(), upward=upward and sure, margin=margin
    )
    if refused and _refusals(choice, other, found):
        return setting, best  # refused in any case: shown is what the coach wrote
    return other, found
