"""A share of the repetitions available as the aim: what leaves something in reserve, never what cannot be lifted."""

from programming.calc.revision import Aim, Block, BlockRules, BreakRule, Condition, EndRule
from scoring.calc.prescribe import prescribe
from tests.scoring.calc.athletes import MULTIPLIER, Athlete
from tests.scoring.calc.orders import item

FIVE_THREES = Block(
    "main",
    (item("a", 3.0),),
    BlockRules(
        "rounds", BreakRule("none"), EndRule("work_done"), "none", "none", rounds=5, rest_between_s=180.0
    ),
    Aim((Condition("share_of_available", "a", 60.0, 80.0),)),
)


def prescribed(strength_kg, loads):
    """The answer for an athlete who can just not lift strength_kg once more, known well."""
    candidates = {"a": Athlete(strength_kg, 0.01, fall_off_log_sd=0.02).candidates(loads=loads)}
    return prescribe(FIVE_THREES, candidates, multiplier=MULTIPLIER)


def test_threes_with_something_left_are_light_enough_for_four_or_five():
    """Three of 60 to 80 % of what is there: the load leaves 3.75 to 5 repetitions, and so it is by the curve.

    n* = ln(75 / L) / 0.03 between 3.75 and 5 is a load between 64.6 and 67.0 kg fresh, a little less once
    the rounds tire: of steps of 2.5 kg 65 or the one below.
    """
    result = prescribed(75.0, loads=[40.0 + 2.5 * step for step in range(20)])

    assert result.feasible
    assert result.chosen[0].option.effective_kg in (62.5, 65.0)


def test_a_load_that_cannot_be_lifted_leaves_no_share():
    """Only loads above the strength: no set can be done, so that no share of it is met and nothing is prescribed."""
    result = prescribed(75.0, loads=(90.0, 100.0))

    assert not result.feasible
    assert result.conditions[0].probability <= 0.05
