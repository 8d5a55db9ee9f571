"""Attempts at a maximum: never prescribed automatically; what is offered is the ladder that leads up to them.

An attempt is taken as maximal where loads are what is scored, or where it asks for more than half of what is
available: the share is ours, far from failure on purpose. The ladder ends at about 90 % of the one-repetition
maximum, the load of which four repetitions are possible (NSCA table, from memory). A coach may override.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from programming.calc.revision import Block, WorkItem
from scoring.calc.first_set import Judged
from scoring.calc.forecast import PlannedSet

CONSERVATIVE_SHARE: Final = 0.5
AT_90_PERCENT: Final = 4.0


def is_maximal(block: Block, item: WorkItem, judged: Sequence[Judged]) -> bool:
    """Whether the block asks this item for attempts at a maximum."""
    if block.rules.order != "attempts" or not any(one.candidate.is_limited for one in judged):
        return False
    if block.rules.scored == "load" or item.amount is None:
        return True
    written = [one for one in judged if one.candidate.is_as_written] or list(judged)
    return item.amount > CONSERVATIVE_SHARE * min(one.spread.p10 for one in written)


def top_of_ladder(judged: Sequence[Judged]) -> Judged:
    """The heaviest option that is surely no more than about 90 %; the lightest where there is none."""
    safe = [one for one in judged if one.spread.p10 >= AT_90_PERCENT]
    if safe:
        return max(safe, key=lambda one: one.candidate.option.effective_kg)
    return min(judged, key=lambda one: one.candidate.option.effective_kg)


def as_attempted(block: Block, plan: Sequence[PlannedSet]) -> tuple[PlannedSet, ...]:
    """The sets of a plan (S,) with what is attempted in each, in the unit of its work; other blocks' as they are.

    The forecast has what succeeds in the middle scenario: an attempt at more than that would be planned as nothing,
    and nobody can be told to lift a load zero times. How likely it is stands in the forecast, not in the plan.
    """
    if block.rules.order != "attempts":
        return tuple(plan)
    asked = {item.key: item.amount for item in block.items if item.amount is not None}
    return tuple(replace(one, amount=asked.get(one.work, one.amount)) for one in plan)
