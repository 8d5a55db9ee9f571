"""When work that is lighter than the aim asks for is prescribed, and not refused.

A share of what is available is missed on its easy side for three reasons that are no fault of the athlete's: a
reserve that safety keeps in every set, a next load that is too heavy, and one that would break sets which are meant
to be done in one go. Whoever may train is then told the best load there is, with the reason, since nothing at all
would serve them less (ours).
"""

from collections.abc import Sequence
from dataclasses import replace

from programming.calc.revision import Aim
from scoring.calc.combination import Combination, Setting, evaluate
from scoring.calc.first_set import Judged, ladder
from scoring.calc.forecast import run_policy
from scoring.calc.in_one_go import has_straight_sets, probably_broken
from scoring.calc.search import best_combination


def keeps_reserve(setting: Setting, options: Sequence[Judged]) -> bool:
    """Whether a set of one of the options (M) may not go to failure."""
    return not setting.to_failure or any(one.candidate.below_failure for one in options)


def without_low_shares(
    setting: Setting, options: Sequence[Judged], judged: Sequence[Sequence[Judged]]
) -> Aim:
    """The aim of the block without lower bounds of shares that safety, or the next heavier load, keeps the chosen
    options (M) from. judged (M): all options of each item.
    """
    kept = keeps_reserve(setting, options)
    between = {
        item.key
        for item, one, listed in zip(setting.block.items, options, judged, strict=True)
        if any(_kg(other) > _kg(one) for other in listed)
    }
    conditions = []
    for condition in setting.block.aim.conditions:
        excused = kept or (bool(between) if condition.work is None else condition.work in between)
        if condition.kind != "share_of_available" or not excused:
            conditions.append(condition)
        elif condition.upper is not None:
            conditions.append(replace(condition, lower=None))
    return Aim(tuple(conditions))


def no_heavier_for_less(
    whole: Setting,
    short: Setting,
    best: Combination,
    alone: Sequence[Judged],
    ladders: Sequence[Sequence[Judged]],
) -> Combination:
    """The combination for a block that safety has cut, with no load that is heavier than for all of what is written.

    A share of what is available asks for more weight the fewer repetitions, or sets, are left: who comes back to twos
    in place of fives, or to three sets of five, would be put under more than before.
    """
    shares = any(condition.kind == "share_of_available" for condition in short.block.aim.conditions)
    as_asked = short.block.work == whole.block.work and short.block.rules == whole.block.rules
    if not shares or as_asked or whole.budget.stop():
        return best
    written = best_combination(whole, alone, ladders)
    options = tuple(min(pair, key=_kg) for pair in zip(best.options, written.options, strict=True))
    return evaluate(short, options)


def heavier_breaks(
    setting: Setting, options: Sequence[Judged], judged: Sequence[Sequence[Judged]], work: str | None
) -> bool:
    """Whether the next heavier load of a work item, of any where None, would break sets that the chosen options (M)
    do not. judged (M): all options of each item.
    """
    if not has_straight_sets(setting.block):
        return False
    for place, (item, one, listed) in enumerate(zip(setting.block.items, options, judged, strict=True)):
        heavier = [other for other in ladder(listed) if _kg(other) > _kg(one)]
        if heavier and work in (None, item.key):
            other = evaluate(setting, (*options[:place], heavier[0], *options[place + 1 :]))
            scenarios = setting.affordable(setting.scenarios(other.options), (), other.found.sets)
            if item.key in probably_broken(setting.block, run_policy(setting.block, scenarios, other.policy)):
                return True
    return False


def _kg(one: Judged) -> float:
    return one.candidate.option.effective_kg
