"""What the clock on an athlete's page goes by: the rules of a block as plain values."""

from __future__ import annotations

from typing import Any

from programming.calc.revision import Block
from scoring.names import Names


def clock_rules(block: Block, names: Names) -> dict[str, Any]:
    """Order, breaks, end, rounds and amounts under the names that `my_rules.js` reads; null: open or not there."""
    rules, broken = block.rules, block.rules.break_rule
    intervals, ladder = rules.intervals, rules.ladder
    return {
        "block": block.key,
        "order": rules.order,
        "counts": broken.counts,
        "penalty": broken.penalty,
        "penalty_s": broken.penalty_s,
        "penalty_repetitions": broken.penalty_repetitions,
        "rest_over_s": broken.rest_over_s,
        "end": rules.end.kind,
        "limit_s": rules.end.limit_s,
        "scored": rules.scored,
        "repeats": rules.repeats,
        "rest_between_s": rules.rest_between_s,
        "every_s": None if intervals is None else intervals.every_s,
        "work_s": None if intervals is None else intervals.work_s,
        "in_turn": intervals is not None and intervals.in_turn,
        "items": len(block.work),
        "rungs": [1.0] if ladder is None else list(ladder.amounts),
        "then_step": 0.0 if ladder is None else (ladder.then_step or 0.0),
        "work": [
            {"key": item.key, "name": names.work(item.key), "amount": item.amount, "unit": item.unit}
            for item in block.items
        ],
    }
