"""What is chosen is paced more closely than what is compared: about the policy of the grid."""

import numpy as np
import pytest

from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.combination import Setting, evaluate, paced
from scoring.calc.first_set import judge
from scoring.calc.forecast import Policy, make_scenarios, run_policy
from scoring.calc.pacing import finer_grid, plan_losses, policy_grid
from tests.scoring.calc.athletes import MULTIPLIER, Athlete
from tests.scoring.calc.blocks import block

OPTION = Option("any", 20.0, None, None, 50.0)


def items(fresh=12.0, **named):
    """Of two movements with so much fresh."""
    made = [Candidate(OPTION, np.full(8, fresh), kind="none" if np.isinf(fresh) else "load_repetition")] * 2
    return make_scenarios(block(), made, np.full(8, 0.5), **named).items


def test_shares_and_rests_about_the_policy_within_what_may_be_planned():
    """By hand: 0.8 and 40 s; at the ends nothing below 10 s and above 180 s, nor to failure where that may not be."""
    grid = finer_grid(items(), Policy(0.8, 40.0, 1.0, 0.25))
    assert sorted(set(grid[:, 0])) == [0.7, 0.75, 0.8, 0.85, 0.9]
    assert sorted(set(grid[:, 1])) == [20.0, 30.0, 40.0, 50.0, 60.0]
    assert set(grid[:, 3]) == {0.25}
    assert finer_grid(items(), Policy(1.0, 20.0))[:, 1].min() == 10.0
    assert finer_grid(items(), Policy(1.0, 150.0))[:, 1].max() == 180.0
    assert finer_grid(items(to_failure=False), Policy(0.8, 20.0))[:, 0].max() == 0.8
    assert finer_grid(items(), Policy(0.6, 20.0), 0.6)[:, 0].max() == 0.6


def test_where_nothing_runs_empty_there_is_nothing_to_look_at():
    """One policy, as it is."""
    assert finer_grid(items(np.inf), Policy(0.6, 20.0)).tolist() == [[0.6, 20.0, 1.0, 0.0]]


@pytest.mark.parametrize("load", [30.0, 45.0])
def test_the_chosen_version_is_paced_no_worse_than_by_the_grid(load):
    """Beside every policy of the grid with the same patience, in the scenarios that pace it."""
    written = block((60, 40))
    options = tuple(judge(Athlete(70.0).candidates(item=n, loads=(load,)), ())[0] for n in (0, 1))
    setting = Setting(written, MULTIPLIER)
    chosen = paced(setting, evaluate(setting, options))
    few = setting.scenarios(options, 64)
    patience = chosen.policy.worthwhile

    def loss(policy):
        return float(plan_losses(written, run_policy(written, few, policy)).mean())

    beside = [Policy(*row)._replace(worthwhile=patience) for row in policy_grid(few.items)]
    assert loss(chosen.policy) <= min(map(loss, beside)) + 1e-6
