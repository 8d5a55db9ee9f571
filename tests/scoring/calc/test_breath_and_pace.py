"""Cyclical work, lifting and breath in one block: the compiled simulation beside a naive one, and facts by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programming.calc.revision import Aim, Block, BlockRules, BreakRule, EndRule
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.engine import Engine
from scoring.calc.forecast import make_scenarios, run_policy
from scoring.calc.next_set import Policy
from scoring.calc.pacing import policy_grid, trace_policy
from scoring.calc.simulation import LATER_HIGH, LATER_LOW, SHARE_SETS, SHARE_TOTAL
from tests.oracles.naive_engine import WORK_OF_A_KG_J, Machine, NaiveEngineBlock
from tests.scoring.calc.orders import blocks, item
from tests.support.examples import examples

SHARES = st.sampled_from([0.5, 0.6, 0.75, 0.9, 1.0])
POLICIES = st.builds(
    Policy,
    SHARES,
    st.floats(0, 200),
    st.sampled_from([0.8, 1.0, 1.1, 1.5]),
    st.sampled_from([0.0, 0.25, 0.6]),
)
# Muscles that end most sets, muscles that end few, and none that do.
FRESH = st.lists(st.one_of(st.floats(0.5, 60), st.just(math.inf)), min_size=4, max_size=4)
SECONDS = st.lists(st.sampled_from([1.0, 2.0, 3.5]), min_size=4, max_size=4)
# Powers of two: seconds divided and multiplied by them are the same seconds to the last bit.
TEMPOS = st.lists(st.sampled_from([0.5, 1.0, 2.0]), min_size=4, max_size=4)
KILOGRAMS = st.lists(st.floats(5, 150), min_size=4, max_size=4)
POWER_LAWS = {
    "energy_kcal": lambda watts: watts / 1000.0,
    "distance_m": lambda watts: (watts / 2.8) ** (1 / 3),
}


@st.composite
def engines(draw):
    """One or two machines: their unit, critical power or speed, reserve."""
    measure = draw(st.sampled_from(["power", "power", "power", "speed"]))
    made = []
    for _ in range(draw(st.integers(1, 2))):
        speed = measure == "speed"
        critical = draw(st.floats(2.5, 5.5) if speed else st.floats(80, 350))
        reserve = draw(st.floats(60, 300) if speed else st.floats(4_000, 30_000))
        unit = "distance_m" if speed else draw(st.sampled_from(["energy_kcal", "distance_m", "hold_s"]))
        made.append((unit, critical, reserve, measure))
    return made


@st.composite
def mixed_blocks(draw):
    """(block, engines by work key): any block, with cyclical work before, between or after what is written."""
    written, found = draw(blocks()), {}
    work = [one for one in written.work if one.amount is not None] or [item("a", 12.0)]
    for number, (unit, critical, reserve, measure) in enumerate(draw(engines())):
        key = f"m{number}"
        amount = draw(st.floats(5, 40)) * (20.0 if unit == "distance_m" else 1.0)
        work.insert(draw(st.integers(0, len(work))), item(key, amount, unit))
        found[key] = Engine(
            np.array([critical]), np.array([reserve]), measure,
            1000.0 if unit == "energy_kcal" else None,
            2.8 if unit == "distance_m" and measure == "power" else None,
        )  # fmt: skip
    return replace(written, work=tuple(work)), found


def per_second(engine, unit):
    """The amount per second at a pace, by the naive way."""
    if unit == "hold_s":
        return lambda pace: 1.0
    return (lambda speed: speed) if engine.measure == "speed" else POWER_LAWS[unit]


def cast(block, made, fresh, kilograms, seconds, tempos):
    """(candidates, what the naive block asks for by work key) of a block's items; a candidate's seconds of a
    repetition are usual ones times a tempo, and the naive block is told the product.
    """
    by_movement, candidates = {}, []
    told = {"fresh": {}, "seconds": {}, "watts": {}}
    # The engine that recovers at rest is the first in the order of the block.
    machines = {
        one.key: Machine(
            float(made[one.key].critical[0]), float(made[one.key].reserve[0]), per_second(made[one.key], one.unit)
        )
        for one in block.items
        if one.key in made
    }  # fmt: skip
    speed = made[next(iter(machines))].measure == "speed"
    for number, one in enumerate(block.items):
        engine, kg, pace = made.get(one.key), kilograms[number % 4], seconds[number % 4]
        available = (
            math.inf if engine else by_movement.setdefault((one.movement, one.unit), fresh[number % 4])
        )
        kind = "hold" if one.unit == "hold_s" else "load_repetition"
        kind = "cyclical" if engine else "none" if math.isinf(available) else kind
        option = Option("any", kg, None, None, kg)
        tempo = tempos[number % 4] if one.unit == "repetitions" else 1.0
        candidates.append(
            Candidate(
                option,
                np.array([available]),
                kind=kind,
                seconds_per_unit=pace / tempo,
                engine=engine,
                tempo=tempo,
            )
        )
        told["fresh"][one.key] = available
        told["seconds"][one.key] = 1.0 if one.unit == "hold_s" else pace
        lifted = None if speed else kg * WORK_OF_A_KG_J / pace
        told["watts"][one.key] = 0.0 if one.unit == "hold_s" else lifted
    return candidates, told | {"machines": machines}


@given(mixed_blocks(), FRESH, KILOGRAMS, SECONDS, TEMPOS, st.floats(0.1, 1.5), POLICIES, st.booleans())
@settings(max_examples=examples(80), deadline=None)
def test_a_block_with_an_engine_agrees_with_a_naive_one(
    made, fresh, kilograms, seconds, tempos, multiplier, policy, keep
):
    """Same sets at the same moments, clock, breaks, misses, rounds, later sets and shares, and the same reserve."""
    block, found = made
    candidates, told = cast(block, found, fresh, kilograms, seconds, tempos)
    scenarios = make_scenarios(block, candidates, np.array([multiplier]), to_failure=not keep)
    naive = NaiveEngineBlock(
        block, told["fresh"], multiplier, told["seconds"], share=policy.share, own_rest_s=policy.own_rest_s,
        keep=keep, worthwhile=policy.worthwhile, machines=told["machines"], watts=told["watts"], pace=policy.pace,
    )  # fmt: skip
    expected = naive.play()
    runs = run_policy(block, scenarios, policy)
    sets, clock, _ = trace_policy(block, scenarios, policy, scenarios.people[0], multiplier, 6000)

    keys = [one.key for one in block.items]
    assert [keys[int(row[0])] for row in sets] == [work for work, _, _ in expected.sets]
    np.testing.assert_allclose(sets[:, 1], [size for _, size, _ in expected.sets], rtol=1e-6, atol=1e-9)
    starts = np.cumsum(sets[:, 2] + sets[:, 3]) - sets[:, 3]
    np.testing.assert_allclose(starts, [moment for _, _, moment in expected.sets], rtol=1e-6, atol=1e-6)
    assert clock == pytest.approx(expected.elapsed)
    counts = (runs.breaks[0], runs.misses[0], runs.rounds[0], runs.state[0] == 0)
    assert counts == (expected.breaks, expected.misses, expected.rounds, expected.finished)
    for number, key in enumerate(keys):
        later, shares = expected.later.get(key, []), expected.shares.get(key, [])
        ends = (min(later), max(later)) if later else (np.inf, -np.inf)
        assert tuple(runs.sizes[0, number, [LATER_LOW, LATER_HIGH]]) == pytest.approx(ends)
        added_up = (sum(shares), len(shares))
        assert tuple(runs.sizes[0, number, [SHARE_TOTAL, SHARE_SETS]]) == pytest.approx(added_up)


def lifting(amount, kg, fresh, critical, policy, *, reserve=15_000.0):
    """Amounts, starts and seconds of the sets of one lift after a short ride; muscles of `fresh` repetitions."""
    work = (item("bike", 1.0, "energy_kcal"), item("lift", amount))
    rules = BlockRules("in_sequence", BreakRule("set_ended_early"), EndRule("work_done"), "time", "none")
    limited = Candidate(
        Option("any", kg, None, None, kg), np.array([fresh]),
        kind="none" if math.isinf(fresh) else "load_repetition", seconds_per_unit=2.0,
    )  # fmt: skip
    engine = Engine(np.array([critical]), np.array([reserve]), "power", 1000.0)
    bike = Candidate(
        Option("bike", None, None, None, 1.0), np.array([np.inf]), kind="cyclical", engine=engine
    )
    block = Block("m", work, rules, Aim(()))
    scenarios = make_scenarios(block, [bike, limited], np.array([0.3]))
    trace, _, _ = trace_policy(block, scenarios, policy, scenarios.people[0], 0.3, 1000)
    return trace[trace[:, 0] == 1], scenarios


# 80 kg raised and lowered in 2 s: 80 x 9.81 x 0.5 x 4/3 / 2 = 261.6 W, or 283.2 J a repetition beyond 120 W. A full
# reserve of 15 kJ pays for 52 of these.
def test_of_what_the_breath_allows_the_policy_takes_its_share():
    """Half of the 52 that a full reserve pays for, and all of them."""
    half, _ = lifting(300.0, 80.0, 400.0, 120.0, Policy(0.5, 20.0, 1.0))
    every, _ = lifting(300.0, 80.0, 400.0, 120.0, Policy(1.0, 20.0, 1.0))

    assert half[0, 1] == 26
    assert every[0, 1] == 52


@pytest.mark.parametrize("fresh", [400.0, math.inf])
def test_who_is_out_of_breath_rests_as_the_policy_says(fresh):
    """No set sooner than 60 s after the last one, with muscles that hold out and with a lift that has no curve."""
    sets, _ = lifting(150.0, 80.0, fresh, 120.0, Policy(1.0, 60.0, 1.0))

    assert len(sets) > 2
    assert sets[1:, 2] == pytest.approx(60.0)


def test_nobody_begins_again_for_one_breath():
    """Of a first set of 52 a quarter is more than five: the athlete waits until the reserve pays for five."""
    impatient, _ = lifting(150.0, 80.0, 400.0, 120.0, Policy(1.0, 0.0, 1.0))
    patient, _ = lifting(150.0, 80.0, 400.0, 120.0, Policy(1.0, 0.0, 1.0, 0.25))

    assert impatient[1:-1, 1].min() <= 2
    assert patient[1:-1, 1].min() == 5


def test_a_lift_that_only_the_breath_ends_is_planned_over_the_whole_grid():
    """Share and rest matter there as well, and not where lifting takes nothing."""
    _, heavy = lifting(150.0, 80.0, math.inf, 120.0, Policy(1.0, 0.0))
    work = policy_grid(heavy.items)

    assert len({tuple(row[:2]) for row in work}) == 25
