"""When work that is lighter than the aim asks for is prescribed, and not refused.

A share of what is available is missed on its easy side for two reasons that are no fault of the athlete's: a reserve
that safety keeps in every set, and a next load that is too heavy. Whoever may train is then told the best load there
is, with the reason, since nothing at all would serve them less (ours).
"""

from collections.abc import Sequence
from dataclasses import replace

from programming.calc.revision import Aim
from scoring.calc.combination import Setting
from scoring.calc.first_set import Judged


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


def _kg(one: Judged) -> float:
    return one.candidate.option.effective_kg
