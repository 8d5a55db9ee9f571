"""Load of sessions, days and weeks, against the published example, closed forms and pandas."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pandas as pd
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from athletes.calc.load import (
    BASIS,
    EFFORT_WORDS,
    Figure,
    days_of,
    session_load,
    week_of,
)
from tests.references.load import FOSTER_2001_BY_DAYS, FOSTER_2001_TABLE_5, FOSTER_2001_WEEK

DAYS_OF_TABLE = ("sun", "mon", "tue", "wed", "thu", "fri", "sat")
loads = st.lists(st.integers(0, 1200).map(lambda n: n * 0.5), min_size=7, max_size=7)


def printed_week(ddof):
    days = days_of([(DAYS_OF_TABLE.index(day), float(load)) for day, _, _, load in FOSTER_2001_TABLE_5])
    return week_of(days.loads.tolist(), ddof)


def test_table_5_adds_up_to_the_printed_week():
    """Of its printed loads, which are three times not effort times minutes (named in the reference)."""
    assert printed_week(0).load == Figure(FOSTER_2001_WEEK["load"])
    products = [session_load(effort, minutes) for _, effort, minutes, _ in FOSTER_2001_TABLE_5]
    differ = [n for n, row in enumerate(FOSTER_2001_TABLE_5) if products[n] != row[3]]
    assert differ == [0, 5, 7]
    assert sum(products) == 3780.0


@pytest.mark.parametrize("ddof", [0, 1])
def test_table_5_by_days_is_not_its_printed_monotony_and_says_on_what_basis(ddof):
    """1.26 is of nine sessions; by days, which its text asks for, it is 1.21 or 1.12; each week names its basis."""
    week = printed_week(ddof)
    assert week.monotony.value == pytest.approx(FOSTER_2001_BY_DAYS[ddof], abs=5e-5)
    assert (week.basis, week.ddof, BASIS) == ("daily", ddof, "daily")
    sessions = [float(row[3]) for row in FOSTER_2001_TABLE_5]
    by_sessions = np.mean(sessions) / np.std(sessions)
    assert round(float(by_sessions), 2) == FOSTER_2001_WEEK["monotony"] != round(week.monotony.value, 2)
    assert FOSTER_2001_WEEK["load"] * round(float(by_sessions), 2) == FOSTER_2001_WEEK["strain"]


@pytest.mark.parametrize("sessions", range(1, 7))
@pytest.mark.parametrize("load", [1.0, 420.0, 6000.0])
def test_equal_sessions_in_a_week_have_the_closed_form(sessions, load):
    """sqrt(k / (7 - k)), whatever the load and the order of the days."""
    week = week_of([load] * sessions + [0.0] * (7 - sessions))
    assert week.monotony.value == pytest.approx(sqrt(sessions / (7 - sessions)))
    assert week.strain.value == pytest.approx(sessions * load * sqrt(sessions / (7 - sessions)))


@pytest.mark.parametrize("load", [0.0, 300.0, 0.1, 1e-3])
def test_a_week_of_equal_days_has_no_monotony(load):
    """Never infinity, and no strain of a week of rest: 0 / 0. What can be told is."""
    week = week_of([load] * 7)
    assert week.monotony == week.strain == Figure(None, "zero_variance")
    assert week.load.value == pytest.approx(7 * load) and week.daily_sd == Figure(0.0)


def test_a_day_of_which_nobody_said_anything_is_not_a_day_of_rest():
    """With rest the week is told, with an unknown day only what was reported."""
    rested = days_of([(0, 420.0), (2, 300.0), (6, 480.0)], rest_days=[1, 3, 4, 5])
    silent = days_of([(0, 420.0), (2, 300.0), (6, 480.0)], rest_days=[1, 3, 4])
    assert rested.known.all() and rested.loads.tolist() == [420.0, 0.0, 300.0, 0.0, 0.0, 0.0, 480.0]
    assert silent.known.tolist() == [True] * 5 + [False, True]
    told = [load if known else None for load, known in zip(silent.loads.tolist(), silent.known, strict=True)]
    week = week_of(told)
    assert (week.reported_load, week.reported_days) == (1200.0, 6)
    missing = Figure(None, "unreported_days")
    assert (week.load, week.daily_mean, week.daily_sd, week.monotony, week.strain) == (missing,) * 5
    assert week_of(rested.loads.tolist()).load == Figure(1200.0)


def test_a_worked_week():
    """420, 0, 300, 600, 0, 480, 0: computed apart with pandas, by both ddof."""
    series = pd.Series([420.0, 0.0, 300.0, 600.0, 0.0, 480.0, 0.0])
    for ddof, monotony, strain in ((0, 1.083944, 1951.0993), (1, 1.003537, 1806.3670)):
        week = week_of(series.tolist(), ddof)
        assert week.monotony.value == pytest.approx(monotony, abs=5e-7)
        assert week.strain.value == pytest.approx(strain, abs=5e-5)
        assert week.daily_sd.value == pytest.approx(series.std(ddof=ddof))


@given(loads)
def test_both_ddof_differ_by_a_constant(week):
    """Sample to population: sqrt(6 / 7), always."""
    assume(len(set(week)) > 1)
    pair = [week_of(week, ddof).monotony.value for ddof in (0, 1)]
    assert pair[1] == pytest.approx(sqrt(6 / 7) * pair[0])


@given(loads, st.floats(0.01, 100.0))
def test_monotony_has_no_scale_and_strain_has_one(week, factor):
    """All loads times c: the same monotony, c times the strain; the order of days changes neither."""
    assume(len(set(week)) > 1)
    one, other = week_of(week), week_of([factor * load for load in reversed(week)])
    assert other.monotony.value == pytest.approx(one.monotony.value)
    assert other.strain.value == pytest.approx(factor * one.strain.value)


def test_two_sessions_of_a_day_are_one_day():
    """Summed before anything is made of the days; effort 0 is a session of no load, and the day is known."""
    days = days_of([(10, session_load(7, 40)), (10, session_load(3, 30)), (11, session_load(0, 45))])
    assert days.first_day == 10 and days.loads.tolist() == [370.0, 0.0] and days.known.all()


def test_nothing_known_makes_no_days():
    assert days_of([]) is None
    assert days_of([], rest_days=[4]).loads.tolist() == [0.0]


@pytest.mark.parametrize(("effort", "minutes"), [(11, 60), (-1, 60), (5, -1), (5, 1441), (float("nan"), 60)])
def test_what_is_no_session_is_refused(effort, minutes):
    with pytest.raises(ValueError, match="must lie"):
        session_load(effort, minutes)


@pytest.mark.parametrize("load", [-1.0, float("nan"), float("inf")])
def test_what_is_no_load_is_refused(load):
    with pytest.raises(ValueError, match="finite"):
        days_of([(1, load)])
    with pytest.raises(ValueError, match="seven days"):
        week_of([1.0] * 6)


def test_every_whole_effort_has_words_of_its_own():
    assert len(set(EFFORT_WORDS)) == 11
