"""Facts of the trade about pacing. All of it is common practice, no source, unless said."""

import numpy as np
import pytest
from scipy.special import ndtri

from athletes.calc.fatigue import slow_multipliers
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.forecast import Policy, best_policy, forecast_block, make_scenarios, plan_sets, run_policy
from scoring.calc.pacing import finer_grid, trace_policy
from tests.scoring.calc.athletes import uniforms
from tests.scoring.calc.blocks import block

OPTION = Option("any", 20.0, None, None, 50.0)
PENALTY_S = 60.0


def people(written, fresh, *, log_sd=0.1, least_m=0.0, count=64):
    """Log-normal fresh repetitions around medians; multipliers of men and above."""
    u = uniforms(len(fresh) + 1, count)
    made = [
        Candidate(OPTION, median * np.exp(log_sd * ndtri(column)))
        for median, column in zip(fresh, u.T, strict=False)
    ]
    return make_scenarios(written, made, np.maximum(least_m, slow_multipliers(u[:, -1], median=0.75)))


def chosen(written, scenarios):
    """The pacing as a prescription has it."""
    rough = best_policy(written, scenarios, draws=64)
    return best_policy(written, scenarios, finer_grid(scenarios.items, rough), 64)


def known(written, fresh, m):
    """One athlete, for certain."""
    return make_scenarios(
        written, [Candidate(OPTION, np.array([float(one)])) for one in fresh], np.array([m])
    )


def official(written, runs):
    """Seconds with the penalties added."""
    return runs.elapsed_s + PENALTY_S * runs.breaks


@pytest.mark.parametrize("fresh", [(12.0, 12.0), (16.0, 14.0), (22.0, 18.0)])
def test_sets_take_most_but_not_all_of_what_is_there(fresh):
    """With m of 0.5 and more and strength known to ten per cent: sets that are ended by choice take 75 to 90 % of
    what is there on the average, the first less than 90 %.
    """
    written = block((60, 40), penalty_s=PENALTY_S)
    scenarios = people(written, fresh, least_m=0.5)
    policy = chosen(written, scenarios)
    shares, first = [], []
    for person, m in zip(scenarios.people, scenarios.multiplier, strict=True):
        sets, _, _ = trace_policy(written, scenarios, policy, person, m, 300)
        left = {0: 60.0, 1: 40.0}
        for number, (item, amount, _, _, _, _, there) in enumerate(sets):
            left[int(item)] -= amount
            if left[int(item)] > 0.0:  # the last of a movement apart
                shares.append(amount / there)
                first += [amount / there] if number == 0 else []

    assert 0.75 <= np.mean(shares) <= 0.9
    assert np.mean(first) < 0.9


@pytest.mark.parametrize("amount", [19, 20, 21])
def test_a_rest_that_saves_a_break_pays_and_one_that_saves_none_does_not(amount):
    """Swap on break, 60 s a break, twelve in the first set: up to 55 s more of rest that save a whole break pay; any
    more or any less than that only costs.
    """
    written = block((amount, 2), penalty_s=PENALTY_S)
    one, told = known(written, (12, 30), 0.5), []
    for rest_s in np.arange(20.0, 76.0, 5.0):
        runs = run_policy(written, one, Policy(1.0, rest_s))
        told.append((int(runs.breaks[0]), float(official(written, runs)[0])))
    saves = next(number for number, (breaks, _) in enumerate(told) if breaks < told[0][0])

    assert 5.0 * saves <= 55.0
    assert told[saves][0] == told[0][0] - 1
    assert told[saves][1] < told[0][1]
    for rows in (told[:saves], told[saves:]):
        assert [seconds for _, seconds in rows] == sorted({seconds for _, seconds in rows})


def test_with_forced_swaps_level_beats_thirty_left_of_one():
    """Two alike movements: level is quicker than having thirty left of one when the other is done."""

    def time(first, second):
        written = block((first, second), penalty_s=PENALTY_S)
        one = known(written, (14, 14), 0.6)
        return float(official(written, run_policy(written, one, chosen(written, one)))[0])

    assert time(50, 50) < time(35, 65) < time(20, 80)


def test_sets_remaining_stay_level_where_swaps_are_forced():
    """Two alike movements and equal amounts: after two sets each what is left differs by less than a first set."""
    written = block((50, 50), penalty_s=PENALTY_S)
    one = known(written, (14, 14), 0.6)
    left, first = {"a": 50.0, "b": 50.0}, None
    for number, done in enumerate(plan_sets(written, one, chosen(written, one)), start=1):
        first = first or done.amount
        left[done.work] -= done.amount
        if number % 2 == 0 and min(left.values()) > 0.0:
            assert abs(left["a"] - left["b"]) < first


def test_a_first_set_of_five_is_strength_and_the_forecast_says_so():
    """Five in the first set: what stops the athlete is strength; of 25 it is not."""
    written = block((60, 40), penalty_s=PENALTY_S)
    strong, long = (forecast_block(written, people(written, fresh)) for fresh in ((5.2, 30.0), (25.0, 60.0)))

    assert (strong.stops.by, strong.stops.work) == ("strength", "a")
    assert long.stops.by != "strength"


def test_from_a_first_set_of_20_to_30_later_sets_stay_near_ten():
    """Eighty of a movement whose first set has 25 in it: the middle of the later sets is between 7 and 14."""
    written = block((80, 40), penalty_s=PENALTY_S)
    scenarios = people(written, (25.0, 25.0))
    sets = [
        one.amount for one in plan_sets(written, scenarios, chosen(written, scenarios)) if one.work == "a"
    ]

    assert 7.0 <= np.median(sets[1:-1]) <= 14.0
