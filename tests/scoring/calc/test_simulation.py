"""The simulation of a block under every order: a second implementation, and the score of what it writes down."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programming.calc.variation import Option
from scoring.calc.attempt import SetEntry
from scoring.calc.candidate import Candidate
from scoring.calc.forecast import make_scenarios, run_policy
from scoring.calc.next_set import Policy
from scoring.calc.pacing import trace_policy
from scoring.calc.simulation import LATER_HIGH, LATER_LOW, SHARE_HIGH, SHARE_LOW
from tests.oracles.naive_block import NaiveBlock
from tests.scoring.calc.orders import blocks

POLICIES = st.builds(Policy, st.sampled_from([0.5, 0.6, 0.75, 0.9, 1.0]), st.floats(0, 200))
FRESH = st.lists(st.one_of(st.floats(0.5, 40), st.just(math.inf)), min_size=4, max_size=4)
SECONDS = st.lists(st.sampled_from([1.0, 2.0, 3.5]), min_size=4, max_size=4)
OPTION = Option("any", 20.0, None, None, 50.0)


def candidates(block, fresh, seconds):
    """A candidate for each item; a movement has one fresh capacity, and where it is infinite nothing limits it."""
    by_movement, made = {}, []
    for one, available, pace in zip(block.items, fresh, seconds, strict=False):
        available = by_movement.setdefault((one.movement, one.unit), available)
        kind = "none" if math.isinf(available) else ("hold" if one.unit == "hold_s" else "load_repetition")
        made.append(Candidate(OPTION, np.array([available]), kind=kind, seconds_per_unit=pace))
    return made


def played(block, made, multiplier, policy, keep):
    """(scenarios, runs of the compiled simulation, what the naive one tells)."""
    scenarios = make_scenarios(block, made, np.array([multiplier]), to_failure=not keep)
    fresh = {one.key: float(each.fresh[0]) for one, each in zip(block.items, made, strict=True)}
    seconds = {
        one.key: 1.0 if one.unit == "hold_s" else each.seconds_per_unit
        for one, each in zip(block.items, made, strict=True)
    }
    naive = NaiveBlock(
        block, fresh, multiplier, seconds, share=policy.share, own_rest_s=policy.own_rest_s, keep=keep
    )
    return scenarios, run_policy(block, scenarios, policy), naive.play()


@given(blocks(), FRESH, SECONDS, st.floats(0.1, 1.5), POLICIES, st.booleans())
@settings(max_examples=400, deadline=None)
def test_the_compiled_simulation_agrees_with_a_naive_one(block, fresh, seconds, multiplier, policy, keep):
    """Same sets, clock, breaks, misses, rounds, later sets and shares under every order, break rule and end."""
    made = candidates(block, fresh, seconds)
    scenarios, runs, told = played(block, made, multiplier, policy, keep)
    sets, clock, _ = trace_policy(block, scenarios, policy, scenarios.people[0], multiplier, 3000)

    keys = [one.key for one in block.items]
    assert [(keys[int(row[0])], row[1]) for row in sets] == [(work, size) for work, size, _ in told.sets]
    assert clock == pytest.approx(told.elapsed)
    found = (runs.breaks[0], runs.misses[0], runs.rounds[0], runs.state[0] == 0)
    assert found == (told.breaks, told.misses, told.rounds, told.finished)
    for number, key in enumerate(keys):
        for kept, low, high in ((told.later, LATER_LOW, LATER_HIGH), (told.shares, SHARE_LOW, SHARE_HIGH)):
            expected = kept.get(key, [])
            ends = (min(expected), max(expected)) if expected else (np.inf, -np.inf)
            assert tuple(runs.sizes[0, number, [low, high]]) == pytest.approx(ends)


def written_down(block, sets, rests):
    """The log of a simulated athlete."""
    entries = []
    for one, rest in zip(sets, rests, strict=True):
        entries.append(
            SetEntry(
                one.work, one.amount, rest_before_s=rest, unit=one.unit, load_kg=20.0,
            )
        )  # fmt: skip
    return tuple(entries)
