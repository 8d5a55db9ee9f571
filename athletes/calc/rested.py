"""What is left of fatigue after a rest, by what it comes back with (``athletes.calc.fatigue``).

Of the time of a simulation nearly a third went into exponentials. Most rests last whole or half seconds: those are
looked up. Sets last as long as the athlete's cadence makes them: the part of half a second beyond what is looked up
leaves 1 - x + x^2/2 - ..., x at most 0.024, where five terms are exact to 1e-10.
"""

from math import exp
from typing import Final, NamedTuple

import numpy as np

from programming.calc.arrays import inlined

FAST_TAU_S: Final = 21.5
SLOW_TAU_FIRST_S: Final = 388.0
SLOW_TAU_LATER_S: Final = 716.0

STEPS_A_SECOND: Final = 2.0
_TABLED_S: Final = 512
_TABLED: Final = np.array(
    [
        [exp(-step / STEPS_A_SECOND / tau) for tau in (FAST_TAU_S, SLOW_TAU_FIRST_S, SLOW_TAU_LATER_S)]
        for step in range(int(_TABLED_S * STEPS_A_SECOND))
    ]
)
# A step of the table, in time constants.
_FAST_STEP: Final = 1.0 / (STEPS_A_SECOND * FAST_TAU_S)
_SLOW_STEP_FIRST: Final = 1.0 / (STEPS_A_SECOND * SLOW_TAU_FIRST_S)
_SLOW_STEP_LATER: Final = 1.0 / (STEPS_A_SECOND * SLOW_TAU_LATER_S)


class Decay(NamedTuple):
    """What is left of each part, 1: all of it.

    fast: tau 21.5 s; first, later: the slow part of groups in their first rest and in later ones.
    """

    fast: float
    first: float
    later: float


@inlined
def _little(x: float) -> float:
    """exp(-x) of a small x."""
    return 1.0 - x * (1.0 - x * (1 / 2) * (1.0 - x * (1 / 3) * (1.0 - x * (1 / 4))))


@inlined
def decay(seconds: float) -> Decay:
    """What so much rest leaves."""
    steps = seconds * STEPS_A_SECOND
    if 0.0 <= steps < len(_TABLED):
        row = int(steps)
        if row == steps:
            return Decay(_TABLED[row, 0], _TABLED[row, 1], _TABLED[row, 2])
        more = steps - row
        return Decay(
            _TABLED[row, 0] * _little(more * _FAST_STEP),
            _TABLED[row, 1] * _little(more * _SLOW_STEP_FIRST),
            _TABLED[row, 2] * _little(more * _SLOW_STEP_LATER),
        )
    return Decay(
        exp(-seconds / FAST_TAU_S), exp(-seconds / SLOW_TAU_FIRST_S), exp(-seconds / SLOW_TAU_LATER_S)
    )


@inlined
def both(one: Decay, other: Decay) -> Decay:
    """What two rests leave, one after the other."""
    return Decay(one.fast * other.fast, one.first * other.first, one.later * other.later)
