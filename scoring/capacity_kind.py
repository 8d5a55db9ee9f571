"""Which capacity limits a variation when it is counted in a unit."""

from __future__ import annotations

from typing import Final

from programming.calc.catalogue import CYCLICAL, HOLD, LOAD_REPETITION
from programming.calc.revision import WorkItem
from programming.calc.units import tells
from programming.calc.variation import HOLD_SECONDS
from programming.plans import VariationEntry
from scoring.calc.candidate import CapacityKind

REPEATS: Final[CapacityKind] = "load_repetition"
HOLDS: Final[CapacityKind] = "hold"
PACED: Final[CapacityKind] = "cyclical"
UNTOLD: Final[CapacityKind] = "none"


_KINDS: Final[dict[str, CapacityKind]] = {LOAD_REPETITION: REPEATS, HOLD: HOLDS, CYCLICAL: PACED}


def kind_of(entry: VariationEntry, item: WorkItem) -> CapacityKind:
    """`none` also where the capacity that is kept of the movement does not tell this unit or variation."""
    return kind_in(entry, item.unit)


def kind_in(entry: VariationEntry, unit: str) -> CapacityKind:
    """The same of an amount in a unit. Seconds at a machine are paced too, though they tell nothing of capacity."""
    kept = entry.movement.capacity_kind
    limits = tells(kept, entry.variation, unit) or (kept == CYCLICAL and unit == HOLD_SECONDS)
    return _KINDS[kept] if limits else UNTOLD
