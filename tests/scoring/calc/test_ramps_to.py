"""Which of a block's work is led up to, and how."""

from dataclasses import replace

import numpy as np
import pytest

from programming.calc.revision import DISTANCE, HOLD
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.warm_up import ramps_to
from tests.scoring.calc.test_shares import straight

LOADS = tuple(Option("back_squat", 20.0 + 5.0 * step, None, None, 20.0 + 5.0 * step) for step in range(12))
WORKING = LOADS[8]  # 60 kg
MANY = np.full(8, 40.0)


def ramp(candidate, unit=None):
    """(load, repetitions) of each set of the ramp to the block's only work."""
    block = straight(5, 60.0, 80.0)
    if unit is not None:
        block = replace(block, work=(replace(block.work[0], unit=unit),))
    found = ramps_to(block, [candidate], {"a": LOADS})
    return [(one.option.load_kg, one.repetitions) for one in found]


def test_an_unseen_load_is_led_up_to_however_many_repetitions_are_thought_available():
    """Forty by what is guessed need no way up; of who was never seen under it the guess is no knowledge."""
    known = Candidate(WORKING, MANY)

    assert ramp(known) == []
    assert ramp(replace(known, is_unseen=True)) == [(30.0, 8), (45.0, 4)]
    assert ramp(replace(known, is_hardly_seen=True)) == [(30.0, 8), (45.0, 4)]


@pytest.mark.parametrize("unit", [DISTANCE, HOLD])
def test_work_in_another_unit_has_no_ramp_of_repetitions(unit):
    """Five seconds of a hold are no five repetitions, however heavy they are."""
    heavy = Candidate(WORKING, np.full(8, 5.0), kind="hold" if unit == HOLD else "load_repetition")

    assert ramp(Candidate(WORKING, np.full(8, 5.0))) == [(20.0, 8), (35.0, 5), (45.0, 3), (50.0, 1)]
    assert ramp(heavy, unit) == []
