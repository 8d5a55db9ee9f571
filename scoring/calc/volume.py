"""Own amounts of work: less or more than written, in a few shares, and what caps them.

Shares of all amounts alike, rounded to whole units, so that the session stays the coach's. A cap is the most of an
item over the whole block (after an absence, or for work that the body is not used to) and holds whatever is written.
"""

from collections.abc import Mapping
from dataclasses import replace
from math import floor
from typing import Final

from programming.calc.revision import Aim, Block, WorkItem
from programming.calc.stepper import rung, work_of
from scoring.calc.items import LEAST

# From half to half as much again: further off it is another session (ours).
LESS: Final = (0.8, 0.67, 0.5)
MORE: Final = (1.25, 1.5)
# Own amounts must be better by about a tenth of the window: the group does the session together (ours).
OWN_VOLUME: Final = 0.10
# Of work never done before whose capacity is unsure, no more than three times what is thought available fresh, and no
# set beyond four fifths of it: much new work to failure is what precedes muscle breakdown (the numbers are ours).
NOVEL_VOLUME: Final = 3.0
NOVEL_SHARE: Final = 0.8
# Conditions whose lower bound asks for more work: a cap for safety outranks it.
FLOORS: Final = frozenset({"time", "score"})


def scaled(block: Block, share: float) -> Block:
    """The block with all amounts of its main work times `share`, whole units, at least the smallest set."""
    return replace(block, work=tuple(_scaled(item, share) for item in block.work))


def _scaled(item: WorkItem, share: float) -> WorkItem:
    if item.amount is None or share == 1.0:
        return item
    least = min(item.amount, LEAST[item.unit])
    return replace(item, amount=max(float(round(share * item.amount)), least))


def turns(block: Block, index: int) -> float | None:
    """How often the amount of a main item is asked for, over all rounds and rungs; None: without an end."""
    repeats = block.rules.repeats
    if repeats is None:
        return None
    work, intervals = work_of(block), block.rules.intervals
    by_turns = intervals is not None and intervals.in_turn
    return sum(
        float(rung(work, round_))
        for round_ in range(repeats)
        if not by_turns or round_ % len(block.work) == index
    )


def capped(block: Block, caps: Mapping[str, float]) -> tuple[Block, str | None]:
    """(the block within the caps by work key, key of an item that cannot be kept within its cap or None).

    Open amounts become the cap. An item without an end of rounds, or whose smallest set in each round is more than
    the cap, cannot be kept within it.
    """
    work = list(block.work)
    for index, item in enumerate(block.work):
        cap = caps.get(item.key)
        if cap is None:
            continue
        times = turns(block, index)
        if times is None:
            return block, item.key
        if times == 0.0:
            continue
        most = float(floor(cap / times + 1e-9))
        if item.amount is not None and item.amount <= most:
            continue
        if most < LEAST[item.unit]:
            return block, item.key
        work[index] = replace(item, amount=most)
    return replace(block, work=tuple(work)), None


def capped_where_possible(block: Block, caps: Mapping[str, float]) -> Block:
    """Within those of the caps that amounts can keep; what has no end of rounds stays as it is."""
    for key, cap in caps.items():
        block, _ = capped(block, {key: cap})
    return block


def without_floors(block: Block) -> Block:
    """The block without lower bounds of time and score: who may do only so much is not given harder work, or none,
    because it would not last long enough.
    """
    kept = tuple(
        replace(one, lower=None) if one.kind in FLOORS else one
        for one in block.aim.conditions
        if one.kind not in FLOORS or one.upper is not None
    )
    return replace(block, aim=Aim(kept))
