"""Few repetitions for strength are done in one go: a lighter load before broken sets, and no refusal for it."""

from dataclasses import replace

import numpy as np
import pytest

from programming.calc.revision import Aim, Block, BlockRules, BreakRule, Condition, EndRule
from scoring.calc.prescribe import prescribe
from tests.scoring.calc.athletes import MULTIPLIER, Athlete
from tests.scoring.calc.blocks import first_set
from tests.scoring.calc.orders import item

KNOWN = Athlete(100.0, 0.04, fall_off_log_sd=0.1)
STEPS = tuple(60.0 + 2.5 * step for step in range(17))


def sets(repetitions, *conditions, rounds=4):
    """Rounds of it three minutes apart."""
    rules = BlockRules(
        "rounds", BreakRule("none"), EndRule("work_done"), "none", "none", rounds=rounds, rest_between_s=180.0
    )
    return Block("main", (item("a", repetitions),), rules, Aim(tuple(conditions)))


HEAVY = sets(3.0, Condition("share_of_available", "a", 80.0, 95.0))


def answer(block=HEAVY, loads=STEPS, reserve=False):
    options = [replace(one, below_failure=reserve) for one in KNOWN.candidates(loads=loads)]
    result = prescribe(block, {"a": options}, multiplier=MULTIPLIER)
    return result, {one.code for one in result.reasons}


@pytest.mark.parametrize(
    ("repetitions", "lower", "upper"), [(3.0, 80.0, 95.0), (5.0, 75.0, 90.0), (5.0, 70.0, 85.0)]
)
def test_a_reserve_breaks_no_set_of_few(repetitions, lower, upper):
    """As many sets as are written, each of what is written, with a load that keeps the reserve."""
    asked = sets(repetitions, Condition("share_of_available", "a", lower, upper))
    result, _ = answer(asked, reserve=True)

    assert result.feasible
    assert [one.amount for one in result.forecast.plan] == [repetitions] * 4


def test_a_reserve_makes_it_lighter_and_says_so():
    """Nobody is refused for what safety keeps back."""
    free, _ = answer()
    kept, why = answer(reserve=True)

    assert kept.feasible
    assert "aim_given_up_for_safety" in why
    assert kept.chosen[0].option.effective_kg <= free.chosen[0].option.effective_kg


def test_between_two_loads_the_lighter_is_given_with_its_reason():
    """One leaves fifteen, the next hardly one."""
    result, why = answer(loads=(60.0, 97.5))

    assert result.feasible
    assert result.chosen[0].option.effective_kg == 60.0
    assert "between_options" in why


def test_what_is_too_light_altogether_is_still_refused():
    """Nothing heavier is there: the work does not serve the aim."""
    result, why = answer(loads=(40.0, 45.0))

    assert not result.feasible
    assert why == {"share_out_of_reach"}


def test_what_is_too_heavy_altogether_is_still_refused():
    """Not even the lightest goes three times."""
    result, why = answer(loads=(98.0, 99.0), reserve=True)

    assert not result.feasible
    assert why == {"share_out_of_reach"}


def test_longer_sets_may_be_broken():
    """Twenty of ten to fourteen: the parts are what the share speaks of."""
    block = sets(20.0, first_set(10.0, 14.0), Condition("share_of_available", "a", 60.0, 95.0), rounds=2)
    result, _ = answer(block)

    assert result.feasible
    assert len(result.forecast.plan) > 2
    assert np.isfinite([one.amount for one in result.forecast.plan]).all()
