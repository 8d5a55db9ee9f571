"""What compiled code thinks of the conditions that couple the items: beside what a forecast tells of each."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from programming.calc.revision import (
    Aim,
    AsWritten,
    Block,
    BlockRules,
    BreakRule,
    Condition,
    EndRule,
    WorkItem,
)
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.conditions import condition_values
from scoring.calc.coupled import LOSS, MET, TOLD, coupled_losses, is_compiled
from scoring.calc.loss import window_loss
from scoring.calc.next_set import Policy
from scoring.calc.pacing import run_policy
from scoring.calc.scenarios import make_scenarios
from tests.scoring.calc.athletes import FALL_OFF, MULTIPLIER
from tests.scoring.calc.orders import blocks
from tests.support.examples import examples

OPTION = Option("any", 20.0, None, None, 50.0)
COUNT = 24
SCORED = st.sampled_from(
    ["time", "time", "none", "repetitions", "load", "intervals", "smallest_interval", "volume_load"]
)
POLICIES = st.builds(Policy, st.sampled_from([0.6, 0.8, 1.0]), st.sampled_from([0.0, 40.0, 150.0]))
MIDDLES = st.lists(st.one_of(st.floats(1.0, 30.0), st.just(np.inf)), min_size=4, max_size=4)
BOUNDS = st.sampled_from([None, -5.0, 0.0, 1.0, 4.0, 20.0, 60.0, 90.0, 300.0])


@st.composite
def conditions(draw, block):
    """Any condition that couples the items, with any bounds, and some that are told elsewhere."""
    kind = draw(st.sampled_from(["time", "score", "later_sets", "share_of_available", "first_set", "effort"]))
    keys = [item.key for item in block.work]
    work = draw(st.sampled_from(keys)) if kind in ("later_sets", "first_set") else None
    if kind == "share_of_available":
        work = draw(st.sampled_from([None, *keys]))
    return Condition(kind, work, draw(BOUNDS), draw(BOUNDS))


def counted(seconds, upper):
    """A time as far as it counts, by its definition."""
    if upper is None or upper <= 0.0:
        return seconds
    most = 3.0 * upper
    return np.where(seconds <= most, seconds, most * (1.0 + 0.1 * np.log(np.maximum(seconds, most) / most)))


THREES = Block(
    "main",
    (WorkItem("a", "press", 3.0, AsWritten("any")),),
    BlockRules(
        "rounds", BreakRule("none"), EndRule("work_done"), "none", "none", rounds=4, rest_between_s=60.0
    ),
    Aim((Condition("share_of_available", "a", 60.0, 85.0),)),
)


@given(st.data(), blocks(), SCORED, POLICIES, st.booleans(), MIDDLES)
@settings(max_examples=examples(80), deadline=None)
def test_the_losses_are_those_of_the_values_told(data, block, scored, policy, keep, middles):
    """Under every order, for everything that is scored, with and without a reserve."""
    assume(scored not in ("intervals", "smallest_interval") or block.rules.order == "intervals")
    aim = Aim(tuple(data.draw(st.lists(conditions(block), max_size=4))))
    agree(replace(block, rules=replace(block.rules, scored=scored), aim=aim), policy, keep, middles)


@pytest.mark.parametrize("keep", [True, False])
@given(st.floats(2.0, 12.0))
@settings(max_examples=examples(10), deadline=None)
def test_threes_that_a_reserve_breaks_ask_for_more_than_there_is(keep, middle):
    """And those that are broken for want of strength do not."""
    agree(THREES, Policy(0.8, 20.0), keep, [middle])


def scenarios_of(block, keep, middles, count=COUNT):
    """So many scenarios of somebody who can about so much of each item."""
    by_movement, made = {}, []
    for number, (one, middle) in enumerate(zip(block.items, middles, strict=False)):
        middle = by_movement.setdefault((one.movement, one.unit), middle)
        kind = "hold" if one.unit == "hold_s" else "load_repetition"
        fresh = middle * np.exp(0.3 * FALL_OFF[number % 2][:count])
        made.append(Candidate(OPTION, fresh, kind="none" if np.isinf(middle) else kind))
    return make_scenarios(block, made, MULTIPLIER[:count], to_failure=not keep)


def by_scenario(block, scenarios, runs, policy):
    """Of each condition that is told here: (losses (N,), 1 where it is met (N,)), None where it cannot be told."""
    rows = []
    for condition in (one for one in block.aim.conditions if is_compiled(one)):
        values = condition_values(block, condition, scenarios, runs, policy)
        high = counted(values.high, condition.upper) if condition.kind == "time" else values.high
        told = values.reason is None
        rows.append((window_loss(values.low, high, values.window), values.met) if told else None)
    return rows


def agree(block, policy, keep, middles):
    """Losses, how often conditions are met and which are told, beside the values scenario by scenario."""
    scenarios = scenarios_of(block, keep, middles)
    runs = run_policy(block, scenarios, policy)
    found, sizes = coupled_losses(block, scenarios, policy)

    assert (sizes == runs.sizes).all()
    rows = by_scenario(block, scenarios, runs, policy)
    assert len(found) == len(rows)
    for row, told in zip(found, rows, strict=True):
        assert row[TOLD] == (told is not None)
        if told is not None:
            assert (row[LOSS], row[MET]) == pytest.approx([one.mean() for one in told])


@given(st.data(), blocks(), SCORED, POLICIES, MIDDLES, st.floats(0.0, 1.1))
@settings(max_examples=examples(60), deadline=None)
def test_what_has_lost_too_much_is_played_no_further(data, block, scored, policy, middles, share):
    """Asked after 16 and 32 of 40 scenarios, by what each of them loses; what was lost until then is a part of the
    mean of all, and no mean of fewer. Whether a condition can be told stays as it is.
    """
    assume(scored not in ("intervals", "smallest_interval") or block.rules.order == "intervals")
    aim = Aim(tuple(data.draw(st.lists(conditions(block), min_size=1, max_size=4))))
    block = replace(block, rules=replace(block.rules, scored=scored), aim=aim)
    scenarios = scenarios_of(block, True, middles, 40)
    runs = run_policy(block, scenarios, policy)
    rows = by_scenario(block, scenarios, runs, policy)
    lost = np.cumsum(sum((told[0] for told in rows if told is not None), np.zeros(40)))
    assume(np.isfinite(lost[-1]))
    most = share * lost[-1]
    looks = (16, 32)
    assume(lost[-1] == 0.0 or all(abs(lost[end - 1] - most) > 1e-9 * lost[-1] for end in looks))
    end = next((look for look in looks if lost[look - 1] > most), 40)

    found, sizes = coupled_losses(block, scenarios, policy, most / 40)
    assert len(sizes) == end and (sizes == runs.sizes[:end]).all()
    assert len(found) == len(rows)
    for row, told in zip(found, rows, strict=True):
        assert row[TOLD] == (told is not None)
        if told is not None:
            assert (row[LOSS], row[MET]) == pytest.approx([one[:end].sum() / 40 for one in told])
