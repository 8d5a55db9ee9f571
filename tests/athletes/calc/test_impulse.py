"""Fitness and fatigue: closed forms of the published model, and a sum with each load's own exponential."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from athletes.calc.impulse import MORTON_1990, Constants, course, influence, steady, turning
from tests.oracles import naive_load
from tests.references.load import MORTON_1990_TURNING_DAYS, TURNING_DERIVED


@pytest.mark.parametrize(("slow", "quick", "raised", "lowered", "neutral", "greatest"), TURNING_DERIVED)
def test_turning_points(slow, quick, raised, lowered, neutral, greatest):
    """By the closed forms, and where the influence itself is 0 and greatest."""
    constants = Constants(slow, quick, raised, lowered)
    found = turning(constants)
    assert (found.neutral, found.greatest) == pytest.approx((neutral, greatest), abs=5e-4)
    days = np.linspace(0.0, 200.0, 200_001)
    told = influence(days, constants)
    assert days[np.argmax(told)] == pytest.approx(found.greatest, abs=2e-3)
    assert days[np.argmax(told > 0.0)] == pytest.approx(found.neutral, abs=2e-3)


def test_the_papers_16_and_40_days():
    found = turning()
    assert {"neutral": round(found.neutral), "greatest": round(found.greatest)} == MORTON_1990_TURNING_DAYS


def test_one_load_of_100():
    """First above where it began on day 16, highest on day 40 with 27.2145; computed apart."""
    told = course(np.array([100.0] + [0.0] * 60)).performance
    assert told[[0, 1, 7, 15]] == pytest.approx([-100.0, -89.2991, -39.8239, -1.9228], abs=5e-5)
    assert int(np.argmax(told > 0.0)) == 16 and int(np.argmax(told)) == 40
    assert told[40] == pytest.approx(27.214539, abs=5e-7)


@pytest.mark.parametrize(
    ("tau", "inclusive"), [(45.0, 4550.185184), (15.0, 1550.555514)], ids=["fitness", "fatigue"]
)
def test_the_same_load_every_day_comes_to_a_standstill(tau, inclusive):
    """w / (1 - exp(-1 / tau)); without the day's own load exactly one load less."""
    assert steady(100.0, tau) == pytest.approx(inclusive, abs=5e-6)
    assert steady(100.0, tau, "exclusive") == pytest.approx(inclusive - 100.0, abs=5e-6)
    after = course(np.full(2000, 100.0))
    got = after.fitness[-1] if tau == MORTON_1990.tau_fitness else after.fatigue[-1]
    assert got == pytest.approx(inclusive, abs=5e-6)


LOADS = np.array([100.0, 0, 80, 0, 120, 0, 0, 60, 0, 0])


@pytest.mark.parametrize(
    ("convention", "expected"),
    [
        (
            "inclusive",
            [400, 410.7009, 340.6182, 358.3653, 254.8036, 282.8624, 308.8424, 272.8837, 301.5377, 328.0358],
        ),
        (
            "exclusive",
            [500, 410.7009, 420.6182, 358.3653, 374.8036, 282.8624, 308.8424, 332.8837, 301.5377, 328.0358],
        ),
    ],
)
def test_a_worked_course(convention, expected):
    """Ten days, computed apart; days without a load are the same in both conventions."""
    assert course(LOADS, Constants(start=500.0), convention).performance == pytest.approx(expected, abs=5e-5)


@given(st.lists(st.floats(0.0, 2000.0), min_size=1, max_size=60), st.sampled_from(["inclusive", "exclusive"]))
def test_the_recursion_is_the_sum(loads, convention):
    told = course(np.array(loads), MORTON_1990, convention)
    for day in range(len(loads)):
        for values, tau in ((told.fitness, 45.0), (told.fatigue, 15.0)):
            naive = naive_load.faded_sum(loads, day, tau, with_today=convention == "inclusive")
            assert values[day] == pytest.approx(naive, abs=1e-9)


@pytest.mark.parametrize(
    "wrong", [{"tau_fitness": 10.0}, {"tau_fatigue": 0.0}, {"k_fatigue": -1.0}, {"start": np.nan}]
)
def test_impossible_constants_are_refused(wrong):
    with pytest.raises(ValueError, match="must"):
        Constants(**wrong)


@pytest.mark.parametrize("loads", [[-1.0], [np.nan], [np.inf]])
def test_impossible_loads_are_refused(loads):
    with pytest.raises(ValueError, match="at least 0"):
        course(np.array(loads))
    with pytest.raises(ValueError, match="convention"):
        course(np.ones(3), MORTON_1990, "both")


def test_where_nothing_lowers_there_is_nothing_to_weigh_up():
    assert turning(Constants(k_fatigue=0.0)) is None
    assert turning(Constants(k_fatigue=0.5)).neutral == 0.0
