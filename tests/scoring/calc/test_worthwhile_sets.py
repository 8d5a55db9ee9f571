"""The smallest set that is worth a rest: nobody is sent to the bar for one repetition again and again."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programming.calc.revision import Block
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.forecast import Policy, Scenarios, best_policy, make_scenarios, plan_sets, run_policy
from scoring.calc.pacing import plan_losses, policy_grid, trace_policy
from scoring.calc.policy_choice import SMALL_SETS_GAIN
from tests.scoring.calc.blocks import block, time
from tests.support.examples import examples

OPTION = Option("any", 20.0, None, None, 50.0)


def in_rounds() -> Block:
    """Five rounds of 12 and 8, each break ten seconds."""
    written = block((12, 8), penalty_s=10.0)
    return replace(written, rules=replace(written.rules, order="rounds", rounds=5))


def scenarios(written: Block, fresh: tuple[float, float], multiplier: float = 0.5) -> Scenarios:
    """Sixty-four days of one athlete; nothing is drawn twice."""
    spread = np.exp(np.linspace(-0.25, 0.25, 64))
    made = [Candidate(OPTION, one * draw) for one, draw in zip(fresh, (spread, spread[::-1]), strict=True)]
    return make_scenarios(written, made, np.full(64, multiplier))


def amounts(sets, work="a"):
    """Of one item."""
    return [one.amount for one in sets if one.work == work]


def test_the_plan_rests_instead_of_one_repetition():
    """Twelve at first, then singles and pairs at 20 s: with rest threes, at hardly any time."""
    written = in_rounds()
    few = scenarios(written, (12.0, 14.0))
    impatient = Policy(0.7, 20.0)
    plan = amounts(plan_sets(written, few, best_policy(written, few)))

    assert amounts(plan_sets(written, few, impatient)).count(1.0) >= 5
    assert 1.0 not in plan
    assert sum(plan) == 60.0


@pytest.mark.parametrize(
    ("opened", "least"), [(5.0, 1.0), (6.0, 2.0), (9.0, 2.0), (12.0, 3.0), (18.0, 5.0), (40.0, 5.0)]
)
def test_about_a_quarter_of_the_first_set_and_at_most_five(opened, least):
    """One very long set leaves nothing; the next waits for a quarter of it, in whole repetitions, by hand."""
    written = block((200, 200), penalty_s=0.0)
    written = replace(written, rules=replace(written.rules, order="in_sequence"))
    made = [Candidate(OPTION, np.array([one])) for one in (opened, 500.0)]
    one = make_scenarios(written, made, np.array([0.2]))
    sets = amounts(plan_sets(written, one, Policy(1.0, 0.0, 1.0, 0.25)))

    assert sets[0] == opened
    assert min(sets[1:-1]) == least


@given(st.floats(4, 40), st.floats(4, 40), st.floats(0.1, 0.9), st.sampled_from([0.0, 10.0, 40.0]))
@settings(max_examples=examples(16), deadline=None)
def test_patience_costs_hardly_anything(fresh_a, fresh_b, multiplier, penalty_s):
    """The policy taken is within a twentieth of the best of the grid, tried one by one."""
    written = block((30, 30), penalty_s=penalty_s)
    few = scenarios(written, (fresh_a, fresh_b), multiplier).subset(32)
    means = [
        float(plan_losses(written, run_policy(written, few, Policy(*row))).mean())
        for row in policy_grid(few.items)
    ]
    taken = float(plan_losses(written, run_policy(written, few, best_policy(written, few))).mean())

    assert taken <= (1.0 + SMALL_SETS_GAIN) * min(means) + 1e-6


def test_where_breaks_cost_nothing_no_plan_within_a_twentieth_has_fewer_sets():
    """Three rounds of 28 for somebody with eight: each policy of the grid is tried, its sets are counted."""
    written = block((28, 28), penalty_s=0.0)
    written = replace(written, rules=replace(written.rules, order="rounds", rounds=3))
    few = scenarios(written, (8.0, 8.0)).subset(32)
    tried = [Policy(*row) for row in policy_grid(few.items)]
    means = [float(plan_losses(written, run_policy(written, few, one)).mean()) for one in tried]
    counts = [
        np.mean([
            len(trace_policy(written, few, one, person, m, 3000)[0])
            for person, m in zip(few.people, few.multiplier, strict=True)
        ])
        for one in tried
    ]  # fmt: skip
    fewest = min(count for count, mean in zip(counts, means, strict=True) if mean <= 1.05 * min(means))
    taken = best_policy(written, few)
    sets = run_policy(written, few, taken._replace(worthwhile=0.0)).sets.mean()

    assert round(float(sets)) == round(float(fewest))
    assert sets < counts[int(np.argmin(means))] - 10


def test_where_a_time_is_asked_for_a_plan_is_not_made_slower():
    """The same with a window of time: the quickest policy of the grid."""
    written = block((28, 28), penalty_s=0.0, conditions=[time(None, 3000)])
    written = replace(written, rules=replace(written.rules, order="rounds", rounds=3))
    few = scenarios(written, (8.0, 8.0)).subset(32)
    means = [
        float(plan_losses(written, run_policy(written, few, Policy(*row))).mean())
        for row in policy_grid(few.items)
    ]
    taken = best_policy(written, few)._replace(worthwhile=0.0)

    assert float(plan_losses(written, run_policy(written, few, taken)).mean()) <= min(means) + 1e-6
