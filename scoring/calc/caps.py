"""The most of each work item over its whole block: what safety asks, and what is too new to do much of.

All are by work key. Some are hard: an absence, or an athlete who may do only so much. Those of work that is new, or
far more than was done of late, hold where they can: a single first set may be more. What was done of a movement
before the block, as to check it, is gone from all. A check set tells what the athlete can do, and not what the body
is used to: work that nobody saw before it stays an introduction for the whole session.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import inf

from programming.calc.revision import Block
from scoring.calc.first_set import Judged
from scoring.calc.prescription import ReasonCode
from scoring.calc.volume import NOVEL_VOLUME


@dataclass(frozen=True)
class UsedTo:
    """Of an item that asks for far more than was done of late: repetitions that are no great step from it, and the
    item's part of all that is planned of its movement. failed_bouts: how many times what went to failure in one bout
    of late (failed, repetitions of the movement) may be done where that is more, less what the bout has had already
    (spent, likewise).
    """

    most: float
    share: float
    failed_bouts: float = 0.0
    failed: float = 0.0
    spent: float = 0.0

    def cap(self, fresh: float) -> float:
        """The most repetitions of the item; fresh: of how many it is thought that they are there, of its version.

        What was done counts, and not what is thought possible, which of who was seen once may be twice as much; of a
        heavier version than the one that was done it is less.
        """
        return max(self.most, self.share * (self.failed_bouts * min(self.failed, fresh) - self.spent))


@dataclass(frozen=True)
class Caps:
    """hard: always kept. done: repetitions of this session before the block. used_to: of what is far more than of
    late. introductions: repetitions that are an ordinary beginning.
    """

    hard: Mapping[str, float] = field(default_factory=dict)
    done: Mapping[str, float] = field(default_factory=dict)
    used_to: Mapping[str, UsedTo] = field(default_factory=dict)
    introductions: Mapping[str, float] = field(default_factory=dict)

    def of_safety(self) -> dict[str, float]:
        """What is left of the hard ones."""
        return {key: max(cap - self._gone(key), 0.0) for key, cap in self.hard.items()}

    def of_little_known(self, block: Block, options: Sequence[Judged]) -> dict[str, float]:
        """Of work whose chosen option (M) is done for the first time, or new and unsure; of far more than of late."""
        return _least(self._of_new_work(block, options), self._of_far_more(block, options))

    def of_all(self, block: Block, options: Sequence[Judged]) -> dict[str, float]:
        """The least of the caps of each item."""
        return _least(self.of_safety(), self.of_little_known(block, options))

    def why(self, block: Block, options: Sequence[Judged]) -> dict[str, ReasonCode]:
        """By which of its caps each item is held."""
        most, far_more = self.of_all(block, options), self._of_far_more(block, options)
        return {
            key: "far_more_than_of_late" if far_more.get(key) == cap else "capped_volume"
            for key, cap in most.items()
        }

    def _of_new_work(self, block: Block, options: Sequence[Judged]) -> dict[str, float]:
        found = {}
        for item, one in zip(block.work, options, strict=False):
            first = one.candidate.is_first_time and one.candidate.is_limited
            if first or one.is_new_and_unsure:
                beginning = self.introductions.get(item.key, inf) if first else inf
                most = min(NOVEL_VOLUME * max(one.spread.p50, 1.0), beginning)
                found[item.key] = self._left(item.key, most)
        return found

    def _of_far_more(self, block: Block, options: Sequence[Judged]) -> dict[str, float]:
        found = {}
        for item, one in zip(block.work, options, strict=False):
            used = self.used_to.get(item.key)
            if used is not None and one.candidate.is_limited:
                found[item.key] = self._left(item.key, used.cap(one.spread.p50))
        return found

    def _left(self, key: str, cap: float) -> float:
        return max(cap - self._gone(key), 1.0)

    def _gone(self, key: str) -> float:
        return self.done.get(key, 0.0)


def _least(one: Mapping[str, float], other: Mapping[str, float]) -> dict[str, float]:
    """By key, the lower of two caps."""
    return {key: min(one.get(key, inf), other.get(key, inf)) for key in {**one, **other}}
