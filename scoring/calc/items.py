"""The work items of a block with one option each, as numbers for the simulation, and the common scenarios."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np

from programming.calc.arrays import FloatArray, IntArray
from programming.calc.revision import DISTANCE, ENERGY, HOLD, REPETITIONS, Block, WorkItem
from programming.calc.rule_codes import NO_ITEM
from scoring.calc.candidate import Candidate
from scoring.calc.engine import check_engine, lifting_power
from scoring.calc.muscles import muscle_weights
from scoring.calc.spread import quantile

# What limits a set of an item.
NOTHING: Final = 0
RESERVOIR: Final = 1
PACE: Final = 2

# The shortest set worth beginning: a repetition, or a hold of five seconds (ours: less is getting into position).
LEAST: Final = {REPETITIONS: 1.0, HOLD: 5.0, DISTANCE: 1.0, ENERGY: 1.0}

# What a set leaves that must not go to failure. One repetition is no margin: how many are left is told wrong by about
# one, and the athlete may have a bad day. Three in reserve is common practice, no source; a third of what is there on
# such a day (the lower end of the 80 %) where that is less, so that somebody with six repetitions still trains.
MARGIN: Final = {**LEAST, REPETITIONS: 3.0, HOLD: 15.0}
MARGIN_SHARE: Final = 1.0 / 3.0
MARGIN_QUANTILE: Final = 0.1

# What a plan is chosen by: the least time, or the most of something.
BY_TIME: Final = 0
BY_AMOUNT: Final = 1
BY_LOAD: Final = 2
BY_INTERVALS: Final = 3
BY_SMALLEST: Final = 4
OBJECTIVES: Final = {
    "time": BY_TIME, "none": BY_TIME, "load": BY_LOAD, "intervals": BY_INTERVALS, "smallest_interval": BY_SMALLEST,
}  # fmt: skip
_UNIT_OF_SCORE: Final = {
    "time": "s", "distance": "m", "energy": "kcal", "held_time": "s", "load": "kg",
    "volume_load": "kg_repetitions", "intervals": "intervals",
}  # fmt: skip
_NAME_OF_UNIT: Final = {REPETITIONS: "repetitions", HOLD: "s", DISTANCE: "m", ENERGY: "kcal"}
_SCORED_UNIT: Final = {"distance": DISTANCE, "energy": ENERGY, "held_time": HOLD}


# Rows of a table of items: the kernel takes one array instead of many, whose counting would cost more than the work.
KIND: Final = 0
GROUP: Final = 1
SECONDS: Final = 2
LEAST_SET: Final = 3
KEPT: Final = 4
WEIGHT: Final = 5
LOAD: Final = 6
POWER: Final = 7
RATE: Final = 8
EXPONENT: Final = 9
# Rows of a person in one scenario.
FRESH: Final = 0
CRITICAL: Final = 1
RESERVE: Final = 2
PER_UNIT: Final = 3
PERSON_ROWS: Final = 4


class Items(NamedTuple):
    """What the simulation knows of M items, penalty work last.

    table (10, M), by rows: KIND: NOTHING, RESERVOIR or PACE; GROUP: the number of the item's movement; SECONDS per
    unit; LEAST_SET, KEPT: smallest set, units that are never used; WEIGHT: what a unit adds to the score; LOAD:
    what is lifted beside the body [kg]; POWER: what the work takes from the reserve [W], NaN: cannot be told; RATE,
    EXPONENT: see `ride`. engine: the item whose engine recovers at rest, NO_ITEM without one. weights (M, G): how
    much each item takes of the muscle groups.
    """

    table: FloatArray
    engine: int
    weights: FloatArray

    @property
    def kind(self) -> FloatArray:
        """(M,): NOTHING, RESERVOIR or PACE."""
        return np.asarray(self.table[KIND])

    @property
    def group(self) -> FloatArray:
        """(M,): the number of the movement."""
        return np.asarray(self.table[GROUP])


@dataclass(frozen=True, eq=False)
class Scenarios:
    """Common scenarios: people (N, 4, M) by rows FRESH, CRITICAL, RESERVE (1 without), PER_UNIT: what a unit
    takes of the muscles; slow fatigue (N,)."""

    items: Items
    people: FloatArray
    multiplier: FloatArray

    @property
    def fresh(self) -> FloatArray:
        """What is available fresh (N, M)."""
        return self.people[:, FRESH]

    def subset(self, count: int) -> "Scenarios":
        """`count` of the scenarios, spread so that no regular order among them is aliased."""
        if count >= len(self.multiplier):
            return self
        rows = _spread_rows(len(self.multiplier), count)
        return Scenarios(self.items, self.people[rows], self.multiplier[rows])

    def middle(self) -> tuple[FloatArray, float]:
        """The median of everything that is drawn: a person (4, M) and a multiplier."""
        return np.median(self.people, axis=0), float(np.median(self.multiplier))

    def stronger(self, group: int | None, factor: float) -> "Scenarios":
        """With the fresh capacity of a group, or the engines (None), multiplied by `factor`."""
        by = np.ones(self.people.shape[1:])
        if group is None:
            by[CRITICAL : RESERVE + 1] = factor
        else:
            by[FRESH, self.items.group == group] = factor
        return Scenarios(self.items, self.people * by, self.multiplier)


@lru_cache(maxsize=64)
def _spread_rows(total: int, count: int) -> IntArray:
    """The first `count` multiples of a step near the golden section of `total`, prime to it."""
    step = next(s for s in range(max(1, round(0.618 * total)), 2 * total) if np.gcd(s, total) == 1)
    return np.sort((np.arange(count) * step) % total)


def make_scenarios(
    block: Block, candidates: Sequence[Candidate], multiplier: FloatArray, *, to_failure: bool = True
) -> Scenarios:
    """Check and stack: one candidate for each of `block.items`, in that order.

    The arrays of two items should come from independent uniforms, unless the same movement is meant. to_failure
    False, or a candidate below failure: a repetition of it is always kept. Raises ValueError on other shapes and
    on values that are not finite or not in their range.
    """
    m = np.ascontiguousarray(multiplier, dtype=float)
    if len(candidates) != len(block.items) or m.ndim != 1 or not m.size:
        raise ValueError(f"{len(candidates)} candidates for {len(block.items)} items, multiplier {m.shape}")
    shapes = {np.shape(one.fresh) for one in candidates}
    if shapes != {m.shape} or {np.shape(one.per_unit) for one in candidates} - {m.shape, ()}:
        raise ValueError(f"fresh {shapes}, what a unit takes, and multiplier {m.shape} do not fit")
    people = np.ones((len(m), PERSON_ROWS, len(candidates)))
    fresh = people[:, FRESH]
    for index, one in enumerate(candidates):
        fresh[:, index], people[:, PER_UNIT, index] = one.fresh, one.per_unit
    limited = np.array([one.is_limited for one in candidates])
    if not (np.isfinite(fresh[:, limited]).all() and np.isfinite(m).all()) or np.isnan(fresh).any():
        raise ValueError("what is available and the multipliers must be finite")
    if not (np.isfinite(people[:, PER_UNIT]).all() and people[:, PER_UNIT].min() > 0.0):
        raise ValueError("what a unit takes must be finite and positive")
    if fresh.min() < 0.0 or m.min() < 0.0:
        raise ValueError("what is available and the multipliers must not be negative")
    items = items_of(block, candidates, to_failure=to_failure)
    for index, one in enumerate(candidates):
        if one.engine is not None:
            check_engine(one.engine, len(m))
            people[:, CRITICAL, index], people[:, RESERVE, index] = one.engine.critical, one.engine.reserve
    return Scenarios(items, people, m)


def items_of(block: Block, candidates: Sequence[Candidate], *, to_failure: bool = True) -> Items:
    """The items of a block, each as its candidate says. Raises ValueError where seconds are not positive."""
    laws = [
        None if one.engine is None else one.engine.rate_law(item.unit)
        for item, one in zip(block.items, candidates, strict=True)
    ]
    engine = next((index for index, one in enumerate(candidates) if one.engine is not None), NO_ITEM)
    seconds = [_seconds(item, one) for item, one in zip(block.items, candidates, strict=True)]
    if not all(0.0 < one < np.inf for one in seconds):
        raise ValueError(f"seconds of a unit must be positive, got {seconds}")
    movements = [item.movement for item in block.items]
    pairs = list(zip(block.items, candidates, strict=True))
    least = [LEAST[item.unit] for item in block.items]
    table = [
        [_kind(one, law) for one, law in zip(candidates, laws, strict=True)],
        [movements.index(movement) for movement in movements],
        seconds,
        least,
        [
            _margin(item, one) if one.below_failure or not to_failure else 0.0
            for item, one in zip(block.items, candidates, strict=True)
        ],
        [_weight(block, item, one) for item, one in pairs],
        [_external_kg(one) for one in candidates],
        _powers(block, candidates, seconds, engine),
        [1.0 if law is None else law[0] for law in laws],
        [0.0 if law is None else law[1] for law in laws],
    ]
    return Items(np.array(table, dtype=np.float64), engine, muscle_weights(block, candidates))


def _margin(item: WorkItem, one: Candidate) -> float:
    """Whole units that every set leaves where none may go to failure, at least the smallest set."""
    least = LEAST[item.unit]
    if not one.is_limited:
        return least
    low = quantile(one.fresh, MARGIN_QUANTILE)
    return max(least, min(MARGIN[item.unit], float(np.floor(MARGIN_SHARE * low + 1e-9))))


def _kind(one: Candidate, law: tuple[float, float] | None) -> int:
    if one.is_limited:
        return RESERVOIR
    return NOTHING if law is None else PACE


def _seconds(item: WorkItem, one: Candidate) -> float:
    return 1.0 if item.unit == HOLD else one.seconds_per_unit


def _external_kg(one: Candidate) -> float:
    return (one.option.load_kg or 0.0) - (one.option.assistance_kg or 0.0)


def _weight(block: Block, item: WorkItem, one: Candidate) -> float:
    """What a unit of the item adds to an amount that is scored, or to the rounds done; penalty work adds nothing."""
    if item not in block.work:
        return 0.0
    if block.rules.scored == "volume_load":
        return (one.option.load_kg or 0.0) if item.unit == REPETITIONS else 0.0
    if block.by_progress:  # of a rung of 1: the kernel divides by the rung
        return 1.0 / (len(block.work) * (item.amount or 1.0))
    wanted = _SCORED_UNIT.get(block.rules.scored, item.unit)
    return 1.0 if item.unit == wanted else 0.0


def _powers(
    block: Block, candidates: Sequence[Candidate], seconds: Sequence[float], engine: int
) -> list[float]:
    """What each item takes from the reserve: lifting by its load, holds nothing, NaN where it cannot be told."""
    found = [0.0] * len(candidates)
    lead = None if engine == NO_ITEM else candidates[engine].engine
    for index, (item, one) in enumerate(zip(block.items, candidates, strict=True)):
        if lead is None or item.unit == HOLD:
            continue
        told = lead.measure == "power" and item.unit == REPETITIONS
        found[index] = lifting_power(one.option.effective_kg, seconds[index]) if told else np.nan
    return found


def score_unit(block: Block) -> str | None:
    """The unit of the official score; None where nothing is scored."""
    scored = block.rules.scored
    if scored == "none":
        return None
    if scored == "rounds" and block.by_progress:
        return "rounds"
    units = {_NAME_OF_UNIT[item.unit] for item in block.work}
    return _UNIT_OF_SCORE.get(scored) or (units.pop() if len(units) == 1 else "repetitions")
