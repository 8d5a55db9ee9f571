"""A share of the repetitions available as the aim: what leaves something in reserve, never what cannot be lifted."""

from dataclasses import replace

import numpy as np
import pytest

from athletes.calc.capacity import Observation, estimate_capacity, sample_lifts
from programming.calc.revision import Aim, Block, BlockRules, BreakRule, Condition, EndRule
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.conditions import condition_values
from scoring.calc.forecast import Policy, make_scenarios, run_policy
from scoring.calc.prescribe import prescribe
from tests.athletes.calc.histories import BENCH
from tests.scoring.calc.athletes import COUNT, MULTIPLIER, Athlete
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


def straight(repetitions, lower, upper):
    """Five sets, three minutes apart, at a share of what is available."""
    aim = Aim((Condition("share_of_available", "a", lower, upper),))
    return replace(FIVE_THREES, work=(item("a", float(repetitions)),), aim=aim)


@pytest.mark.parametrize(("repetitions", "lower", "upper"), [(3, 60.0, 80.0), (5, 75.0, 85.0)])
@pytest.mark.parametrize("step", [2.5, 5.0])
def test_a_known_maximum_is_enough_for_sets_at_a_share_of_what_is_available(repetitions, lower, upper, step):
    """One test of 100 kg once: a feasible load, and by the middle of what is known a share within the window.

    Handbook tables have about 90 % of the maximum for four and 85 % for six repetitions (from memory): 3 of 4 to 5
    and 5 of 6 to 7.
    """
    known = estimate_capacity(BENCH, [Observation(0, 100.0, 1.0, "to_failure")], day=2)
    u = (
        np.random.default_rng(3).permuted(np.tile((np.arange(COUNT) + 0.5) / COUNT, (2, 1)), axis=1)
    ).T.copy()
    options = [
        Candidate(Option("press", kg, None, None, kg), sample_lifts(known, kg, u).repetitions)
        for kg in np.arange(40.0, 110.0, step)
    ]
    result = prescribe(straight(repetitions, lower, upper), {"a": options}, multiplier=MULTIPLIER)

    assert result.feasible
    assert 80.0 <= result.chosen[0].option.effective_kg <= 92.5
    assert 0.25 <= result.conditions[0].probability < 0.9


def shares(written, fresh, policy=None):
    """The share of each scenario that the condition is held against, and whether it is met."""
    made = [Candidate(Option("press", 60.0, None, None, 60.0), np.array(fresh))]
    scenarios = make_scenarios(written, made, np.zeros(len(fresh)))
    policy = policy or Policy(1.0, 0.0)
    values = condition_values(
        written, written.aim.conditions[0], scenarios, run_policy(written, scenarios, policy), policy
    )
    return values.low.tolist(), values.met.tolist()


def test_what_is_available_is_not_rounded_and_five_points_are_tolerated():
    """Three of 3.5 are 86 %, of 3.53 just 85; of 5.45 are 55, of 5.5 less. Nobody gets slowly tired (m = 0), and
    three minutes leave 3 exp(-180 / 21.5) = 0.0007 of a repetition of the set before.
    """
    found, met = shares(straight(3, 60.0, 80.0), [3.5, 3.54, 4.2, 5.45, 5.5])

    assert found == pytest.approx(
        [100 * 3 / 3.5, 100 * 3 / 3.54, 100 * 3 / 4.2, 100 * 3 / 5.45, 100 * 3 / 5.5], abs=0.02
    )
    assert met == [0.0, 1.0, 1.0, 1.0, 0.0]


def test_a_straight_set_that_is_broken_asked_for_all_there_was():
    """Five of four and a half: 4 and then 1 after a pause, which is no set of 89 or 22 %. Where no rest parts the
    rounds the athlete may break as they like: nine tenths of the four are 3, of 4.5 two thirds.
    """
    written = straight(5, 75.0, 90.0)
    loose = replace(written, rules=replace(written.rules, rest_between_s=0.0, rounds=1))

    assert shares(written, [4.5]) == ([100.0], [0.0])
    assert shares(loose, [4.5], Policy(0.9, 60.0))[0] == pytest.approx([100 * 3 / 4.5])


def test_a_mean_in_the_window_is_enough():
    """Two rounds of three a quarter minute apart: 3 of 5, then 3 of 5 - 3 exp(-15 / 21.5) = 3.51; 60 and 86 %."""
    written = straight(3, 65.0, 75.0)
    written = replace(written, rules=replace(written.rules, rounds=2, rest_between_s=15.0))
    second = 100 * 3 / (5 - 3 * np.exp(-15 / 21.5))
    found, met = shares(written, [5.0])

    assert found == pytest.approx([(60 + second) / 2])
    assert (second > 80.0, met) == (True, [1.0])
