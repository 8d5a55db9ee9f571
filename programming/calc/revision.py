"""What a revision says: the frozen form of a validated revision document.

Made by ``programming.calc.document.parse_revision``; units are seconds, kilograms, centimetres, metres,
kilocalories as a machine shows them, repetitions.
"""

from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

REPETITIONS: Final = "repetitions"
HOLD: Final = "hold_s"
DISTANCE: Final = "distance_m"
ENERGY: Final = "energy_kcal"
UNITS: Final = (REPETITIONS, HOLD, DISTANCE, ENERGY)
"""What an amount of work is counted in; also the names of its fields in documents and logs."""
ROUND_BY_ROUND: Final = frozenset({"in_sequence", "rounds", "swap_on_break", "ladder"})
"""Orders in which a round is over when its work is done, and not by a clock or after a single set."""
TOLD_BY_PROGRESS: Final = frozenset({"rounds", "time", "none"})
"""What is scored where several units need not be added up: of a time the cap leaves what was done."""


@dataclass(frozen=True)
class AsWritten:
    """The version that the coach wrote; a setting that does not apply is None."""

    variation: str
    load_kg: float | None = None
    assistance_kg: float | None = None
    height_cm: float | None = None


@dataclass(frozen=True)
class WorkItem:
    """An amount of one movement, in `unit`; None: as much as possible.

    In a ladder the amount is that of a rung of 1. No `variations` means the movement's whole ladder.
    """

    key: str
    movement: str
    amount: float | None
    as_written: AsWritten
    variations: tuple[str, ...] = ()
    unit: str = REPETITIONS

    @property
    def repetitions(self) -> int:
        """The amount as whole repetitions. Raises ValueError for work that is open or counted otherwise."""
        if self.amount is None or self.unit != REPETITIONS:
            raise ValueError(f"{self.key} is not a fixed number of repetitions")
        return int(self.amount)


@dataclass(frozen=True)
class BreakRule:
    """What counts as a break and what it costs.

    penalty: "added" to the score (seconds where time is scored, repetitions where an amount is), or served:
    as rest of penalty_s, or as `penalty_work` before the block goes on. rest_over_s: the pause within one
    item that counts, for "rest_longer_than".
    """

    counts: str
    penalty_s: float = 0.0
    penalty: str = "added"
    penalty_repetitions: int = 0
    penalty_work: WorkItem | None = None
    rest_over_s: float | None = None


@dataclass(frozen=True)
class EndRule:
    """When the block is over: all work done (at the latest at cap_s), after time_s, or at the first miss."""

    kind: str
    cap_s: float | None = None
    time_s: float | None = None

    @property
    def limit_s(self) -> float | None:
        """The clock at which the block is over in any case; None: never by the clock."""
        return self.time_s if self.kind == "fixed_time" else self.cap_s


@dataclass(frozen=True)
class Ladder:
    """Factors of the work items' amounts, rung by rung; then_step: what each further rung adds, None: no more."""

    amounts: tuple[float, ...]
    then_step: float | None = None


@dataclass(frozen=True)
class Intervals:
    """An interval begins every every_s seconds, count times (None: until the end of the block).

    Work is done in the first work_s of it (None: in all of it). in_turn: one item in each interval, by turns;
    else all items in each.
    """

    every_s: float
    count: int | None
    work_s: float | None = None
    in_turn: bool = False


@dataclass(frozen=True)
class BlockRules:
    """Order, break rule, end, what is scored, tie-break: five rules that compose.

    rounds: how often the work is done (None: until the end of the block), with rest_between_s between two
    rounds; ladder, intervals and attempts belong to the orders of these names. split: the work item at whose
    completion ties are broken by "split_time". adds_units: amounts of several units are added up, as the rules did
    before version 3; no document says so.
    """

    order: str
    break_rule: BreakRule
    end: EndRule
    scored: str
    tie_break: str
    rounds: int | None = 1
    rest_between_s: float = 0.0
    ladder: Ladder | None = None
    intervals: Intervals | None = None
    attempts: int | None = None
    split: str | None = None
    adds_units: bool = False

    @property
    def repeats(self) -> int | None:
        """How many rounds, rungs, intervals or attempts there are; None: until the end of the block."""
        if self.order == "attempts":
            return self.attempts
        if self.intervals is not None:
            rungs = None if self.ladder is None or self.ladder.then_step else len(self.ladder.amounts)
            counts = [count for count in (self.intervals.count, rungs) if count is not None]
            return min(counts, default=None)
        if self.ladder is not None:
            return len(self.ladder.amounts) if self.ladder.then_step is None else None
        return self.rounds


