"""Cyclical work inside a block: the reserve, the pace, and what lifting takes of them."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from programming.calc.revision import Aim, AsWritten, Block, BlockRules, BreakRule, EndRule, WorkItem
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.engine import Engine, lifting_power, ride, seconds_to_recover, share_after
from scoring.calc.forecast import make_scenarios, run_policy
from scoring.calc.next_set import Policy
from scoring.calc.pacing import trace_policy
from tests.support.examples import examples

CRITICAL, RESERVE = st.floats(80, 400), st.floats(5_000, 40_000)
BALANCE, PACE = st.floats(0, 1), st.sampled_from([0.8, 1.0, 1.1, 1.5, 2.0])
WRITTEN = AsWritten("any")


def test_the_published_example_by_hand():
    """CP 250 W, W' 20 kJ, 60 s at 350 W and 30 s at 150 W leave 14 835.75 J (differential form, by hand)."""
    after = share_after(1.0, 250.0, 20_000.0, 350.0, 60.0)

    assert after == pytest.approx(14_000 / 20_000)
    assert 20_000 * share_after(after, 250.0, 20_000.0, 150.0, 30.0) == pytest.approx(14_835.75, abs=0.01)


@given(BALANCE, CRITICAL, RESERVE, st.floats(0, 2.0), st.floats(0, 600))
@settings(deadline=None)
def test_the_share_of_the_reserve_by_the_formula_in_shares(balance, critical, reserve, pace, seconds):
    """The account is kept in joules; the same written in shares of the reserve, down to 0."""
    turnover = seconds * critical * (1 - pace) / reserve  # how often the reserve comes back, or is spent
    expected = 1 - (1 - balance) * math.exp(-turnover) if pace <= 1 else max(0.0, balance + turnover)

    found = share_after(balance, critical, reserve, pace * critical, seconds)
    assert found == pytest.approx(expected, abs=1e-9)


@given(BALANCE, CRITICAL, RESERVE, PACE, st.floats(100, 60_000), st.sampled_from([1.0, 1 / 3, 0.0]))
@settings(max_examples=examples(24), deadline=None)
def test_a_ride_is_what_a_solver_integrates(balance, critical, reserve, pace, joules, exponent):
    """Amount and reserve integrated by scipy: at the pace until empty, then at the critical power."""
    amount = joules if exponent == 1.0 else joules / 100
    piece = ride(balance, critical, reserve, pace, amount, 1.0, exponent, math.inf)

    def empty(_, y):
        return y[1] - 1e-12

    empty.terminal, empty.direction = True, -1

    def law(power):
        def slope(_, y):
            fall = (critical - power) / reserve
            return [power**exponent, fall if power > critical else (1 - y[1]) * fall]

        return slope

    state, clock = np.array([0.0, balance]), 0.0
    for power in (pace * critical, critical):
        if piece.seconds - clock > 1e-9 and (power <= critical or state[1] > 1e-9 or power == critical):
            events = empty if power > critical else None
            part = solve_ivp(law(power), (clock, piece.seconds), state, rtol=1e-9, atol=1e-10, events=events)
            state, clock = part.y[:, -1], part.t[-1]
    assert state[0] == pytest.approx(amount, rel=1e-6)
    assert state[1] == pytest.approx(piece.balance, abs=1e-6)


@given(BALANCE, CRITICAL, RESERVE, PACE, st.floats(0, 900), st.floats(0, 60_000))
@settings(deadline=None)
def test_the_reserve_never_falls_below_nothing(balance, critical, reserve, pace, seconds, joules):
    """However long and hard: b stays from 0 to 1, amount and time within what is asked."""
    piece = ride(balance, critical, reserve, pace, joules, 1.0, 1.0, seconds)

    assert -1e-12 <= piece.balance <= 1 + 1e-12
    assert piece.amount <= joules + 1e-9
    assert piece.seconds <= seconds + 1e-9


@given(st.floats(0, 0.99), st.floats(0, 0.99), CRITICAL, RESERVE)
@settings(deadline=None)
def test_waiting_brings_back_what_was_wanted(balance, wanted, critical, reserve):
    """seconds_to_recover undoes share_after."""
    waited = seconds_to_recover(balance, wanted, critical, reserve)

    assert share_after(balance, critical, reserve, 0.0, waited) == pytest.approx(max(balance, wanted))


@given(CRITICAL, RESERVE, st.floats(0.01, 100))
@settings(deadline=None)
def test_the_unit_of_power_does_not_matter(critical, reserve, unit):
    """In kilowatts and kilojoules the same ride takes as long."""
    one = ride(1.0, critical, reserve, 1.25, 20_000.0, 1.0, 1.0, math.inf)
    other = ride(1.0, critical * unit, reserve * unit, 1.25, 20_000.0 * unit, 1.0, 1.0, math.inf)

    assert other.seconds == pytest.approx(one.seconds)


def engine(critical=200.0, measure="power", **fields):
    """An engine in one scenario."""
    return Engine(
        np.array([critical]), np.array([15_000.0 if measure == "power" else 150.0]), measure, **fields
    )


