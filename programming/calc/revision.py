"""What a revision says: the frozen form of a validated revision document.

Made by ``programming.calc.document.parse_revision``; units are seconds, kilograms, centimetres, repetitions.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class AsWritten:
    """The version that the coach wrote; a setting that does not apply is None."""

    variation: str
    load_kg: float | None = None
    assistance_kg: float | None = None
    height_cm: float | None = None


@dataclass(frozen=True)
class WorkItem:
    """Repetitions of one movement; no `variations` means the movement's whole ladder."""

    key: str
    movement: str
    repetitions: int
    as_written: AsWritten
    variations: tuple[str, ...] = ()


@dataclass(frozen=True)
class BreakRule:
    """What counts as a break and what it costs."""

    counts: str
    penalty_s: float
    penalty: str


@dataclass(frozen=True)
class EndRule:
    """When the block is over; no cap is None."""

    kind: str
    cap_s: float | None


@dataclass(frozen=True)
class BlockRules:
    """Order, break rule, end, what is scored, tie-break: five rules that compose."""

    order: str
    break_rule: BreakRule
    end: EndRule
    scored: str
    tie_break: str


@dataclass(frozen=True)
class Condition:
    """One condition of the aim, lower <= value <= upper; an open side is None, `work` is None for time."""

    kind: str
    work: str | None
    lower: float | None
    upper: float | None

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

    def index_of(self, work: str) -> int | None:
        """Position of a work item, or None when the block has no such item."""
        return next((index for index, item in enumerate(self.work) if item.key == work), None)

    @property
    def repetitions(self) -> int:
        """All the work of the block, in repetitions."""
        return sum(item.repetitions for item in self.work)


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
class RevisionDoc:
    """A whole revision."""

    title: str
    texts: Texts
    quality: str
    blocks: tuple[Block, ...]
