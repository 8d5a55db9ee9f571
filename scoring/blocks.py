"""The work of a whole session: every item of every block, with what it may be done with."""

from __future__ import annotations

from collections.abc import Iterator

from programming.calc.revision import Block, WorkItem
from programming.plans import MovementEntry, SessionPlan, VariationEntry


def items_of(plan: SessionPlan) -> Iterator[tuple[Block, WorkItem]]:
    """Every item with its block, penalty work too, in the order of the document."""
    for block in plan.doc.blocks:
        for item in block.items:
            yield block, item


def find_item(plan: SessionPlan, work: str) -> tuple[Block, WorkItem] | None:
    """The item with this key (keys are unique over the whole revision) and its block."""
    return next(((block, item) for block, item in items_of(plan) if item.key == work), None)


def work_keys(plan: SessionPlan) -> list[str]:
    return [item.key for _, item in items_of(plan)]


def ladder_of(plan: SessionPlan, item: WorkItem) -> tuple[VariationEntry, ...]:
    """The versions that the revision allows for the item, easier first; empty where the catalogue has none."""
    rungs = [
        entry
        for entry in plan.variations.values()
        if entry.movement.key == item.movement
        and (not item.variations or entry.variation.key in item.variations)
    ]
    return tuple(sorted(rungs, key=lambda entry: (entry.variation.rung, entry.variation.key)))


def movement_of(plan: SessionPlan, item: WorkItem) -> MovementEntry | None:
    """The item's movement; None where the catalogue has no variation of it any more."""
    entries = (entry for entry in plan.variations.values() if entry.movement.key == item.movement)
    found = next(entries, None)
    return None if found is None else found.movement