@pytest.mark.parametrize(
    ("unit", "amount", "made", "expected"),
    [
        # 60 kcal of 1000 J at 200 W; 1000 m at (200 / 2.8)^(1/3) = 4.149 m/s and at 4 m/s; two minutes.
        ("energy_kcal", 60.0, engine(work_j_per_kcal=1000.0), 300.0),
        ("distance_m", 1000.0, engine(power_per_cubed_speed=2.8), 1000 / 4.14913),
        ("distance_m", 1000.0, engine(4.0, "speed"), 250.0),
        ("hold_s", 120.0, engine(), 120.0),
        # What an engine does not tell takes the seconds of its units.
        ("distance_m", 1000.0, engine(), 500.0),
        ("energy_kcal", 60.0, engine(4.0, "speed"), 30.0),
    ],
)  # fmt: skip
def test_the_law_of_each_unit_by_hand(unit, amount, made, expected):
    """At the critical power: how long an amount takes in each unit."""
    work = (WorkItem("row", "row", amount, WRITTEN, unit=unit),)
    block = Block(
        "m", work, BlockRules("in_sequence", BreakRule("none"), EndRule("work_done"), "time", "none"), Aim(())
    )
    option = Option("row", None, None, None, 1.0)
    one = Candidate(option, np.array([np.inf]), kind="cyclical", engine=made, seconds_per_unit=0.5)
    runs = run_policy(block, make_scenarios(block, [one], np.array([0.5])), Policy(1.0, 20.0, 1.0))

    assert runs.elapsed_s[0] == pytest.approx(expected, rel=1e-5)


def lifting_block(rounds=6):
    """Six rounds of lifting and a short ride."""
    work = (
        WorkItem("lift", "lift", 20.0, WRITTEN),
        WorkItem("bike", "bike", 5.0, WRITTEN, unit="energy_kcal"),
    )
    rules = BlockRules("rounds", BreakRule("set_ended_early"), EndRule("work_done"), "time", "none", rounds)
    return Block("m", work, rules, Aim(()))


def lift_and_ride(load_kg, critical):
    """(runs, trace) of somebody whose muscles are never the limit."""
    block = lifting_block()
    lift = Candidate(Option("lift", load_kg, None, None, load_kg), np.array([400.0]))
    made = engine(critical, work_j_per_kcal=1000.0)
    bike = Candidate(Option("bike", None, None, None, 1.0), np.array([np.inf]), kind="cyclical", engine=made)
    scenarios = make_scenarios(block, [lift, bike], np.array([0.3]))
    policy = Policy(1.0, 20.0, 1.1)
    trace, _, finished = trace_policy(block, scenarios, policy, scenarios.people[0], 0.3, 400)
    return run_policy(block, scenarios, policy), trace, finished


def test_breath_ends_sets_that_the_muscles_would_not():
    """A load of 80 kg takes 80 x 9.81 x 0.5 x 4/3 / 2 = 262 W: too much for 120 W, not for 300."""
    assert lifting_power(80.0, 2.0) == pytest.approx(261.6)
    short, trace, finished = lift_and_ride(80.0, 120.0)
    long, _, _ = lift_and_ride(80.0, 300.0)

    assert finished
    assert short.breaks[0] > 0
    assert long.breaks[0] == 0
    assert sum(trace[trace[:, 0] == 0, 1]) == 120
    assert long.elapsed_s[0] < short.elapsed_s[0]


@given(st.floats(5, 120), st.floats(0.5, 1.0), st.floats(100, 350))
@settings(max_examples=examples(16), deadline=None)
def test_a_lighter_load_never_takes_longer_and_a_better_engine_neither(load_kg, lighter, critical):
    """Monotone in both within a repetition of rounding a set (a set that stops for breath stops at whole ones)."""
    heavy, _, _ = lift_and_ride(load_kg, critical)
    light, _, _ = lift_and_ride(load_kg * lighter, critical)
    fitter, _, _ = lift_and_ride(load_kg, critical * 1.1)

    slack = 0.0 if heavy.breaks[0] == 0 else 25.0
    assert light.elapsed_s[0] <= heavy.elapsed_s[0] + slack
    assert fitter.elapsed_s[0] <= heavy.elapsed_s[0] + slack


@pytest.mark.parametrize(
    "made",
    [
        Engine(np.array([200.0, 200.0]), np.array([1.0]), "power"),
        Engine(np.array([np.nan]), np.array([1.0]), "power"),
        Engine(np.array([200.0]), np.array([0.0]), "power"),
    ],
)
def test_an_engine_that_does_not_fit_is_refused(made):
    """Shapes and ranges are checked at the door."""
    block = lifting_block()
    lift = Candidate(Option("lift", 20.0, None, None, 20.0), np.array([20.0]))
    bike = Candidate(Option("bike", None, None, None, 1.0), np.array([np.inf]), kind="cyclical", engine=made)

    with pytest.raises(ValueError):
        make_scenarios(block, [lift, bike], np.array([0.5]))