@dataclass(frozen=True)
class Condition:
    """One condition of the aim, lower <= value <= upper; an open side is None.

    `work` is None where the condition is on the whole block. stopped_by asks for no window but for what stops
    the athlete: `by`.
    """

    kind: str
    work: str | None
    lower: float | None
    upper: float | None
    by: str | None = None

    def holds(self, value: float) -> bool:
        """Whether `value` lies in the window, bounds included."""
        return (self.lower is None or value >= self.lower) and (self.upper is None or value <= self.upper)


@dataclass(frozen=True)
class Aim:
    """What must be true of an athlete's session for it to train what it should."""

    conditions: tuple[Condition, ...]


@dataclass(frozen=True)
class Block:
    """Work under rules with an aim."""

    key: str
    work: tuple[WorkItem, ...]
    rules: BlockRules
    aim: Aim

    @cached_property
    def items(self) -> tuple[WorkItem, ...]:
        """Everything that is done in the block: the work, then the penalty work if there is any."""
        penalty = self.rules.break_rule.penalty_work
        return self.work if penalty is None else (*self.work, penalty)

    def index_of(self, work: str) -> int | None:
        """Position in `items` of a work item, or None when the block has no such item."""
        return next((index for index, item in enumerate(self.items) if item.key == work), None)

    @property
    def total(self) -> float | None:
        """All amounts of the block added up, over all rounds; None where there is no end to them."""
        repeats = self.rules.repeats
        if repeats is None or any(item.amount is None for item in self.work):
            return None
        each = sum(item.amount or 0.0 for item in self.work)
        rungs = [1.0] * repeats if self.rules.ladder is None else _rungs(self.rules.ladder, repeats)
        if self.rules.intervals is not None and self.rules.intervals.in_turn:
            turns = [self.work[index % len(self.work)].amount or 0.0 for index in range(repeats)]
            return sum(amount * rung for amount, rung in zip(turns, rungs, strict=True))
        return each * sum(rungs)

    @property
    def by_progress(self) -> bool:
        """Whether what is done is told in rounds and the share of the next one, each of its items counting alike:
        metres and repetitions do not add up. Needs a round that can be completed, whenever its work is done.
        """
        rules = self.rules
        return (
            len({item.unit for item in self.work}) > 1
            and rules.order in ROUND_BY_ROUND
            and rules.scored in TOLD_BY_PROGRESS
            and all(item.amount is not None for item in self.work)
            and not rules.adds_units
        )

    @property
    def repetitions(self) -> int:
        """`total` as whole repetitions. Raises ValueError where work is open or counted otherwise."""
        if self.total is None or any(item.unit != REPETITIONS for item in self.work):
            raise ValueError(f"block {self.key} is not a fixed number of repetitions")
        return int(self.total)


def _rungs(ladder: Ladder, count: int) -> list[float]:
    step, last = ladder.then_step or 0.0, len(ladder.amounts) - 1
    return [ladder.amounts[min(i, last)] + step * max(i - last, 0) for i in range(count)]


@dataclass(frozen=True)
class Texts:
    """The coach's words for the athletes."""

    why: str = ""
    benefits: str = ""
    how: str = ""
    effort: str = ""
    easier: str = ""
    cautions: str = ""


@dataclass(frozen=True)
class PointTable:
    """Points of a score: a (b - x)^c where less is better, a (x - b)^c where more is; rounded down, never below 0."""

    a: float
    b: float
    c: float


@dataclass(frozen=True)
class Overall:
    """How a session of several blocks is ranked.

    by: "block" (that of `block`), "places" (places added up, fewest first), "points" (by `tables`, most first).
    """

    by: str
    block: str | None = None
    tables: tuple[tuple[str, PointTable], ...] = field(default=())


@dataclass(frozen=True)
class RevisionDoc:
    """A whole revision."""

    title: str
    texts: Texts
    quality: str
    blocks: tuple[Block, ...]
    overall: Overall = Overall("block")

    def block(self, key: str) -> Block | None:
        """The block with this key."""
        return next((block for block in self.blocks if block.key == key), None)

    @property
    def ranked_block(self) -> Block:
        """The block that decides a ranking by one block: the one named, else the first that is scored."""
        named = None if self.overall.block is None else self.block(self.overall.block)
        scored = (block for block in self.blocks if block.rules.scored != "none")
        return named or next(scored, self.blocks[0])
