"""The grids of policies: what compares combinations, what is next to one of it."""

import numpy as np
import pytest

from programming.calc.rule_codes import NO_ITEM
from scoring.calc.items import KIND, PACE, RESERVOIR, TABLE_ROWS, Items
from scoring.calc.pacing import coarse_grid, policy_grid


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
