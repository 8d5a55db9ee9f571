"""A candidate: one way to do a work item, and what the athlete can do of it in the common scenarios."""

from dataclasses import dataclass
from typing import Literal

from programming.calc.arrays import FloatArray
from programming.calc.variation import Option
from scoring.calc.engine import Engine

CapacityKind = Literal["load_repetition", "hold", "cyclical", "none"]

SECONDS_PER_UNIT = 2.0
"""One repetition of a body-weight or light-load movement at a working pace: common practice, no source."""


@dataclass(frozen=True, eq=False)
class Candidate:
    """An option, what is available fresh (N,) with it, in the same scenarios for all options.

    fresh: repetitions for load_repetition, seconds for hold; infinite for none (jumps, skills, lifts without a
    curve) and cyclical, which nothing local limits. seconds_per_unit: of one repetition, metre or kilocalorie where
    no engine tells the pace; a second of a hold takes one. is_novel: never done before by somebody who has a
    history. below_failure: no set of it may be planned to failure (a bar, and nobody there to help). starts_light:
    the athlete was never or hardly seen in the movement, and there is a load that may be too heavy. is_unseen:
    never seen in the movement, whatever it is. is_hardly_seen: only to do at least something of it. is_far: more
    than a step from what somebody hardly seen has done. is_eased: in place of the version as written, which the
    athlete never did and nothing tells of. is_first_time: nobody saw the athlete in the movement before this
    session's check sets, or not in this version, which is heavier than the one written: much of it is new, whatever
    is known of the capacity. per_unit: by how much of its logarithm a unit lowers the strength (N,); groups: the
    muscle groups that it takes, each with its share; without them nothing but its own movement gets tired, in
    units. tempo: factor (N,) of the seconds of a unit, of this athlete.
    """

    option: Option
    fresh: FloatArray
    is_as_written: bool = False
    is_novel: bool = False
    below_failure: bool = False
    seconds_per_unit: float = SECONDS_PER_UNIT
    engine: Engine | None = None
    kind: CapacityKind = "load_repetition"
    starts_light: bool = False
    is_unseen: bool = False
    is_eased: bool = False
    is_first_time: bool = False
    is_hardly_seen: bool = False
    is_far: bool = False
    per_unit: FloatArray | float = 1.0
    tempo: FloatArray | float = 1.0
    groups: tuple[tuple[str, float], ...] = ()

    @property
    def is_unbounded(self) -> bool:
        """Whether nothing was seen of what the athlete can not do of the movement."""
        return self.is_unseen or self.is_hardly_seen

    @property
    def is_limited(self) -> bool:
        """Whether a reservoir of this work runs empty."""
        return self.kind in ("load_repetition", "hold")
