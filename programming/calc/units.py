"""The units in which amounts are counted: what each is called, and which of them tell a capacity. And the pound."""

from collections.abc import Mapping
from typing import Final, Literal

from programming.calc.movement_prior import CYCLICAL, HOLD, LOAD_REPETITION
from programming.calc.variation import DISTANCE, ENERGY, HOLD_SECONDS, REPETITIONS, Variation

KG_PER_LB: Final = 0.45359237
"""Exact since the international yard and pound agreement of 1959."""

UnitName = Literal["repetitions", "s", "m", "kcal"]

NAMES: Final[Mapping[str, UnitName]] = {
    REPETITIONS: "repetitions",
    HOLD_SECONDS: "s",
    DISTANCE: "m",
    ENERGY: "kcal",
}
TOLD_IN: Final[Mapping[str, frozenset[str]]] = {
    LOAD_REPETITION: frozenset({REPETITIONS}),
    HOLD: frozenset({HOLD_SECONDS}),
    CYCLICAL: frozenset({DISTANCE, ENERGY}),
}
"""By kind of capacity the units that say something of it; of the kind `none` nothing does."""


def tells(capacity_kind: str, variation: Variation, unit: str) -> bool:
    """Whether an amount of the variation in this unit says something of the capacity that its movement keeps.

    Where the curve does not apply, repetitions do not; seconds at a machine say nothing of how fast it went.
    """
    on_curve = capacity_kind != LOAD_REPETITION or variation.curve_applies
    return on_curve and unit in TOLD_IN.get(capacity_kind, ())
