"""The plan of a block is whole, or there is none."""

import numpy as np
import pytest

from programming.calc.extent import MOST_SETS
from programming.calc.revision import Aim, Block, BlockRules, BreakRule, EndRule
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.forecast import Policy, forecast_block, make_scenarios
from tests.scoring.calc.orders import item

EASY = Candidate(Option("any", 20.0, None, None, 20.0), np.full(8, 400.0), seconds_per_unit=1.0)


@pytest.mark.parametrize(("sets", "whole"), [(400, True), (MOST_SETS, True), (MOST_SETS + 1, False)])
def test_no_plan_is_cut(sets, whole):
    """Rounds of one repetition: as many sets as rounds, the last one included; of one more no list at all."""
    rules = BlockRules("rounds", BreakRule("none"), EndRule("work_done"), "none", "none", rounds=sets)
    block = Block("main", (item("a", 1.0),), rules, Aim(()))
    forecast = forecast_block(block, make_scenarios(block, [EASY], np.full(8, 0.05)), Policy(1.0, 0.0))

    assert len(forecast.plan) == (sets if whole else 0)
    assert forecast.plan_reason == (None if whole else "too_many_sets")
