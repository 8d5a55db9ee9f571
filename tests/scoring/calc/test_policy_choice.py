"""The pacing that is taken, of policies that are played no further once they are out."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from programming.calc.revision import Aim, Condition
from programming.calc.rule_codes import rule_codes, work_of
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.next_set import Policy
from scoring.calc.pacing import (
    CLEARLY,
    LOOKS,
    objective_of,
    plan_losses,
    policy_grid,
    run_policy,
    set_windows,
    total_of,
)
from scoring.calc.policy_choice import LATER_TOLERANCE, SMALL_SETS_GAIN, choose_policy
from scoring.calc.scenarios import make_scenarios
from tests.oracles.naive_policy import judged, naive_policy
from tests.scoring.calc.athletes import FALL_OFF, MULTIPLIER
from tests.scoring.calc.orders import blocks
from tests.support.examples import examples

OPTION = Option("any", 20.0, None, None, 50.0)
NO_LOOKS = np.empty((0, 2))
SCORED = st.sampled_from(["time", "time", "none", "repetitions", "load", "intervals", "smallest_interval"])


def conditions(block):
    """Windows of later sets and of shares on some of the work, or none."""
    keys = st.sampled_from([item.key for item in block.work])
    later = st.builds(Condition, st.just("later_sets"), keys, st.sampled_from([2.0, 4.0, 8.0]), st.none())
    share = st.builds(
        Condition, st.just("share_of_available"), st.one_of(st.none(), keys), st.sampled_from([None, 40.0, 60.0]),
        st.sampled_from([70.0, 85.0]),
    )  # fmt: skip
    return st.lists(st.one_of(later, share), max_size=2)


def drawn(data, block, scored, count):
    """A block with what is scored and windows of its sets, and so many scenarios of somebody in it."""
    assume(scored not in ("intervals", "smallest_interval") or block.rules.order == "intervals")
    aim = Aim(tuple(data.draw(conditions(block))))
    block = replace(block, rules=replace(block.rules, scored=scored), aim=aim)
    middles = data.draw(st.lists(st.floats(1.0, 30.0), min_size=4, max_size=4))
    made = [
        Candidate(
            OPTION, middle * np.exp(0.2 * FALL_OFF[number % 2][:count]),
            kind="hold" if one.unit == "hold_s" else "load_repetition",
        )
        for number, (one, middle) in enumerate(zip(block.items, middles, strict=False))
    ]  # fmt: skip
    return block, make_scenarios(block, made, MULTIPLIER[:count])


def taken(block, scenarios, grid, looks, clearly, may_take_longer, may_wait):
    """The policy that is taken, with such looks."""
    items = scenarios.items
    return choose_policy(
        rule_codes(block), work_of(block), items.table, items.weights, items.engine, scenarios.people,
        scenarios.multiplier, grid, set_windows(block), objective_of(block), total_of(block), looks, clearly,
        may_take_longer, may_wait,
    )  # fmt: skip


@given(st.data(), blocks(), SCORED, st.integers(1, 24), st.booleans(), st.booleans())
@settings(max_examples=examples(60), deadline=None)
def test_what_is_out_for_certain_would_not_have_been_taken(
    data, block, scored, count, may_take_longer, may_wait
):
    """Against playing every policy to the end, under every order and for everything that is scored; without looks."""
    block, scenarios = drawn(data, block, scored, count)
    grid = policy_grid(scenarios.items)
    found = taken(block, scenarios, grid, NO_LOOKS, np.inf, may_take_longer, may_wait)
    expected = naive_policy(
        block, scenarios, grid.tolist(), may_take_longer=may_take_longer, may_wait=may_wait
    )
    assert tuple(found) == pytest.approx(expected)


@given(st.data(), blocks(), SCORED, st.booleans())
@settings(max_examples=examples(60), deadline=None)
def test_what_looks_rule_out_was_hardly_better(data, block, scored, may_take_longer):
    """Of all scenarios, what is taken keeps the windows as often within a twentieth, and loses two in a hundred
    more at most than what is taken without looks, or no more than three standard errors of the difference; where sets
    are to be few, what they may cost beside that.
    """
    block, scenarios = drawn(data, block, scored, 64)
    grid = policy_grid(scenarios.items)
    ways = [
        taken(block, scenarios, grid, looks, clearly, may_take_longer, False).tolist()
        for looks, clearly in ((LOOKS, CLEARLY), (NO_LOOKS, np.inf))
    ]
    (lost, kept, _), (least, most, _) = judged(block, scenarios, ways)
    assert kept >= most - LATER_TOLERANCE - 1e-9
    first, second = (plan_losses(block, run_policy(block, scenarios, Policy(*way))) for way in ways)
    unclear = 3.0 * (first - second).std(ddof=1) / np.sqrt(len(first))
    allowed = max(0.02 * abs(least), unclear) + (SMALL_SETS_GAIN * abs(least) if may_take_longer else 0.0)
    assert lost <= least + allowed or kept > most
