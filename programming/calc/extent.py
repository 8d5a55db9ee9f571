"""How many sets a session asks for, whoever the athlete is.

A bound on what is written, for every set of it is worked out in a thousand scenarios. Whoever is weaker than the work
breaks it up and does more sets than are counted here; what that costs is bounded where it is worked out.
"""

from typing import Final

from programming.calc.contradiction_rules import fastest_s
from programming.calc.revision import Block, BlockRules

MOST_SETS: Final = 500
"""Two hours of sets of ten at ten seconds from one to the next, and nobody does them without a pause (ours)."""
BETWEEN_SETS_S: Final = 10.0
"""From one set to the next, on the average of a long session (common practice, no source)."""


def sets_asked_for(block: Block, enough: int = MOST_SETS) -> int:
    """Rounds times items, each item done in one set; counted no further than just beyond `enough`.

    Where the clock ends the rounds before their number does, as many as somebody fast gets through; intervals that
    grow until one is missed, as many as anybody could do. Of rules that never end (a contradiction of their own)
    beyond `enough`.
    """
    rules = block.rules
    by_turns = rules.intervals is not None and rules.intervals.in_turn
    each = 1 if by_turns else len(block.work)
    limit_s = float("inf") if rules.end.limit_s is None else rules.end.limit_s
    count, clock, round_ = 0, 0.0, 0
    while count <= enough and clock < limit_s and (rules.repeats is None or round_ < rules.repeats):
        if rules.end.kind == "first_miss" and _is_missed(block, round_):
            break
        count += each
        clock += _round_s(block, round_)
        round_ += 1
    return count


def _round_s(block: Block, round_: int) -> float:
    """Seconds from the beginning of a round to that of the next one, done by somebody fast."""
    if block.rules.intervals is not None:
        return block.rules.intervals.every_s
    work = _fastest_s(block) * rung(block.rules, round_)
    return work + BETWEEN_SETS_S * len(block.work) + block.rules.rest_between_s


def _is_missed(block: Block, round_: int) -> bool:
    """Whether nobody does the work of an interval in its time."""
    intervals = block.rules.intervals
    if intervals is None:
        return False
    work_s = intervals.every_s if intervals.work_s is None else intervals.work_s
    turn = block.work[round_ % len(block.work)]
    needed = fastest_s(turn) if intervals.in_turn else _fastest_s(block)
    return needed * rung(block.rules, round_) > work_s


def _fastest_s(block: Block) -> float:
    return sum(fastest_s(item) for item in block.work)


def rung(rules: BlockRules, round_: int) -> float:
    """The factor of the amounts in a round."""
    if rules.ladder is None:
        return 1.0
    last = len(rules.ladder.amounts) - 1
    return rules.ladder.amounts[min(round_, last)] + (rules.ladder.then_step or 0.0) * max(round_ - last, 0)
