"""Own amounts of work: less or more than written, in a few shares, and what caps them.

Shares of all amounts alike, rounded to whole units, so that the session stays the coach's. A cap is the most of an
item over the whole block (after an absence, or for work that the body is not used to) and holds whatever is written,
under every order: amounts are lowered where their number of rounds is written, and elsewhere, or where no amount is
small enough, the rounds (rungs, intervals, attempts) are. Where a round holds one item alone whole rounds go first: a
set of eight is what the coach wrote, and twelve minutes with one swing each are another session.
"""

from collections.abc import Mapping
from dataclasses import replace
from math import floor
from typing import Final

from programming.calc.revision import DISTANCE, Aim, Block, Ladder, WorkItem
from programming.calc.rule_codes import work_of
from programming.calc.stepper import EPSILON, rung
from scoring.calc.items import LEAST
from scoring.calc.rounds import MOST_ROUNDS, portions

# How finely metres are prescribed: by what is read off a display while rowing or running (ours).
STEP_M: Final = 10
FAR_STEP_M: Final = 50
FAR_M: Final = 500.0
# From half to half as much again: further off it is another session (ours).
LESS: Final = (0.8, 0.67, 0.5)
MORE: Final = (1.25, 1.5)
# Own amounts must be better by about a tenth of the window: the group does the session together (ours).
OWN_VOLUME: Final = 0.10
# Of work never done before whose capacity is unsure, no more than three times what is thought available fresh, and no
# set beyond four fifths of it: much new work to failure is what precedes muscle breakdown (the numbers are ours).
NOVEL_VOLUME: Final = 3.0
NOVEL_SHARE: Final = 0.8
# Of work that is known but far more than was done of late no more than four and a half times what was done to
# failure in one bout of late: whoever writes five rounds of twelve for a first set of fourteen is not contradicted,
# whoever writes two hundred is (ours).
FAR_MORE_VOLUME: Final = 4.5
# Intervals of several items lose repetitions down to two thirds of what is written, and are fewer below that: a
# minute of next to nothing is rest (ours).
NEARLY: Final = 2.0 / 3.0
# Conditions whose lower bound asks for more work: a cap for safety outranks it.
FLOORS: Final = frozenset({"time", "score"})


def scaled(block: Block, share: float) -> Block:
    """The block with all amounts of its main work times `share`, whole units, metres by 10 and above 500 by 50; at
    least the smallest set.
    """
    return replace(block, work=tuple(_scaled(item, share) for item in block.work))


def _scaled(item: WorkItem, share: float) -> WorkItem:
    if item.amount is None or share == 1.0:
        return item
    least, wished = min(item.amount, LEAST[item.unit]), share * item.amount
    step = _step(item.unit, wished)
    stepped = step * round(wished / step)
    # A short way is not brought back to what was written, or to nothing.
    if stepped == 0.0 or stepped == item.amount:
        stepped = round(wished)
    return replace(item, amount=max(float(stepped), least))


def _step(unit: str, amount: float) -> int:
    if unit != DISTANCE:
        return 1
    return FAR_STEP_M if amount > FAR_M else STEP_M


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

    Open amounts become the cap, or their part of it. An item whose smallest set is more than the cap cannot be kept
    within it.
    """
    for index, item in enumerate(block.work):
        cap = caps.get(item.key)
        within = block if cap is None else _within(block, index, cap)
        if within is None:
            return block, item.key
        block = within
    return block, None


def _within(block: Block, index: int, cap: float) -> Block | None:
    """With less of one main item, or fewer rounds of all; None where its smallest set is too much."""
    item, times = block.work[index], turns(block, index)
    if times == 0.0:
        return block
    if times is not None:
        most = float(floor(cap / times + EPSILON))
        if item.amount is not None and item.amount <= most:
            return block
        if most >= _least_kept(block, item):
            return _with_amount(block, index, most)
    count = rounds_within(block, index, cap)
    if count:
        return shortened(block, count)
    first = next((number for number in range(len(block.work)) if portions(block, number)[index] > 0.0), 0)
    most = float(floor(cap / rung(work_of(block), first) + EPSILON))
    if most < LEAST[item.unit]:
        return None
    return _with_amount(shortened(block, first + 1), index, most)


def _least_kept(block: Block, item: WorkItem) -> float:
    """The least of an item that is done every round, before there are fewer rounds; of one alone all of it."""
    by_rounds = block.rules.order in ("rounds", "intervals") and (block.rules.repeats or 1) > 1
    if not by_rounds or item.amount is None:
        return LEAST[item.unit]
    if len(block.work) == 1:
        return max(LEAST[item.unit], item.amount)
    return max(LEAST[item.unit], NEARLY * item.amount if block.rules.order == "intervals" else 0.0)


def _with_amount(block: Block, index: int, amount: float) -> Block:
    work = list(block.work)
    work[index] = replace(work[index], amount=amount)
    return replace(block, work=tuple(work))


def rounds_within(block: Block, index: int, cap: float) -> int:
    """How many rounds, rungs, intervals or attempts ask for no more than the cap of a main item together.

    0 where the first one that asks for the item asks for more.
    """
    count, total, begun = 0, 0.0, False
    while count < min(block.rules.repeats or MOST_ROUNDS, MOST_ROUNDS):
        asked = portions(block, count)[index]
        if total + asked > cap + EPSILON:
            break
        total, count, begun = total + asked, count + 1, begun or asked > 0.0
    return count if begun else 0


def shortened(block: Block, count: int) -> Block:
    """The block with at most so many rounds, rungs, intervals or attempts, each as written; count > 0."""
    rules = block.rules
    if rules.repeats is not None and rules.repeats <= count:
        return block
    if rules.order == "attempts":
        return replace(block, rules=replace(rules, attempts=count))
    if rules.intervals is not None:
        return replace(block, rules=replace(rules, intervals=replace(rules.intervals, count=count)))
    if rules.ladder is not None:
        work = work_of(block)
        rungs = tuple(float(rung(work, number)) for number in range(count))
        return replace(block, rules=replace(rules, ladder=Ladder(rungs)))
    return replace(block, rules=replace(rules, rounds=count))


def capped_where_possible(block: Block, caps: Mapping[str, float]) -> Block:
    """Within those of the caps that can be kept: a first set may be more than the cap, and is then left alone."""
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
