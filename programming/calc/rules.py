"""The rules of a block as one transition function, read both ways: to score a log and to simulate a plan.

`step` is written in the subset of Python that numba compiles, so that a simulation calls the same function a
score does. The five rules compose: `order` and `break_counts` live in `step`, the penalty and the cap are
numbers beside it, what is scored and how ties are broken read the totals that the steps add up to.
A new order or a new kind of break is a new code and a new branch of `step`.

Swap on break: the athlete works on one item until a break, the end of a set that did not complete the item;
a break forces a swap to the other item if that still has work. Completing an item is no break.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple, Protocol

from programming.calc.revision import BlockRules

RULES_VERSION: Final = 1  # stored with every score: past scores are never recomputed silently

SWAP_ON_BREAK: Final = 0
SET_ENDED_EARLY: Final = 0
NO_ITEM: Final = -1

_ORDERS: Final = {"swap_on_break": SWAP_ON_BREAK}
_BREAK_COUNTS: Final = {"set_ended_early": SET_ENDED_EARLY}


class RuleCodes(NamedTuple):
    """Block rules as numbers; `cap_s` is infinity when there is no cap."""

    order: int
    break_counts: int
    penalty_s: float
    cap_s: float


class Remaining(Protocol):
    """Repetitions left of each item: a list or an integer array."""

    def __getitem__(self, index: int, /) -> int: ...

    def __len__(self) -> int: ...


class Step(NamedTuple):
    """What one set did: repetitions that counted, what is left of the item, a break or not, what is next."""

    counted: int
    left: int
    broke: bool
    next_item: int


def rule_codes(rules: BlockRules) -> RuleCodes:
    """Translate validated rules; KeyError means a rule that `step` does not know."""
    return RuleCodes(
        order=_ORDERS[rules.order],
        break_counts=_BREAK_COUNTS[rules.break_rule.counts],
        penalty_s=rules.break_rule.penalty_s,
        cap_s=float("inf") if rules.end.cap_s is None else rules.end.cap_s,
    )


def first_item(codes: RuleCodes) -> int:
    """The item to start with: the first one written."""
    return 0


def step(codes: RuleCodes, remaining: Remaining, item: int, repetitions: int) -> Step:
    """One set of `repetitions` on `item`; `remaining` is read, not changed.

    `next_item` is the index of the item the rules send the athlete to, NO_ITEM when all work is done.
    """
    if codes.order != SWAP_ON_BREAK or codes.break_counts != SET_ENDED_EARLY:
        raise ValueError("step does not know this order or this kind of break")
    counted = min(repetitions, remaining[item])
    left = remaining[item] - counted
    broke = left > 0
    next_item = NO_ITEM
    count = len(remaining)
    for offset in range(1, count):  # the next item with work, in written order, after this one
        other = (item + offset) % count
        if remaining[other] > 0:
            next_item = other
            break
    if broke and next_item == NO_ITEM:
        next_item = item
    return Step(counted, left, broke, next_item)


def official_seconds(codes: RuleCodes, elapsed_s: float, breaks: int) -> float:
    """The score of finished work: the clock plus the penalties."""
    return elapsed_s + codes.penalty_s * breaks


def play(codes: RuleCodes, work: Sequence[int], sets: Sequence[tuple[int, int]]) -> list[Step]:
    """Apply (item, repetitions) sets in order to `work`, as given and not as the rules ask."""
    remaining = list(work)
    steps = []
    for item, repetitions in sets:
        taken = step(codes, remaining, item, repetitions)
        remaining[item] = taken.left
        steps.append(taken)
    return steps
