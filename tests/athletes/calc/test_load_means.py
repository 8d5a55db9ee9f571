"""Recent and usual load against pandas, the published pair, the identity, and a naive sum over all days; one more
day against all days at once.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from athletes.calc.load import Days, Figure, days_of
from athletes.calc.load_history import load_history
from athletes.calc.load_means import RATIO_MEANING, Weighted, quotient, smoothing
from athletes.calc.running_load import RunningLoad, figures
from tests.oracles import naive_load
from tests.references.load import STEP_LOADS, WILLIAMS_2017_FIRST_ATHLETE

known_loads = st.integers(0, 2000).map(lambda n: n * 0.5)
histories = st.lists(st.one_of(known_loads, known_loads, st.none()), min_size=1, max_size=70).filter(
    lambda days: days[0] is not None
)


def as_days(loads):
    known = np.array([load is not None for load in loads])
    return Days(100, np.array([load or 0.0 for load in loads]), known)


def state_of(loads):
    return RunningLoad().after_all(loads)


def test_the_published_pair_of_the_step():
    """1.43 by rolling means and 1.25 weighted (Williams 2017); uncoupled 5/3."""
    told = {kind: figures(state_of(STEP_LOADS), 0, kind).ratio.value for kind in ("coupled", "weighted")}
    assert {kind: round(value, 2) for kind, value in told.items()} == WILLIAMS_2017_FIRST_ATHLETE
    assert told["weighted"] == pytest.approx(1.249746, abs=5e-7)
    assert figures(state_of(STEP_LOADS), 0, "uncoupled").ratio.value == pytest.approx(500 / 300)


def test_a_ratio_is_told_only_when_asked_for_and_is_no_estimate_of_a_risk():
    assert figures(state_of(STEP_LOADS)).ratio is None
    assert "not an estimate of any risk" in RATIO_MEANING


@given(st.lists(known_loads, min_size=28, max_size=60))
@example(STEP_LOADS)
def test_coupled_is_4u_over_3_plus_u(loads):
    told = {kind: figures(state_of(loads), 0, kind).ratio for kind in ("coupled", "uncoupled")}
    assume(all(figure.value is not None for figure in told.values()))
    u = told["uncoupled"].value
    assert told["coupled"].value == pytest.approx(4 * u / (3 + u))
    assert told["coupled"].value <= 4.0


@given(st.lists(known_loads, min_size=28, max_size=120))
def test_without_gaps_it_is_what_pandas_has(loads):
    """ewm(span, adjust=False), rolling means and SDs."""
    told, series = figures(state_of(loads)), pd.Series(loads)
    assert told.weighted_acute.value == pytest.approx(series.ewm(span=7, adjust=False).mean().iloc[-1])
    assert told.weighted_chronic.value == pytest.approx(series.ewm(span=28, adjust=False).mean().iloc[-1])
    assert told.acute.value == pytest.approx(series.tail(7).mean())
    assert told.chronic.value == pytest.approx(series.tail(28).mean())
    assert told.uncoupled_chronic.value == pytest.approx(series.iloc[-28:-7].mean())
    assert [one.load.value for one in told.sums] == pytest.approx(
        [series.tail(n).sum() for n in (7, 14, 21, 28)]
    )


@given(histories)
def test_with_gaps_the_weight_goes_to_the_days_that_are_known(loads):
    """As a quotient of two of pandas' means, and by a weight of its own for each day."""
    series = pd.Series([np.nan if load is None else load for load in loads], dtype=float)
    for span, state in ((7, state_of(loads).acute), (28, state_of(loads).chronic)):
        parts = [
            one.ewm(span=span, adjust=False).mean().iloc[-1]
            for one in (series.fillna(0.0), series.notna() * 1.0)
        ]
        assert state.mean == pytest.approx(parts[0] / parts[1])
        day = len(loads) - 1
        if day + 1 >= span:
            assert state.mean == pytest.approx(naive_load.weighted(loads, day, span))


@given(histories, st.sampled_from([0, 1]))
@example([500.0] * 40, 0)
@example([100.0] * 10 + [None] * 30 + [250.0] * 30, 1)
def test_one_more_day_tells_what_all_days_at_once_tell(loads, ddof):
    """Every figure of every day: the running state, the columns, and the definitions in exact fractions."""
    columns, state = load_history(as_days(loads), ddof), RunningLoad()
    for day, load in enumerate(loads):
        state = state.after(load)
        told = figures(state, ddof)
        pairs = {
            "week_load": told.week.load, "monotony": told.week.monotony, "strain": told.week.strain,
            "change": told.change, "acute": told.acute, "chronic": told.chronic,
            "uncoupled_chronic": told.uncoupled_chronic, "weighted_acute": told.weighted_acute,
            "weighted_chronic": told.weighted_chronic,
        }  # fmt: skip
        for name, figure in pairs.items():
            column = getattr(columns, name)
            assert bool(column.told[day]) == (figure.value is not None) == (figure.reason is None), name
            assert column.values[day] == pytest.approx(figure.value or 0.0), name
        naive = {
            "acute": naive_load.mean(loads, day, 7), "chronic": naive_load.mean(loads, day, 28),
            "monotony": naive_load.monotony(loads, day, ddof),
        }  # fmt: skip
        for name, value in naive.items():
            assert pairs[name].value == pytest.approx(value), name
        assert state.days == day + 1 and len(state.last) <= 28


