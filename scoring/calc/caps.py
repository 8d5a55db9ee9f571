"""The most of each work item over its whole block: what safety asks, and what is too new to do much of.

All are by work key. Some are hard: an absence, or an athlete who may do only so much. Those of new work hold where
they can: a single first set may be more. What was done of a movement before the block, as to check it, is gone from
both.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from programming.calc.revision import Block
from scoring.calc.first_set import Judged, is_new_and_unsure
from scoring.calc.volume import NOVEL_VOLUME


@dataclass(frozen=True)
class Caps:
    """hard: always kept. done: repetitions of this session before the block."""

    hard: Mapping[str, float] = field(default_factory=dict)
    done: Mapping[str, float] = field(default_factory=dict)

    def of_safety(self) -> dict[str, float]:
        """What is left of the hard ones."""
        return {key: max(cap - self._gone(key), 0.0) for key, cap in self.hard.items()}

    def of_new_work(self, block: Block, options: Sequence[Judged]) -> dict[str, float]:
        """Of work whose chosen option (M) is new to the athlete, or never seen, and unsure."""
        return {
            item.key: max(NOVEL_VOLUME * max(one.spread.p50, 1.0) - self._gone(item.key), 1.0)
            for item, one in zip(block.work, options, strict=False)
            if is_new_and_unsure(one)
        }

    def of_all(self, block: Block, options: Sequence[Judged]) -> dict[str, float]:
        """The least of the caps of each item."""
        found = self.of_new_work(block, options)
        for key, cap in self.of_safety().items():
            found[key] = min(cap, found.get(key, cap))
        return found

    def _gone(self, key: str) -> float:
        return self.done.get(key, 0.0)
