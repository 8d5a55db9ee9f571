"""The work items of a block with one option each, as numbers for the simulation."""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from athletes.calc.fatigue import shared_by
from programming.calc.arrays import FloatArray
from programming.calc.revision import DISTANCE, ENERGY, HOLD, REPETITIONS, Block, WorkItem
from programming.calc.rule_codes import NO_ITEM
from programming.calc.units import NAMES
from scoring.calc.candidate import Candidate
from scoring.calc.engine import lifting_power
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
TRIED: Final = 10
TABLE_ROWS: Final = 11
SHARED: Final = TABLE_ROWS
# Rows of a person in one scenario.
FRESH: Final = 0
CRITICAL: Final = 1
RESERVE: Final = 2
PER_UNIT: Final = 3
TEMPO: Final = 4
PERSON_ROWS: Final = 5


class Items(NamedTuple):
    """What the simulation knows of M items, penalty work last.

    table (11 + M, M), by rows: KIND: NOTHING, RESERVOIR or PACE; GROUP: the number of the item's movement; SECONDS
    per unit; LEAST_SET, KEPT: smallest set, units that are never used; WEIGHT: what a unit adds to the score; LOAD:
    what is lifted beside the body [kg]; POWER: what the work takes from the reserve [W], NaN: cannot be told; RATE,
    EXPONENT: see `ride`; TRIED: units that are tried in vain where a set goes to failure, none of a hold; from SHARED
    on how much each two items share of the muscle groups (`athletes.calc.fatigue.shared_by`). engine: the item
    whose engine recovers at rest, NO_ITEM without one. weights (M, G): how much each item takes of the groups.
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


def items_of(block: Block, candidates: Sequence[Candidate], *, to_failure: bool = True) -> Items:
    """The items of a block, each as its candidate says. Raises ValueError where seconds are not positive."""
    if len(candidates) != len(block.items):
        raise ValueError(f"{len(candidates)} candidates for {len(block.items)} items")
    return joined(
        block, candidates, [column_of(block, n, one, to_failure) for n, one in enumerate(candidates)]
    )


def joined(block: Block, candidates: Sequence[Candidate], columns: Sequence[FloatArray]) -> Items:
    """Items of whom each column (11,) of the table is known but for what an engine makes of it."""
    engine = next((index for index, one in enumerate(candidates) if one.engine is not None), NO_ITEM)
    weights = muscle_weights(block, candidates)
    table = np.empty((SHARED + len(columns), len(columns)))
    for index, column in enumerate(columns):
        table[:SHARED, index] = column
    table[SHARED:] = shared_by(weights)
    if engine != NO_ITEM:
        table[POWER] = _powers(block, candidates, table[SECONDS].tolist(), engine)
    return Items(table, engine, weights)


def column_of(block: Block, index: int, one: Candidate, to_failure: bool) -> FloatArray:
    """An item's column (11,) of the table, with no power. Raises ValueError where seconds are not positive."""
    item = block.items[index]
    law = None if one.engine is None else one.engine.rate_law(item.unit)
    seconds = _seconds(item, one)
    if not 0.0 < seconds < np.inf:
        raise ValueError(f"seconds of a unit must be positive, got {seconds}")
    column = np.zeros(TABLE_ROWS)
    column[KIND] = _kind(one, law)
    column[GROUP] = [other.movement for other in block.items].index(item.movement)
    column[SECONDS], column[LEAST_SET] = seconds, LEAST[item.unit]
    column[KEPT] = _margin(item, one) if one.below_failure or not to_failure else 0.0
    column[WEIGHT], column[LOAD] = _weight(block, item, one), _external_kg(one)
    column[RATE], column[EXPONENT] = (1.0, 0.0) if law is None else law
    column[TRIED] = 1.0 if item.unit == REPETITIONS else 0.0
    return column


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
    units = {NAMES[item.unit] for item in block.work}
    return _UNIT_OF_SCORE.get(scored) or (units.pop() if len(units) == 1 else "repetitions")
