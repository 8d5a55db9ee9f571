"""Personal bests: what nobody has to estimate, for it was done.

By repetitions or seconds at a load, by load, and by time over an amount. Sets of one way to perform a variation are
compared and no others. What is bettered in both respects is no best; of what is equal the first counts.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, NamedTuple

REPETITIONS: Final = "repetitions"
SECONDS: Final = "seconds"
TIME: Final = "time"

COUNTS: Final = frozenset({"one_rm", "to_failure", "rir", "at_least", "maximal"})
"""What ended by pain, a judge or the clock is no best: nobody says that its last repetition met the standard."""


class Way(NamedTuple):
    """How it was done: variation, height in cm where it has one, unit of the amount, and by what bests of it go."""

    variation: str
    height_cm: float | None
    unit: str
    by: str


@dataclass(frozen=True)
class Done:
    """Done on one day (any running day number). amount: repetitions, seconds, metres or kcal; against: the load added
    in kg, assistance negative (more is better), or of `time` the seconds that it took (fewer are better)."""

    way: Way
    day: int
    amount: float
    against: float

    @property
    def rank(self) -> tuple[float, float]:
        """Both rise with what is better."""
        return self.amount, -self.against if self.way.by == TIME else self.against


@dataclass(frozen=True)
class Best:
    """A best and what it bettered: the best of earlier days at no less load, or of time over no less an amount."""

    done: Done
    before: Done | None


def personal_bests(done: Iterable[Done]) -> tuple[Best, ...]:
    """Of everything that counts, by the way and by load (of time: by amount). Nothing done is no best."""
    ways: dict[Way, list[Done]] = {}
    for one in done:
        if one.amount > 0.0:
            ways.setdefault(one.way, []).append(one)
    return tuple(
        Best(one, _bettered(one, ways[way])) for way in sorted(ways, key=_order) for one in _front(ways[way])
    )


def _order(way: Way) -> tuple[str, float, str]:
    return way.variation, -1.0 if way.height_cm is None else way.height_cm, way.unit


def _front(done: list[Done]) -> list[Done]:
    """What no other is at least equal to in both respects, by load or amount, ascending."""
    front: list[Done] = []
    # The second respect falls: whoever comes later must have more of the first.
    for one in sorted(done, key=lambda d: (-d.rank[1], -d.rank[0], d.day)):
        if not front or one.rank[0] > front[-1].rank[0]:
            front.append(one)
    return sorted(front, key=lambda d: d.amount if d.way.by == TIME else d.against)


def _bettered(best: Done, done: list[Done]) -> Done | None:
    """At the same load or amount, or harder, the best of what was done on earlier days."""
    if best.way.by == TIME:
        earlier = [d for d in done if d.day < best.day and d.amount >= best.amount]
        return min(earlier, key=lambda d: (d.against, d.day), default=None)
    earlier = [d for d in done if d.day < best.day and d.against >= best.against]
    return max(earlier, key=lambda d: (d.amount, -d.day), default=None)
