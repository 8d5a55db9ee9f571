"""Which capacity limits a variation when it is counted in a unit."""

from __future__ import annotations

from typing import Final

from programming.calc.catalogue import CYCLICAL, HOLD, LOAD_REPETITION
from programming.calc.revision import HOLD as HOLD_S
from programming.calc.revision import REPETITIONS, WorkItem
from programming.plans import VariationEntry
from scoring.calc.candidate import CapacityKind

REPEATS: Final[CapacityKind] = "load_repetition"
HOLDS: Final[CapacityKind] = "hold"
PACED: Final[CapacityKind] = "cyclical"
UNTOLD: Final[CapacityKind] = "none"


def kind_of(entry: VariationEntry, item: WorkItem) -> CapacityKind:
    """`none` also where the capacity that is kept of the movement does not tell this unit or variation."""
    kept = entry.movement.capacity_kind
    if kept == LOAD_REPETITION and entry.variation.curve_applies and item.unit == REPETITIONS:
        return REPEATS
    if kept == HOLD and item.unit == HOLD_S:
        return HOLDS
    return PACED if kept == CYCLICAL and item.unit != REPETITIONS else UNTOLD
