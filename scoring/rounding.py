"""To what the numbers of a prescription are rounded: what an athlete can act on."""

from __future__ import annotations

from typing import Final

from programming.calc.revision import DISTANCE, ENERGY, HOLD, REPETITIONS

SCORE_STEP_S: Final = 10
REST_STEP_S: Final = 5
PROBABILITY_STEP: Final = 0.05
AMOUNT_STEPS: Final = {REPETITIONS: 1, HOLD: 5, DISTANCE: 10, ENERGY: 1}
"""Of what is done of an item in the last round."""


def to_step(value: float, width: int) -> int:
    return width * round(value / width)


def step(value: float, width: float) -> float:
    return round(width * round(value / width), 2)
