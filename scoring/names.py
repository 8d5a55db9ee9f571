"""What a session's work, versions and blocks are called in sentences: by the movement, never by a key."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from programming.calc.difference_words import plain
from programming.calc.load import load_said
from programming.plans import SessionPlan
from scoring.blocks import items_of
from scoring.loadable import worked_groups

ORDINALS: Final = (
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "ninth",
    "tenth",
)
ROUNDS: Final = {"ladder": "rung", "intervals": "interval", "attempts": "attempt"}
VEST: Final = "vest"
GONE: Final = "work that the session does not have any more"


@dataclass(frozen=True)
class Names:
    """By key; `units` by work, `implements` (of one repetition) by variation, `rounds` (what its order goes through)
    by block; `worn` variations have their load in a vest; `groups`: the muscle groups that a variation works. What is
    not listed is read without its underscores, of work nothing is known then.
    """

    works: Mapping[str, str] = field(default_factory=dict)
    movements: Mapping[str, str] = field(default_factory=dict)
    variations: Mapping[str, str] = field(default_factory=dict)
    blocks: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    implements: Mapping[str, int] = field(default_factory=dict)
    rounds: Mapping[str, str] = field(default_factory=dict)
    worn: frozenset[str] = frozenset()
    groups: Mapping[str, frozenset[str]] = field(default_factory=dict)

    def work(self, key: str) -> str:
        return self.works.get(key, GONE)

    def movement(self, key: str) -> str:
        return self.movements.get(key, plain(key))

    def variation(self, key: str) -> str:
        return self.variations.get(key, plain(key))

    def load(self, variation: str, load_kg: float) -> str:
        """A load as it is set up for the variation: of two dumbbells "2 × 16 kg", "a vest of 10 kg"."""
        told = load_said(load_kg, self.implements.get(variation, 1))
        return f"a vest of {told}" if variation in self.worn else told

    def block(self, key: str) -> str:
        return self.blocks.get(key, "the session")

    def so_many(self, block: str, count: int) -> str:
        """So many rounds, or whatever the block's order goes through: "1 rung", "3 intervals"."""
        noun = self.rounds.get(block, "round")
        return f"{count} {noun if count == 1 else noun + 's'}"

    def of_rounds(self, block: str, numbers: Sequence[int]) -> str:
        """Rounds by their numbers from 1, one after the other: "round 2", "rungs 1 to 3"."""
        noun = self.rounds.get(block, "round")
        if len(numbers) == 1:
            return f"{noun} {numbers[0]}"
        return f"{noun}s {numbers[0]} to {numbers[-1]}"


def names_of(plan: SessionPlan) -> Names:
    """The names of a session; the same movement twice is told apart by its order, blocks by theirs."""
    movements = {entry.movement.key: entry.movement.name for entry in plan.variations.values()}
    items = [item for _, item in items_of(plan)]
    times, seen = Counter(item.movement for item in items), Counter[str]()
    works = {}
    for item in items:
        name = movements.get(item.movement, plain(item.movement))
        works[item.key] = (
            name if times[item.movement] == 1 else f"{name}, {_ordinal(seen[item.movement])} time"
        )
        seen[item.movement] += 1
    several = len(plan.doc.blocks) > 1
    return Names(
        works=works,
        movements=movements,
        variations={key: entry.name for key, entry in plan.variations.items()},
        blocks={
            block.key: f"the {_ordinal(number)} block" if several else "the session"
            for number, block in enumerate(plan.doc.blocks)
        },
        units={item.key: item.unit for item in items},
        implements={key: entry.variation.implements for key, entry in plan.variations.items()},
        rounds={block.key: ROUNDS.get(block.rules.order, "round") for block in plan.doc.blocks},
        worn=frozenset(key for key, entry in plan.variations.items() if entry.variation.load_item == VEST),
        groups={key: worked_groups(entry.variation) for key, entry in plan.variations.items()},
    )


def _ordinal(number: int) -> str:
    return ORDINALS[number] if number < len(ORDINALS) else f"{number + 1}th"
