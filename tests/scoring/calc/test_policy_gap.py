"""How far the chosen policy is from the best plan of an athlete whose strength is known.

Every plan of set sizes and rests is tried (``tests.oracles.plan_search``), with the rests of the service's own grid,
and both are judged by the naive stepper. A policy does the same share after the same rest all along, so it cannot
reach each of these plans; the gap is what one rule for a whole block costs. The rule that sets are to be worth a rest
is taste and may cost a twentieth more (``SMALL_SETS_GAIN``); here it is left out.
"""

import numpy as np
import pytest

from programming.calc.rule_codes import rule_codes, work_of
from scoring.calc.next_set import Policy
from scoring.calc.pacing import OWN_RESTS_S, finer_grid, objective_of, policy_grid, set_windows, total_of
from scoring.calc.policy_choice import choose_policy
from tests.oracles.naive_block import NaiveBlock
from tests.oracles.naive_plan import NaivePlan, official
from tests.oracles.plan_search import RESTS_S, search
from tests.scoring.calc.small_blocks import draw

# Sets that the oracle may try before it gives up on a block; nearly all need a few thousand.
MOST_TRIED = 1_000_000


def chosen(one):
    """The policy with the least time in the one scenario there is: of the grid, then of those about it."""
    scenarios = one.scenarios()
    items = scenarios.items

    def best_of(grid):
        found = choose_policy(
            rule_codes(one.block), work_of(one.block), items.table, items.weights, items.engine, scenarios.people,
            scenarios.multiplier, grid, set_windows(one.block), objective_of(one.block), total_of(one.block), 8,
            False, False,
        )  # fmt: skip
        return Policy(*found.tolist())

    return best_of(finer_grid(items, best_of(policy_grid(items))))


def by_policy(one):
    """The official time, by the naive stepper."""
    policy = chosen(one)
    naive = NaiveBlock(
        one.block, one.by_key(one.fresh), one.multiplier, one.by_key(one.seconds), share=policy.share,
        own_rest_s=policy.own_rest_s,
    )  # fmt: skip
    return official(one.block, naive.play())


def by_plan(one, sets):
    """The same of sets (movement, size, start); the naive stepper refuses what cannot be done."""
    keys = [item.key for item in one.block.items]
    listed = [(keys[int(item)], size, moment) for item, size, moment in sets]
    naive = NaivePlan(one.block, one.by_key(one.fresh), one.multiplier, one.by_key(one.seconds), listed)
    return official(one.block, naive.play())


def test_the_policy_is_near_the_best_of_all_plans():
    """Two hundred small blocks of one athlete each. Seven of eight policies are within a hundredth of the best plan
    (measured: 87 %, the mean gap 2.3 %); it is left where who has two or three repetitions waits for singles.
    """
    assert RESTS_S == OWN_RESTS_S
    gaps = []
    for number in range(200):
        one = draw(np.random.default_rng([7, number]), units=(6, 11), fresh=(2.5, 9.0))
        found = by_policy(one)
        best, sets, tried = search(
            one.small, one.fresh, one.seconds, one.multiplier, np.array(RESTS_S), found, MOST_TRIED
        )
        if len(sets):
            assert by_plan(one, sets) == pytest.approx(best)
        if tried >= 0:
            gaps.append(found / best - 1.0)

    assert len(gaps) >= 190
    assert np.mean(np.array(gaps) > 0.01) <= 0.15
    assert np.mean(gaps) <= 0.025
