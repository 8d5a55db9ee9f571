"""To what the numbers of a prescription are rounded: what an athlete can act on."""

from __future__ import annotations

from typing import Final

SCORE_STEP_S: Final = 10
REST_STEP_S: Final = 5
PROBABILITY_STEP: Final = 0.05


def to_step(value: float, width: int) -> int:
    return width * round(value / width)


def step(value: float, width: float) -> float:
    return round(width * round(value / width), 2)
