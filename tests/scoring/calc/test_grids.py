"""The grids of policies: what compares combinations, what is next to one of it."""

import numpy as np
import pytest

from programming.calc.rule_codes import NO_ITEM
from scoring.calc.items import KIND, PACE, RESERVOIR, TABLE_ROWS, Items
from scoring.calc.next_set import Policy
from scoring.calc.pacing import OWN_RESTS_S, PACES, SHARES, coarse_grid, nearby_grid, policy_grid


def items_of(*kinds):
    table = np.zeros((TABLE_ROWS, len(kinds)))
    table[KIND] = kinds
    return Items(table, NO_ITEM, np.eye(len(kinds)))


LIFTED, PACED, BOTH = items_of(RESERVOIR), items_of(PACE), items_of(RESERVOIR, PACE)


def rows(grid):
    return {tuple(row) for row in grid.tolist()}


@pytest.mark.parametrize(("items", "count"), [(LIFTED, 9), (PACED, 3), (BOTH, 27)])
def test_the_coarse_grid_has_every_other_value_and_the_greatest(items, count):
    """Sets to failure, the longest rest and the quickest pace are among them."""
    coarse, whole = coarse_grid(items), policy_grid(items)
    assert len(coarse) == count
    assert rows(coarse) < rows(whole)
    assert coarse.max(axis=0).tolist() == whole.max(axis=0).tolist()


def test_no_more_than_the_most_share_is_in_it():
    assert coarse_grid(LIFTED, 0.8)[:, 0].max() == 0.8


@pytest.mark.parametrize("share", [0, 2, 4])
@pytest.mark.parametrize("rest", [0, 3, 4])
@pytest.mark.parametrize("pace", [0, 3, 5])
def test_nearby_is_one_step_away_at_most(share, rest, pace):
    """By each value: the same, the next smaller, the next greater, where there is one."""
    policy = Policy(SHARES[share], OWN_RESTS_S[rest], PACES[pace], 0.25)
    steps = [range(max(0, at - 1), at + 2) for at in (share, rest, pace)]
    expected = {
        (one, own_rest_s, quick, 0.0)
        for one in (SHARES[at] for at in steps[0] if at < len(SHARES))
        for own_rest_s in (OWN_RESTS_S[at] for at in steps[1] if at < len(OWN_RESTS_S))
        for quick in (PACES[at] for at in steps[2] if at < len(PACES))
    }
    assert rows(nearby_grid(BOTH, policy)) == expected


def test_every_policy_is_next_to_one_of_the_coarse_grid():
    """So what is paced from there can reach whatever the whole grid has."""
    reached = set()
    for row in coarse_grid(BOTH).tolist():
        reached |= rows(nearby_grid(BOTH, Policy(*row)))
    assert reached == rows(policy_grid(BOTH))
