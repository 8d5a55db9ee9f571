"""The warm-up ramp: only what can be set up, rising to the working load, with falling repetitions."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.prescribe import prescribe
from scoring.calc.warm_up import never_cold, warm_up_ramp
from tests.scoring.calc.athletes import COUNT, uniforms
from tests.scoring.calc.test_shares import straight

LOADS = st.lists(st.integers(1, 80).map(lambda step: 2.5 * step), min_size=1, max_size=30, unique=True)


def bar(load_kg):
    """A barbell at a load."""
    return Option("back_squat", load_kg, None, None, load_kg)


def body(key, effective_kg):
    """A body-weight rung."""
    return Option(key, None, None, None, effective_kg)


@given(LOADS, st.floats(0.5, 40), st.data())
@settings(deadline=None)
def test_a_ramp_rises_below_the_working_load_with_falling_repetitions(loads, available, data):
    """Whatever can be loaded: strictly rising, below the working load, only loadable, never more repetitions."""
    options = [bar(load) for load in loads]
    working = data.draw(st.sampled_from(options))
    ramp = warm_up_ramp("squat", working, options, available)
    kilograms = [one.option.load_kg for one in ramp]
    repetitions = [one.repetitions for one in ramp]

    assert kilograms == sorted(set(kilograms))
    assert all(load < working.load_kg for load in kilograms)
    assert all(one.option in options for one in ramp)
    assert repetitions == sorted(repetitions, reverse=True)
    assert all(one.work == "squat" and one.repetitions >= 1 for one in ramp)
    assert ramp == warm_up_ramp("squat", working, list(reversed(options)), available)


@given(st.integers(20, 80), st.floats(0, 40), st.floats(0, 20))
@settings(deadline=None)
def test_lighter_work_never_gets_a_longer_ramp(steps, available, more):
    """The more repetitions are available, the shorter the ramp where every load can be set up; beyond twenty none.

    With few loads one of the ramps may meet a gap: 12.5 and 15 kg before 20 kg are two steps, or one.
    """
    options = [bar(2.5 * step) for step in range(1, steps + 1)]
    working = options[-1]
    heavy, light = (warm_up_ramp("squat", working, options, n) for n in (available, available + more))

    assert len(light) <= len(heavy)
    assert warm_up_ramp("squat", working, options, 21.0) == ()


@pytest.mark.parametrize(
    ("available", "expected"),
    [
        (5.0, [(40.0, 8), (60.0, 5), (75.0, 3), (90.0, 1)]),
        (10.0, [(50.0, 8), (70.0, 5), (85.0, 2)]),
        (18.0, [(50.0, 8), (75.0, 4)]),
        (25.0, []),
    ],
)
def test_the_ramp_to_a_hundred_kilograms(available, expected):
    """By hand, with 5 kg steps: the heavier the work the longer and steeper the ramp (common practice, no source)."""
    ramp = warm_up_ramp("squat", bar(100.0), [bar(5.0 * step) for step in range(4, 30)], available)

    assert [(one.option.load_kg, one.repetitions) for one in ramp] == expected


def test_body_weight_work_is_led_up_to_by_easier_rungs():
    """Of other variations too; a loaded lift stays with its own."""
    rungs = [body("wall", 15.0), body("hands_high", 25.0), body("hands_low", 34.0), body("floor", 40.0)]
    ramp = warm_up_ramp("push", rungs[-1], [*rungs, bar(30.0)], 8.0)

    assert [one.option.variation_key for one in ramp] == ["wall", "hands_high", "hands_low"]
    assert warm_up_ramp("squat", bar(40.0), rungs, 8.0) == ()


@pytest.mark.parametrize("available", [21.0, 30.0, 200.0])
def test_a_load_nobody_was_seen_with_is_led_up_to_however_light_it_seems(available):
    """Two sets, as to long ones; of a load that is heavier by what is known the longer ramp stays."""
    options = [bar(5.0 * step) for step in range(4, 30)]
    ramp = warm_up_ramp("squat", bar(60.0), options, available, always=True)

    assert [(one.option.load_kg, one.repetitions) for one in ramp] == [(30.0, 8), (45.0, 4)]
    assert warm_up_ramp("squat", bar(60.0), options, available) == ()
    heavy = [warm_up_ramp("squat", bar(60.0), options, 5.0, always=told) for told in (True, False)]
    assert heavy[0] == heavy[1]


def test_who_is_led_up_to_any_load():
    """Attempts, and somebody unseen under a load; not unseen push-ups, nor a load that is known."""
    block = straight(5, 75.0, 85.0)
    attempts = replace(block, rules=replace(block.rules, order="attempts"))
    loaded = Candidate(bar(60.0), np.full(4, 30.0))
    unloaded = Candidate(body("floor", 40.0), np.full(4, 30.0), is_unseen=True)

    assert never_cold(block, replace(loaded, is_unseen=True))
    assert never_cold(attempts, loaded)
    assert not never_cold(block, loaded)
    assert not never_cold(block, unloaded)


def test_the_ramp_goes_by_a_bad_day():
    """Twenty-four by the middle and twelve on one day in ten: that is a load to be led up to."""
    middling = 9.0 + 30.0 * uniforms(1)[:, 0]
    made = [
        Candidate(bar(load), fresh, is_as_written=load == 60.0)
        for load, fresh in ((30.0, np.full(COUNT, 90.0)), (60.0, middling))
    ]
    block = straight(8, 20.0, 60.0)
    result = prescribe(block, {"a": made}, multiplier=np.zeros(COUNT))

    assert result.chosen[0].option.load_kg == 60.0
    assert [(one.option.load_kg, one.repetitions) for one in result.warm_up] == [(30.0, 8)]
