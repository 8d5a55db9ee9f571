"""A block with the athlete's own amounts: what was prescribed may be less or more than what was written, and of
rounds less.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from programming.calc.revision import Block, WorkItem
from scoring.calc.volume import shortened


def own_block(block: Block, content: Mapping[str, Any]) -> Block:
    """The block by the amounts and the rounds of a prescription's content, in the units as written.

    What the content does not name, or says to be as written, stays; so does everything of an infeasible one.
    """
    own = {
        entry["work"]: entry for entry in content.get("work", []) if not entry.get("amount_as_written", True)
    }
    rounds = next((one.get("rounds") for one in content.get("blocks", []) if one["block"] == block.key), None)
    if rounds is not None:
        block = shortened(block, rounds)
    if not own:
        return block
    rule = block.rules.break_rule
    penalty = None if rule.penalty_work is None else _own_item(rule.penalty_work, own)
    return replace(
        block,
        work=tuple(_own_item(item, own) for item in block.work),
        rules=replace(block.rules, break_rule=replace(rule, penalty_work=penalty)),
    )


def _own_item(item: WorkItem, own: Mapping[str, Mapping[str, Any]]) -> WorkItem:
    amount = own.get(item.key, {}).get(item.unit)
    return item if amount is None else replace(item, amount=float(amount))
