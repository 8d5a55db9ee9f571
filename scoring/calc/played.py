"""A set log as the rules of its block read it."""

from collections import defaultdict
from dataclasses import dataclass, field

from scoring.calc.attempt import SetEntry
from scoring.calc.finding import Finding


@dataclass(frozen=True)
class PlayedSet:
    """A set as the rules read it; item NO_ITEM: one that does not count.

    completed: it did what was left of its item in the round; succeeded: that all in one go, and no judge refused
    it; clock_s: at its end, None where rests or durations are not noted.
    """

    entry: SetEntry
    item: int
    round: int
    counted: float
    broke: bool
    completed: bool
    succeeded: bool
    clock_s: float | None
    main: bool = True


@dataclass
class Replay:
    """A played log.

    counted (M,): by item, penalty work last; excess (M,): reported beyond what there was to do; by_round: what
    counted in each round; rounds_done: rounds, rungs or intervals whose work was done; missed: intervals that
    were not; done: all the main work; unsure: the log does not tell breaks, or intervals, for certain.
    """

    sets: list[PlayedSet] = field(default_factory=list)
    counted: list[float] = field(default_factory=list)
    excess: list[float] = field(default_factory=list)
    by_round: dict[int, float] = field(default_factory=lambda: defaultdict(float))
    breaks: int = 0
    rounds_done: int = 0
    missed: list[int] = field(default_factory=list)
    done: bool = False
    rests_unknown: bool = False
    intervals_unknown: bool = False
    findings: list[Finding] = field(default_factory=list)

    @property
    def failed_attempts(self) -> int:
        """Sets that count and did not do in one go what was asked, penalties apart."""
        return sum(one.main and not one.succeeded for one in self.sets)
