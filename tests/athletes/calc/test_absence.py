"""Return to training, against the figures of the joint consensus of CSCCa and NSCA.

Caterisano et al. 2019, Strength and Conditioning Journal 41(3):1-23, doi 10.1519/SSC.0000000000000477. The volume
cuts are as read; who gets two and who four weeks, frequency and work to rest are from memory.
"""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from athletes.calc.absence import (
    KINDS,
    SILENT_DAYS,
    intensity_relative_volume,
    lifting_allowed,
    most_volume,
    return_scheme,
    silence_before,
    week_of_return,
)


def test_a_hundred_repetitions_become_50_70_80_and_90():
    """50, 30, 20 and 10 % less in the four weeks of somebody new, in whole repetitions."""
    weeks = [return_scheme("new", week) for week in range(4)]
    assert [most_volume(100, week.volume_share) for week in weeks if week] == [50, 70, 80, 90]
    assert return_scheme("new", 4) is None


@pytest.mark.parametrize(
    ("kind", "length"),
    [("returning", 2), ("new", 4), ("after_heat_illness", 4), ("after_rhabdomyolysis", 4)],
)
def test_how_long_a_return_takes(kind, length):
    """Two weeks for who was away, four for who is new or was ill by heat or rhabdomyolysis (from memory)."""
    assert [return_scheme(kind, week) is not None for week in range(6)] == [
        week < length for week in range(6)
    ]


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_is_taken_to_failure_in_the_first_week(kind):
    """In the first week only; frequency and rest relax from the first week to the second."""
    first, second = return_scheme(kind, 0), return_scheme(kind, 1)
    assert (first.to_failure, second.to_failure) == (False, True)
    assert (first.max_sessions, second.max_sessions) == (3, 4)
    assert (first.work_rest, second.work_rest) == (4.0, 3.0)


def test_lifting_by_the_published_examples():
    """4 x 10 at half of the maximum makes 20 and is allowed, 5 x 10 at 80 % makes 40 and is not; 30 is the edge."""
    week = return_scheme("returning", 0)
    assert intensity_relative_volume(4, 10, 0.5) == pytest.approx(20.0)
    assert intensity_relative_volume(5, 10, 0.8) == pytest.approx(40.0)
    assert lifting_allowed(week, 4, 10, 0.5)
    assert not lifting_allowed(week, 5, 10, 0.8)
    assert lifting_allowed(week, 5, 10, 0.6)
    assert not lifting_allowed(week, 5, 10, 0.61)
    assert (week.irv_low, week.irv_high) == (11.0, 30.0)


@given(st.integers(0, 100_000), st.sampled_from([0.5, 0.7, 0.8, 0.9, 1.0]))
def test_a_cap_is_the_largest_whole_number_within_the_share(baseline, share):
    """By integers alone, without the rounding of doubles."""
    tenths = round(share * 10)
    assert most_volume(baseline, share) == baseline * tenths // 10


@pytest.mark.parametrize(("silent", "asked"), [(13, False), (SILENT_DAYS, True), (24, True), (400, True)])
def test_two_weeks_are_a_silence(silent, asked):
    """From the last day of training to the session; what lies after the session says nothing."""
    day = dt.date(2030, 3, 22).toordinal()
    found = silence_before([day - silent, day - silent - 3, day, day + 2], day)
    assert (found is not None) == asked
    if found is not None:
        assert (found.first_day, found.last_day) == (day - silent + 1, day - 1)


def test_who_never_trained_does_not_return():
    """No training before, no silence."""
    assert silence_before([], 100) is None
    assert silence_before([100, 120], 100) is None


@given(st.sets(st.integers(0, 120), max_size=12), st.integers(1, 120))
def test_a_silence_is_what_a_calendar_shows(trained, day):
    """Against ticking off the days one by one."""
    blank = 0
    while day - 1 - blank >= 0 and day - 1 - blank not in trained:
        blank += 1
    began = day - 1 - blank >= 0
    found = silence_before(sorted(trained), day)
    assert (found is not None) == (began and blank + 1 >= SILENT_DAYS)
    if found is not None:
        assert found.last_day - found.first_day + 1 == blank


def test_weeks_are_counted_from_the_first_day_back():
    """Seven days each; nobody is ahead of their return."""
    assert [week_of_return(100, day) for day in (90, 100, 106, 107, 113, 114)] == [0, 0, 0, 1, 1, 2]


@pytest.mark.parametrize(
    "call",
    [
        lambda: return_scheme("returning", -1),
        lambda: return_scheme("holiday", 0),
        lambda: most_volume(float("nan"), 0.5),
        lambda: intensity_relative_volume(3, 10, 1.2),
    ],
)
def test_nonsense_is_refused(call):
    """No clamping of what cannot be meant."""
    with pytest.raises(ValueError, match=r"must|unknown|volume"):
        call()
