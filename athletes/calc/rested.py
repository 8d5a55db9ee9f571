"""What is left of fatigue after a rest, by what it comes back with (``athletes.calc.fatigue``).

Of the time of a simulation nearly a third went into exponentials, and most rests and sets last whole or half
seconds: those are looked up.
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


class Decay(NamedTuple):
    """What is left of each part, 1: all of it.

    fast: tau 21.5 s; first, later: the slow part of groups in their first rest and in later ones.
    """

    fast: float
    first: float
    later: float


@inlined
def decay(seconds: float) -> Decay:
    """What so much rest leaves."""
    steps = seconds * STEPS_A_SECOND
    if 0.0 <= steps < len(_TABLED):
        row = int(steps)
        if row == steps:
            return Decay(_TABLED[row, 0], _TABLED[row, 1], _TABLED[row, 2])
    return Decay(
        exp(-seconds / FAST_TAU_S), exp(-seconds / SLOW_TAU_FIRST_S), exp(-seconds / SLOW_TAU_LATER_S)
    )


@inlined
def both(one: Decay, other: Decay) -> Decay:
    """What two rests leave, one after the other."""
    return Decay(one.fast * other.fast, one.first * other.first, one.later * other.later)
