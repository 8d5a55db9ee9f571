"""What a prescription lists of its plan: blocks whole, in their order, up to what a session may ask for."""

from dataclasses import replace

import pytest

from scoring.calc.prescribe import prescribe
from scoring.content_plan import plan_of
from scoring.restraint import Restraint
from scoring.working_out import Worked
from tests.scoring.calc.athletes import MULTIPLIER, Athlete
from tests.scoring.calc.blocks import block


def worked_of(*lengths: int) -> Worked:
    """A block for each number of sets."""
    able = Athlete(60.0)
    candidates = {"a": able.candidates(item=0), "b": able.candidates(item=1)}
    one = prescribe(block(), candidates, multiplier=MULTIPLIER)
    assert one.forecast is not None
    results = {
        f"block_{number}": replace(one, forecast=replace(one.forecast, plan=one.forecast.plan[:1] * length))
        for number, length in enumerate(lengths)
    }
    return Worked(results, None, Restraint({}, True, frozenset(), {}, {}))


@pytest.mark.parametrize(
    ("lengths", "listed"),
    [
        ((200, 300), {"block_0": 200, "block_1": 300}),
        ((200, 301), {"block_0": 200}),
        ((499, 2, 1), {"block_0": 499, "block_2": 1}),
    ],
)
def test_a_block_is_listed_whole_or_not_at_all(lengths, listed):
    """The one that does not fit is left out, and what comes after it may fit again."""
    found: dict[str, int] = {}
    for entry in plan_of(worked_of(*lengths)):
        found[entry["block"]] = found.get(entry["block"], 0) + 1
    assert found == listed
