"""The rules of a block as numbers and arrays for compiled code: what `programming.calc.stepper` steps by."""

from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np

from programming.calc.arrays import FloatArray
from programming.calc.kept import kept
from programming.calc.revision import Block, RevisionDoc

RULES_VERSION: Final = 3
"""Stored with every revision and score: past scores are never recomputed silently. In version 1 a set that the
clock ended was a break; before version 3 metres and kilocalories were added to repetitions."""
ADDS_UNITS_BEFORE: Final = 3

IN_SEQUENCE: Final = 0
ROUNDS: Final = 1
SWAP_ON_BREAK: Final = 2
LADDER: Final = 3
INTERVALS: Final = 4
ATTEMPTS: Final = 5
ORDERS: Final = {
    "in_sequence": IN_SEQUENCE, "rounds": ROUNDS, "swap_on_break": SWAP_ON_BREAK, "ladder": LADDER,
    "intervals": INTERVALS, "attempts": ATTEMPTS,
}  # fmt: skip

NOTHING: Final = 0
SET_ENDED_EARLY: Final = 1
REST_LONGER_THAN: Final = 2
MISSED_INTERVAL: Final = 3
NO_REP: Final = 4
BREAK_COUNTS: Final = {
    "none": NOTHING, "set_ended_early": SET_ENDED_EARLY, "rest_longer_than": REST_LONGER_THAN,
    "missed_interval": MISSED_INTERVAL, "no_rep": NO_REP,
}  # fmt: skip

ADDED: Final = 0
SERVED_REST: Final = 1
SERVED_WORK: Final = 2
PENALTIES: Final = {"added": ADDED, "served_rest": SERVED_REST, "served_work": SERVED_WORK}

WORK_DONE: Final = 0
FIXED_TIME: Final = 1
FIRST_MISS: Final = 2
ENDS: Final = {"work_done": WORK_DONE, "fixed_time": FIXED_TIME, "first_miss": FIRST_MISS}

NO_ITEM: Final = -1
OPEN: Final = 1 << 30  # rounds without an end


class RuleCodes(NamedTuple):
    """Block rules as numbers. limit_s is infinity without a limit, penalty_item NO_ITEM without penalty work."""

    order: int
    break_counts: int
    penalty: int
    penalty_s: float
    penalty_repetitions: float
    rest_over_s: float
    end: int
    limit_s: float
    repeats: int
    rest_between_s: float
    interval_s: float
    work_s: float
    in_turn: bool
    items: int
    penalty_item: int
    by_progress: bool


class Work(NamedTuple):
    """Amounts of the items (M,), penalty work last, infinite where open; rungs (R,), what each further adds."""

    amounts: FloatArray
    rungs: FloatArray
    then_step: float


@kept
def rule_codes(block: Block) -> RuleCodes:
    """Translate a validated block; KeyError means a rule that the stepper does not know.

    Every number has the type of its field, also where the block has a whole number of seconds: the compiled code is
    made for types, so that one int in place of a float would have the whole simulation compiled once more.
    """
    rules, broken = block.rules, block.rules.break_rule
    intervals, repeats, limit_s = rules.intervals, rules.repeats, rules.end.limit_s
    every_s = 0.0 if intervals is None else intervals.every_s
    work_s = every_s if intervals is None or intervals.work_s is None else intervals.work_s
    return RuleCodes(
        order=ORDERS[rules.order],
        break_counts=BREAK_COUNTS[broken.counts],
        penalty=PENALTIES[broken.penalty],
        penalty_s=float(broken.penalty_s),
        penalty_repetitions=float(broken.penalty_repetitions),
        rest_over_s=float("inf") if broken.rest_over_s is None else float(broken.rest_over_s),
        end=ENDS[rules.end.kind],
        limit_s=float("inf") if limit_s is None else float(limit_s),
        repeats=OPEN if repeats is None else repeats,
        rest_between_s=float(rules.rest_between_s),
        interval_s=float(every_s),
        work_s=float(work_s),
        in_turn=intervals is not None and intervals.in_turn,
        items=len(block.work),
        penalty_item=NO_ITEM if broken.penalty_work is None else len(block.work),
        by_progress=block.by_progress,
    )


def read_by(doc: RevisionDoc, rules_version: int) -> RevisionDoc:
    """A revision as the rules of its version read it; the same object under those of today."""
    if rules_version >= ADDS_UNITS_BEFORE:
        return doc
    return replace(doc, blocks=tuple(block_read_by(block, rules_version) for block in doc.blocks))


def block_read_by(block: Block, rules_version: int) -> Block:
    """A block as the rules of a version read it."""
    if rules_version >= ADDS_UNITS_BEFORE or block.rules.adds_units:
        return block
    return replace(block, rules=replace(block.rules, adds_units=True))


@kept
def work_of(block: Block) -> Work:
    """The amounts of a validated block."""
    amounts = [np.inf if item.amount is None else item.amount for item in block.items]
    ladder = block.rules.ladder
    rungs = (1.0,) if ladder is None else ladder.amounts
    step = 0.0 if ladder is None or ladder.then_step is None else ladder.then_step
    return Work(np.array(amounts, dtype=np.float64), np.array(rungs, dtype=np.float64), float(step))
