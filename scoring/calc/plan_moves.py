"""Neighbours of a plan: the same work in sets that differ in one thing.

A plan is rows (L, 4) as of ``scoring.calc.planned_set``: item, amount, rest before it [s], round; `count` of them are
used. A move leaves alone what each round asks of each item.
"""

from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray, IntArray, inlined
from scoring.calc.next_set import MOST_WAITED_FOR
from scoring.calc.planned_set import AMOUNT, ITEM, LISTED, PAUSE, REST, ROUND, SIZE
from scoring.calc.simulation import TRANSITION_S

# Nobody gets into position again for less (ours, as the least rest of the policies).
SHORTEST_REST_S: Final = 10.0
AT_ONCE: Final = -1e9

# Kinds of moves: another rest; a repetition, or all of a set, to the next or last set of the item in the round; a set
# in two; two sets changing places, or rest from one to the other.
RESTS: Final = 0
GIVES: Final = 1
GIVES_ALL: Final = 2
SPLITS: Final = 3
SWAPS: Final = 4
TRADES: Final = 5
# (K, 3): kind; to the next (1) or the last (-1) set, of a split the part behind; seconds, of rest more before the set
# (RESTS), before the set that gains (above 0) or loses (below), before the second part, or from one to the other.
_ROWS: Final = (
    *((RESTS, 0, by) for by in (AT_ONCE, -40.0, -20.0, -10.0, -5.0, -1.0, 5.0, 10.0, 20.0, 40.0, 80.0)),
    *((GIVES, to, by) for to in (1, -1) for by in (0.0, 20.0, 40.0, AT_ONCE, -20.0, -40.0)),
    *((GIVES_ALL, to, by) for to in (1, -1) for by in (0.0, 20.0, 40.0)),
    *((SPLITS, part, by) for part in (0, 1, 2) for by in (0.0, 20.0, 40.0)),
    (SWAPS, 1, 0.0),
    *((TRADES, 1, by) for by in (-20.0, -10.0, 10.0, 20.0)),
)  # fmt: skip
MOVES: Final = np.array(_ROWS, dtype=np.float64)
"""Every way to change a row of a plan, most of which most rows do not have."""


@inlined
def beside(plan: FloatArray, count: int, row: int, to: int, in_round: bool) -> int:
    """The next (to 1) or the last (-1) set of the row's item, in its round where so asked; -1 without one."""
    other = row + to
    while 0 <= other < count:
        if plan[other, ITEM] == plan[row, ITEM]:
            return other if plan[other, ROUND] == plan[row, ROUND] or not in_round else -1
        other += to
    return -1


@inlined
def least_rest(plan: FloatArray, count: int, row: int) -> float:
    """The least rest before a set but the first: some where the same work was just put down, unless the set does at
    once all that a new round asks of it.
    """
    same = plan[row - 1, ITEM] == plan[row, ITEM]
    again = plan[row - 1, ROUND] == plan[row, ROUND] or beside(plan, count, row, 1, True) >= 0
    return SHORTEST_REST_S if same and again else TRANSITION_S


@inlined
def _rest(plan: FloatArray, count: int, row: int, by: float) -> bool:
    """Whether another rest is another."""
    before = plan[row, REST]
    plan[row, REST] = 0.0 if row == 0 else max(least_rest(plan, count, row), before + by)
    return bool(plan[row, REST] != before)


@inlined
def _take_out(plan: FloatArray, count: int, row: int) -> None:
    for other in range(row, count - 1):
        for column in range(LISTED):
            plan[other, column] = plan[other + 1, column]


@inlined
def _give(plan: FloatArray, count: int, row: int, other: int, units: float, by: float) -> int:
    """Units from one set to another, with more rest before that or less before this; the rows that are left."""
    plan[row, AMOUNT] -= units
    plan[other, AMOUNT] += units
    if by > 0.0:
        plan[other, REST] += by
    elif by < 0.0 and not _rest(plan, count, row, by):
        return 0
    if plan[row, AMOUNT] > 0.0:
        return count
    _take_out(plan, count, row)
    return count - 1


