"""Attempts at a maximum: never prescribed automatically; what is offered is the ladder that leads up to them.

An attempt is taken as maximal where loads are what is scored, or where it asks for more than half of what is
available: the share is ours, far from failure on purpose. The ladder ends at about 90 % of the one-repetition
maximum, the load of which four repetitions are possible (NSCA table, from memory). A coach may override.
"""

from collections.abc import Sequence
from typing import Final

from programming.calc.revision import Block, WorkItem
from scoring.calc.first_set import Judged

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
