"""Where the lines between early, asked about and another week lie, a minute on either side."""

import datetime as dt
from types import SimpleNamespace
from typing import Any

import pytest

from scoring.timing import is_early, timing_findings

STARTS = dt.datetime(2030, 6, 5, 18, 0, tzinfo=dt.UTC)
MINUTE = dt.timedelta(minutes=1)


@pytest.mark.parametrize(("before", "early"), [(-MINUTE, False), (dt.timedelta(), False), (MINUTE, True)])
def test_more_than_twelve_hours_ahead_is_early(before: dt.timedelta, early: bool) -> None:
    assert is_early(STARTS - dt.timedelta(hours=12) - before, STARTS) is early


@pytest.mark.parametrize(
    ("days", "beyond", "codes"),
    [
        (-3, -MINUTE, []),
        (-3, MINUTE, ["before_the_session"]),
        (-6, -MINUTE, ["before_the_session"]),
        (-6, MINUTE, ["long_before_session"]),
        (6, -MINUTE, []),
        (6, MINUTE, ["long_after_session"]),
    ],
)
def test_from_three_and_six_days_away_it_is_asked_about(
    days: int, beyond: dt.timedelta, codes: list[str]
) -> None:
    plan: Any = SimpleNamespace(starts_at=STARTS, is_cancelled=False)
    away = dt.timedelta(days=days) + (beyond if days > 0 else -beyond)
    assert [one.code for one in timing_findings(STARTS + away, plan)] == codes
