"""How far the chosen pacing is from the best plan of an athlete whose strength is known.

Every plan of set sizes and rests is tried (``tests.oracles.plan_search``), with the rests of the service's own grid,
and all are judged by the naive stepper. A policy does the same share after the same rest all along, so it cannot
reach each of these plans: the service takes a plan of sets where that is better (``scoring.calc.plan_choice``). The
rule that sets are to be worth a rest is taste and may cost a twentieth more (``SMALL_SETS_GAIN``); here it is left
out.
"""

import numpy as np
import pytest

from programming.calc.rule_codes import rule_codes, work_of
from scoring.calc.next_set import Policy
from scoring.calc.pacing import (
    CLEARLY,
    LOOKS,
    OWN_RESTS_S,
    finer_grid,
    objective_of,
    policy_grid,
    set_windows,
    total_of,
    trace_policy,
)
from scoring.calc.plan_choice import EFFORT, best_plan, may_be_planned
from scoring.calc.policy_choice import choose_policy
from tests.oracles.naive_block import NaiveBlock
from tests.oracles.naive_plan import NaivePlan, official
from tests.oracles.plan_search import RESTS_S, search
from tests.scoring.calc.small_blocks import draw

# Sets that the oracle may try before it gives up on a block; nearly all need a few thousand. Where it does, of two of
# the two hundred, ten times the service's own effort stands in for it.
MOST_TRIED = 1_000_000


def chosen(one):
    """The policy with the least time in the one scenario there is: of the grid, then of those about it."""
    scenarios = one.scenarios()
    items = scenarios.items

    def best_of(grid):
        found = choose_policy(
            rule_codes(one.block), work_of(one.block), items.table, items.weights, items.engine, scenarios.people,
            scenarios.multiplier, grid, set_windows(one.block), objective_of(one.block), total_of(one.block),
            LOOKS, CLEARLY, False, False,
        )  # fmt: skip
        return Policy(*found.tolist())

    return best_of(finer_grid(items, best_of(policy_grid(items))))


def by_policy(one, policy):
    """The official time, by the naive stepper."""
    naive = NaiveBlock(
        one.block, one.by_key(one.fresh), one.multiplier, one.by_key(one.seconds), share=policy.share,
        own_rest_s=policy.own_rest_s,
    )  # fmt: skip
    return official(one.block, naive.play())


def by_list(one, plan):
    """The same of what the athlete does who follows a list of sets; infinite without one."""
    if plan is None:
        return np.inf
    scenarios = one.scenarios()
    trace, clock, finished = trace_policy(
        one.block, scenarios, plan, scenarios.people[0], one.multiplier, int(total_of(one.block))
    )
    assert finished
    starts = np.cumsum(trace[:, 2] + trace[:, 3]) - trace[:, 3]
    assert starts[-1] + trace[-1, 3] == pytest.approx(clock)
    return by_plan(one, np.column_stack((trace[:, :2], starts)))


def by_plan(one, sets):
    """The same of sets (movement, size, start); the naive stepper refuses what cannot be done."""
    keys = [item.key for item in one.block.items]
    listed = [(keys[int(item)], size, moment) for item, size, moment in sets]
    naive = NaivePlan(one.block, one.by_key(one.fresh), one.multiplier, one.by_key(one.seconds), listed)
    return official(one.block, naive.play())


def every_plan(one, bound):
    """Of the grid of the service's rests: as `search` tells it."""
    return search(one.small, one.fresh, one.seconds, one.multiplier, np.array(RESTS_S), bound, MOST_TRIED)


def test_no_plan_is_better_by_a_hundredth():
    """Two hundred small blocks of one athlete each: the better of policy and plan is within 1 %
    of the best plan of the grid in all of them (measured: 0.9 % at most). Of policies alone five of six are, with a
    mean gap of 2.9 %: who always goes to failure tries one in vain each time.
    """
    assert RESTS_S == OWN_RESTS_S
    gaps, of_policies, given_up = [], [], 0
    for number in range(200):
        one = draw(np.random.default_rng([7, number]), units=(6, 11), fresh=(2.5, 9.0))
        scenarios, policy = one.scenarios(), chosen(one)
        assert may_be_planned(one.block, scenarios)
        plan, _ = best_plan(one.block, scenarios, policy)
        paced = by_policy(one, policy)
        found = min(paced, by_list(one, plan))
        best, sets, tried = every_plan(one, found)
        if len(sets):
            assert by_plan(one, sets) == pytest.approx(best)
        if tried < 0:
            given_up += 1
            best = min(best, by_list(one, best_plan(one.block, scenarios, policy, 10.0 * EFFORT)[0]))
        gaps.append(found / best - 1.0)
        of_policies.append(paced / every_plan(one, paced)[0] - 1.0)

    assert given_up <= 2
    assert max(gaps) <= 0.01
    assert np.mean(np.array(of_policies) > 0.01) <= 0.2
    assert np.mean(of_policies) <= 0.03