@inlined
def _split(plan: FloatArray, count: int, row: int, part: float, by: float) -> int:
    """A set in two: the last repetition apart, the first, or half and half."""
    amount = plan[row, AMOUNT]
    behind = 1.0 if part == 0.0 else amount - 1.0 if part == 1.0 else np.floor(0.5 * amount)
    if amount < 2.0 or count >= len(plan) or (part > 0.0 and behind == 1.0):
        return 0
    for other in range(count, row, -1):
        for column in range(LISTED):
            plan[other, column] = plan[other - 1, column]
    plan[row, AMOUNT], plan[row + 1, AMOUNT] = amount - behind, behind
    plan[row + 1, REST] = max(by, SHORTEST_REST_S)
    _rest(plan, count + 1, row, 0.0)
    return count + 1


@inlined
def moved(plan: FloatArray, count: int, row: int, move: FloatArray) -> int:
    """Change a plan by a move (3,) of a row; how many rows it has then, 0 where the row has no such move."""
    kind, to, by = int(move[0]), int(move[1]), move[2]
    if kind == RESTS:
        return count if row > 0 and _rest(plan, count, row, by) else 0
    if kind == SPLITS:
        return _split(plan, count, row, move[1], by)
    other = beside(plan, count, row, to, kind != TRADES)
    if other < 0:
        return 0
    if kind == GIVES:
        return _give(plan, count, row, other, 1.0, by)
    if kind == GIVES_ALL:
        return _give(plan, count, row, other, plan[row, AMOUNT], by) if plan[row, AMOUNT] > 1.0 else 0
    if kind == SWAPS:
        amount = plan[row, AMOUNT]
        plan[row, AMOUNT], plan[other, AMOUNT] = plan[other, AMOUNT], amount
        return count if plan[row, AMOUNT] != amount else 0
    return count if _rest(plan, count, row, by) and _rest(plan, count, other, -by) else 0


@inlined
def _median(values: FloatArray, count: int) -> float:
    """Of the first of some values, which are sorted."""
    for end in range(1, count):
        value, at = values[end], end
        while at > 0 and values[at - 1] > value:
            values[at] = values[at - 1]
            at -= 1
        values[at] = value
    return float(0.5 * (values[(count - 1) // 2] + values[count // 2]))


@inlined
def tell_usual(plan: FloatArray, count: int, values: FloatArray, usual: FloatArray) -> None:
    """Write down what is usual of each item (2, M), as `scoring.calc.explicit` reads it, but no shorter rest
    than any; values: room for as many numbers as rows.
    """
    for row in range(1, count):
        values[row - 1] = plan[row, REST]
    between = _median(values, count - 1) if count > 1 else 0.0
    for item in range(usual.shape[1]):
        sets, rests = 0, 0
        for row in range(count):
            if int(plan[row, ITEM]) == item:
                values[sets] = plan[row, AMOUNT]
                sets += 1
        usual[SIZE, item] = max(1.0, np.rint(_median(values, sets))) if sets else 0.0
        for row in range(1, count):
            if int(plan[row, ITEM]) == item:
                values[rests] = plan[row, REST]
                rests += 1
        usual[PAUSE, item] = (
            max(SHORTEST_REST_S, _median(values, rests) if rests else between) if sets else 0.0
        )


@inlined
def are_worthwhile(plan: FloatArray, count: int, worthwhile: float) -> bool:
    """Whether no later set but the last of a round is less than so much of the item's first, as a policy has it."""
    for row in range(count):
        item = plan[row, ITEM]
        first = 0
        while plan[first, ITEM] != item:
            first += 1
        worth = min(np.floor(worthwhile * plan[first, AMOUNT] + 0.5), MOST_WAITED_FOR)
        if plan[row, AMOUNT] < worth and row > first and beside(plan, count, row, 1, True) >= 0:
            return False
    return True


@inlined
def drawn(seed: IntArray, below: int) -> int:
    """The next whole number below a bound: by a congruential generator, the same on every machine."""
    seed[0] = (seed[0] * 1_103_515_245 + 12_345) % 2_147_483_648
    return int((seed[0] >> 8) % below)
