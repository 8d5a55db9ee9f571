"""What the rules make of what a list of sets leaves open, each read by hand, and held against what is played."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from programming.calc.revision import BreakRule
from scoring.calc.explicit import Filled, ListedSet, ListError, LongerRest, read_list
from scoring.calc.forecast import make_scenarios
from scoring.calc.pacing import trace_policy
from tests.scoring.calc.orders import blocks, item
from tests.scoring.calc.test_explicit import ROUNDS, SWAP, TIMED, sequence
from tests.scoring.calc.test_simulation import candidates

RESTED = sequence(item("a", 10.0), item("b", 5.0), order="rounds", rounds=3, rest_between_s=30.0)
SERVED = sequence(
    item("a", 10.0),
    item("b", 10.0),
    order="swap_on_break",
    break_rule=BreakRule("set_ended_early", penalty_s=20.0, penalty="served_rest"),
)


@pytest.mark.parametrize(
    ("block", "sets", "longer", "at_once", "left"),
    [
        # The first set has no rest to lengthen; exactly five seconds are none too few.
        (ROUNDS, [(0, 10.0, 0.0), (1, 5.0, 5.0), (0, 10.0, 4.0)], [(3, 5.0)], [], [(1, 5.0)]),
        # Half a minute between two rounds, five seconds within one.
        (RESTED, [(0, 10.0, 0.0), (1, 5.0, 5.0), (0, 10.0, 29.0), (1, 5.0, 30.0)], [(3, 30.0)], [], []),
        (SERVED, [(0, 4.0, 0.0), (1, 4.0, 10.0), (0, 6.0, 20.0)], [(2, 20.0)], [], [(1, 6.0)]),
        # An item without a set, before, between and behind those of the other.
        (ROUNDS, [(1, 5.0, 0.0)], [], [0], []),
        (ROUNDS, [(0, 10.0, 0.0)], [], [1], []),
        (ROUNDS, [(0, 4.0, 0.0), (0, 3.0, 10.0)], [], [1], [(0, 3.0)]),
        (SWAP, [(0, 4.0, 0.0), (1, 10.0, 5.0)], [], [], [(0, 6.0)]),
        # An interval begins on the clock, whatever rest is told.
        (TIMED, [(0, 10.0, 0.0), (1, 5.0, 1.0), (0, 10.0, 0.0)], [(2, 5.0)], [], [(1, 5.0)]),
    ],
)  # fmt: skip
def test_what_is_filled_in_is_told(block, sets, longer, at_once, left):
    found = read_list(block, [ListedSet(*one) for one in sets]).filled
    assert found == Filled(tuple(LongerRest(*one) for one in longer), tuple(at_once), tuple(left))


@given(block=blocks(), rest_s=st.sampled_from([0.0, 4.0, 5.0, 31.0]), size=st.integers(1, 12))
def test_who_has_it_all_rests_as_the_list_says_but_where_it_is_told(block, rest_s, size):
    """Two sets of the first item: the second begins when the note says, or when the list says."""
    sets = [ListedSet(0, float(min(size, 5)), 0.0), ListedSet(0, 1.0, rest_s)]
    try:
        listed = read_list(block, sets)
    except ListError:
        assume(False)
    assume(block.rules.intervals is None)
    scenarios = make_scenarios(block, candidates(block, [math.inf] * 4, [1.0] * 4), np.array([0.5]))
    trace, _, _ = trace_policy(block, scenarios, listed, scenarios.people[0], 0.5, 9)
    mine = [row for row in trace if int(row[0]) == 0]
    assume(len(mine) > 1 and len(trace) > 1 and trace[0][0] == trace[1][0] == 0.0)
    wanted = next((one.rest_s for one in listed.filled.longer if one.number == 2), rest_s)
    assert mine[1][2] == pytest.approx(wanted)
