"""The same time on the wall on another day, against a clock that is watched minute by minute."""

from __future__ import annotations

import datetime as dt

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from programming.calc.wall_time import at_wall_time, monday_of, wall_time_of

MINUTE = dt.timedelta(minutes=1)
# Changes of an hour and of half an hour, in both halves of the year, at midnight, none, and a skipped day.
ZONES = {
    "Europe/Berlin": [dt.date(2030, 3, 31), dt.date(2030, 10, 27)],
    "America/New_York": [dt.date(2030, 3, 10), dt.date(2030, 11, 3)],
    "Australia/Lord_Howe": [dt.date(2030, 4, 7), dt.date(2030, 10, 6)],
    "America/Santiago": [dt.date(2030, 4, 6), dt.date(2030, 9, 8)],
    "Asia/Kolkata": [dt.date(2030, 3, 31)],
    "Pacific/Apia": [dt.date(2011, 12, 30)],
}


def watched(day: dt.date, time: dt.time, zone: str) -> tuple[dt.datetime, bool]:
    """(instant, whether the time was skipped) by looking at the clock every minute of three days."""
    start = dt.datetime.combine(day, dt.time(), tzinfo=dt.UTC) - dt.timedelta(days=1)
    instants = pd.date_range(start, periods=3 * 24 * 60, freq="min")
    shown = instants.tz_convert(zone).tz_localize(None)
    wanted = pd.Timestamp(dt.datetime.combine(day, time))
    hits = (shown == wanted).nonzero()[0]
    if len(hits):
        return instants[hits[0]].to_pydatetime(), False
    last = (shown < wanted).nonzero()[0][-1]
    return (instants[last] + (wanted - shown[last])).to_pydatetime(), True


@given(st.data())
def test_it_is_what_a_watched_clock_shows(data: st.DataObject) -> None:
    """On days of clock changes and around them; what comes twice is the first, what is skipped comes later."""
    zone = data.draw(st.sampled_from(sorted(ZONES)))
    day = data.draw(st.sampled_from(ZONES[zone])) + dt.timedelta(days=data.draw(st.integers(-1, 1)))
    time = data.draw(st.sampled_from([dt.time(h, m) for h in range(24) for m in (0, 15, 30, 45)]))
    found = at_wall_time(day, time, zone)
    instant, skipped = watched(day, time, zone)
    assert (found.instant, found.skipped) == (instant, skipped)
    if not skipped:
        assert (found.local_date, wall_time_of(found.instant, zone)) == (day, time)


@pytest.mark.parametrize(
    ("day", "monday"),
    [("2030-03-25", "2030-03-25"), ("2030-03-31", "2030-03-25"), ("2030-01-01", "2029-12-31")],
)
def test_a_week_begins_on_monday(day: str, monday: str) -> None:
    """ISO 8601: from Monday to Sunday, also across the year's end."""
    assert monday_of(dt.date.fromisoformat(day)) == dt.date.fromisoformat(monday)