def test_a_state_may_be_taken_up_where_it_was_left():
    loads = [float(n % 9 * 50) for n in range(90)]
    assert state_of(loads[:40]).after_all(loads[40:]) == state_of(loads)


@given(histories, st.integers(0, 80))
def test_a_silence_at_once_is_a_silence_day_by_day(loads, days):
    """Its length and the last four weeks exactly, what fades to the last digits."""
    state = state_of(loads)
    once, daily = state.after_silence(days), state.after_all([None] * days)
    assert (once.days, once.last) == (daily.days, daily.last)
    assert [*once.acute, *once.chronic] == pytest.approx([*daily.acute, *daily.chronic], rel=1e-9, abs=0.0)


def test_a_worked_month():
    """Three weeks of 400 0 500 0 600 300 0, then half as much again; computed apart."""
    week = [400.0, 0.0, 500.0, 0.0, 600.0, 300.0, 0.0]
    told = figures(state_of(week * 3 + [1.5 * load for load in week]), 0, "weighted")
    assert told.change == Figure(0.5)
    assert told.weighted_acute.value == pytest.approx(327.512077, abs=5e-7)
    assert told.weighted_chronic.value == pytest.approx(321.125729, abs=5e-7)
    assert told.ratio.value == pytest.approx(1.019887, abs=5e-7)


@pytest.mark.parametrize(
    ("loads", "figure", "reason"),
    [
        ([5.0] * 6, "acute", "fewer_than_7_days"),
        ([5.0] * 27, "chronic", "fewer_than_28_days"),
        ([5.0] * 27, "uncoupled_chronic", "fewer_than_28_days"),
        ([5.0] * 6, "weighted_acute", "fewer_than_7_days"),
        ([5.0] * 27, "weighted_chronic", "fewer_than_28_days"),
        ([5.0] * 13, "change", "fewer_than_14_days"),
        ([5.0, None] * 14, "acute", "unreported_days"),
        ([5.0, None] * 14, "change", "unreported_days"),
        ([0.0] * 7 + [5.0] * 7, "change", "base_is_zero"),
        ([5.0] + [None] * 27, "chronic", "unreported_days"),
    ],
)
def test_why_a_figure_is_not_told(loads, figure, reason):
    assert getattr(figures(state_of(loads)), figure) == Figure(None, reason)


@pytest.mark.parametrize("kind", ["coupled", "uncoupled", "weighted"])
def test_of_too_little_usual_load_nothing_is_a_multiple(kind):
    assert figures(state_of([0.0] * 27 + [30.0]), 0, kind).ratio == Figure(None, "usual_load_too_small")
    assert figures(state_of([30.0] * 20), 0, kind).ratio == Figure(None, "fewer_than_28_days")


def test_of_a_quotient_the_reason_of_either_is_told():
    assert quotient(Figure(None, "a"), Figure(3.0)) == Figure(None, "a")


def test_days_of_rest_and_days_without_a_word_tell_different_things():
    rested, silent = (
        days_of([(0, 300.0), (6, 300.0)], rest_days=range(1, 6)),
        days_of([(0, 300.0), (6, 300.0)]),
    )
    assert load_history(rested).acute.values[6] == pytest.approx(600 / 7)
    assert not load_history(silent).acute.told[6]
    assert load_history(silent).weighted_acute.values[6] == pytest.approx(300.0)


def test_years_without_a_word_fade_all():
    """Nothing is divided by what is too small to be a number, and the day after tells itself."""
    state = state_of([300.0]).after_all([None] * 12_000)
    assert figures(state).weighted_acute == Figure(None, "unreported_days")
    assert state.after(120.0).acute.mean == pytest.approx(120.0)
    loads = [300.0] + [None] * 12_000 + [120.0]
    columns = load_history(as_days(loads))
    assert not columns.weighted_acute.told[-2] and columns.weighted_acute.values[-1] == pytest.approx(120.0)


def test_a_weight_of_spans():
    """2 / (N + 1): 1/4 and 2/29."""
    assert (smoothing(7), smoothing(28)) == (0.25, 2 / 29)
    assert Weighted().mean is None
    with pytest.raises(ValueError, match="a day or more"):
        smoothing(0)
