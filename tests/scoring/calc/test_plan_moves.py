"""Neighbours of a plan do the same work, and what is usual of them is what a written list would say."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.calc.explicit import _usual
from scoring.calc.plan_moves import (
    MOVES,
    SHORTEST_REST_S,
    are_worthwhile,
    drawn,
    moved,
    tell_usual,
)
from scoring.calc.planned_set import AMOUNT, ITEM, PAUSE, REST, ROUND, SIZE
from scoring.calc.simulation import TRANSITION_S
from tests.support.examples import examples


@st.composite
def plans(draw):
    """(rows (room, 4), how many are used): rounds in order, in each the items one after the other."""
    rows = []
    for number in range(draw(st.integers(1, 3))):
        for item in range(draw(st.integers(1, 3))):
            for size in draw(st.lists(st.integers(1, 9), min_size=1, max_size=4)):
                rest = float(draw(st.sampled_from([10, 15, 40, 90]))) if rows else 0.0
                rows.append((item, size, rest, number))
    return np.array(rows + [(0, 0, 0, 0)] * draw(st.integers(0, 3)), dtype=float), len(rows)


def asked(rows):
    """What is done of each item in each round."""
    keys = {(int(one[ITEM]), int(one[ROUND])) for one in rows}
    return {key: rows[(rows[:, ITEM] == key[0]) & (rows[:, ROUND] == key[1]), AMOUNT].sum() for key in keys}


@given(plans())
@settings(max_examples=examples(40), deadline=None)
def test_a_move_leaves_the_work_as_it_is(made):
    """Every move of every row: of each item in each round as much, in whole sets of one and more, and no rest shorter
    than any may be.
    """
    plan, count = made
    for row in range(count):
        for move in MOVES:
            trial = plan.copy()
            size = moved(trial, count, row, move)
            if size > 0:
                check(trial[:size], plan[:count])


def check(after, before):
    """A plan beside that which it was made of."""
    assert asked(after) == asked(before)
    assert after[:, AMOUNT].min() >= 1.0 and (after[:, AMOUNT] % 1.0 == 0.0).all()
    assert len(after) != len(before) or (after != before).any()
    assert after[1:, REST].min(initial=np.inf) >= TRANSITION_S
    for last, one in pairwise(after):
        alone = (after[:, [ITEM, ROUND]] == one[[ITEM, ROUND]]).all(axis=1).sum() == 1
        if one[ITEM] == last[ITEM] and not (alone and one[ROUND] > last[ROUND]):
            assert one[REST] >= SHORTEST_REST_S


@given(plans())
@settings(max_examples=examples(60), deadline=None)
def test_what_is_usual_is_what_a_written_list_would_say(made):
    """Median sizes and rests of each item, but no rest below the shortest; of an item without sets none."""
    plan, count = made
    usual = np.full((2, 4), np.nan)
    tell_usual(plan, count, np.zeros(len(plan)), usual)
    told = _usual(plan[:count], 4)
    assert usual[SIZE] == pytest.approx(told[SIZE])
    has_sets = told[SIZE] > 0.0
    assert usual[PAUSE, has_sets] == pytest.approx(np.maximum(told[PAUSE, has_sets], SHORTEST_REST_S))
    assert not usual[PAUSE, ~has_sets].any()


@pytest.mark.parametrize(
    ("sizes", "worthwhile", "worth_it"),
    [
        ((12, 3, 3), 0.25, True),
        ((12, 2, 4), 0.25, False),  # a quarter is three
        ((12, 3, 1), 0.25, True),  # what is left over
        ((40, 5, 3), 0.25, True),  # five are a set of their own
        ((40, 4, 3), 0.25, False),
        ((12, 2, 4), 0.15, True),
    ],
)
def test_no_later_set_is_less_than_is_worth_a_rest(sizes, worthwhile, worth_it):
    """By hand, as of a policy: in whole repetitions, never more than five, but for the last of the round."""
    plan = np.array([(0, size, 30.0, 0) for size in sizes], dtype=float)
    assert are_worthwhile(plan, len(plan), worthwhile) == worth_it


def test_what_is_drawn_is_spread_and_the_same_each_time():
    """Each of seven numbers about as often: of 7000, 1000 with a standard deviation of 29."""
    seeds = np.array([1]), np.array([1])
    found = [drawn(seeds[0], 7) for _ in range(7000)]
    assert found == [drawn(seeds[1], 7) for _ in range(7000)]
    assert max(abs(found.count(number) - 1000) for number in range(7)) < 150
