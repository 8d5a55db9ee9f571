"""The warm-up ramp: only what can be set up, rising to the working load, with falling repetitions."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programming.calc.variation import Option
from scoring.calc.warm_up import warm_up_ramp

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
