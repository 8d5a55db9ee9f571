"""Training balance: by hand, and pandas' sums over random books."""

import math
from dataclasses import replace
from typing import Any

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.calc.balance import (
    CYCLICAL,
    SETS,
    Entry,
    Line,
    balance_of,
    entries_of,
    misses_one,
    quality_of,
)
from scoring.calc.profile import ProfiledSet, profile_of

SQUAT = ProfiledSet("a", 5.0, "repetitions", 20.0, 120.0, 2.0, "squat")
ROW = ProfiledSet("b", 500.0, "distance_m", 110.0, 60.0, None, "cyclical", paced=True)
PLANK = ProfiledSet("c", 60.0, "hold_s", 60.0, 60.0, 20.0, "core")


def line(lines: tuple[Line, ...], name: str) -> Line:
    return next(one for one in lines if one.name == name)


def test_sets_are_booked_by_hand() -> None:
    """Five squats with two left are hard, with four left not, of unknown reserve unknown; rowing is another book."""
    sets = [
        SQUAT,
        replace(SQUAT, reserve=3.0),
        replace(SQUAT, reserve=4.0),
        replace(SQUAT, reserve=None),
        ROW,
        replace(ROW, amount=0.0),
        PLANK,
        replace(PLANK, reserve=21.0),
    ]

    found = entries_of(sets, "maximal_strength")

    assert found == (
        Entry(CYCLICAL, "maximal_strength", "cyclical", 1, 0, 0, 110.0),
        Entry(SETS, "maximal_strength", "core", 2, 1, 0, 120.0),
        Entry(SETS, "maximal_strength", "squat", 4, 2, 1, 80.0),
    )


def test_a_set_of_unknown_time_leaves_the_time_unknown() -> None:
    (found,) = entries_of([ROW, replace(ROW, seconds=None)], "aerobic_power")

    assert (found.sets, found.work_s) == (2, None)


@pytest.mark.parametrize(
    ("label", "reps", "expected"),
    [
        ("maximal_strength", 20.0, "local_muscular_endurance"),
        ("power", 3.0, "power"),
        ("power", 20.0, "local_muscular_endurance"),
        ("skill", 3.0, "skill"),
        ("mobility", 20.0, "mobility"),
    ],
)
def test_work_is_booked_under_what_it_trains(label: str, reps: float, expected: str) -> None:
    """Whatever the session is called, save where the length of sets tells nothing."""
    profile = profile_of([replace(SQUAT, amount=reps, reserve=0.0)])

    assert quality_of(label, profile) == expected
    assert quality_of("aerobic_power", profile_of([])) == "unclear"


def test_shares_against_targets_by_hand() -> None:
    """Six hard sets of strength and two of endurance, where half and half is wanted; the rowing has no target."""
    planned = [Entry(SETS, "maximal_strength", "squat", 4, 4, 0, 80.0)]
    done = [
        Entry(SETS, "maximal_strength", "squat", 6, 6, 0, 120.0),
        Entry(SETS, "local_muscular_endurance", "push", 5, 2, 3, None),
        Entry(CYCLICAL, "aerobic_power", "cyclical", 2, 0, 0, 600.0),
    ]
    targets = {"sets_by_quality": {"maximal_strength": 0.5, "local_muscular_endurance": 0.4, "skill": 0.1}}

    found = balance_of(planned, done, targets)

    strength, endurance = (
        line(found.sets_by_quality, name) for name in ("maximal_strength", "local_muscular_endurance")
    )
    assert (strength.planned_share, strength.done_share, strength.ahead) == (1.0, 0.75, 0.25)
    assert endurance.done_share == 0.25
    assert endurance.ahead == pytest.approx(-0.15)
    assert (endurance.done.unknown_sets, endurance.done.work_s) == (3, None)
    assert line(found.sets_by_quality, "skill").ahead == -0.1
    (rowing,) = found.cyclical_by_quality
    assert (rowing.done_share, rowing.target_share, rowing.ahead_reason) == (1.0, None, "no_target")
    assert (rowing.planned_share, rowing.planned_share_reason) == (None, "nothing_counted")


def test_unknown_seconds_have_no_shares() -> None:
    """In the book of seconds; in that of sets seconds decide nothing."""
    done = [
        Entry(CYCLICAL, "aerobic_power", "cyclical", 1, 0, 0, None),
        Entry(CYCLICAL, "aerobic_endurance", "cyclical", 1, 0, 0, 900.0),
        Entry(SETS, "skill", "squat", 1, 1, 0, None),
    ]

    found = balance_of([], done, {"cyclical_by_quality": {"aerobic_power": 1.0}})

    for one in found.cyclical_by_quality:
        assert (one.done_share, one.done_share_reason) == (None, "durations_not_known")
        assert (one.ahead, one.ahead_reason) == (None, "durations_not_known")
    assert line(found.sets_by_quality, "skill").done_share == 1.0


@pytest.mark.parametrize(
    ("shares", "misses"),
    [([0.5, 0.5], False), ([0.333, 0.333, 0.333], False), ([0.33, 0.33, 0.33], True), ([1.006], True)],
)
def test_shares_add_to_one_but_for_rounding(shares: list[float], misses: bool) -> None:
    assert misses_one(shares) is misses


QUALITIES = ["maximal_strength", "skill", "aerobic_power"]
ENTRIES = st.lists(
    st.builds(
        lambda book, quality, pattern, hard, soft, unknown, work: Entry(
            book, quality, pattern, hard + soft + unknown, hard, unknown, work
        ),
        st.sampled_from([SETS, CYCLICAL]),
        st.sampled_from(QUALITIES),
        st.sampled_from(["squat", "hinge"]),
        st.integers(0, 5),
        st.integers(0, 5),
        st.integers(0, 5),
        st.floats(0.0, 3600.0),
    ),
    max_size=12,
)


@given(done=ENTRIES)
def test_against_pandas(done: list[Entry]) -> None:
    """Sums and shares of each division, as pandas groups them; shares add to 1 where there are any."""
    frame: Any = pd.DataFrame([vars(one) for one in done], columns=list(Entry.__dataclass_fields__))

    found = balance_of([], done, {})

    for lines, book, by, unit in (
        (found.sets_by_quality, SETS, "quality", "hard_sets"),
        (found.sets_by_pattern, SETS, "pattern", "hard_sets"),
        (found.cyclical_by_quality, CYCLICAL, "quality", "work_s"),
    ):
        rows = frame[frame["book"] == book]
        expected = rows.groupby(by)[["sets", "hard_sets", "unknown_sets", "work_s"]].sum()
        assert [one.name for one in lines] == sorted(expected.index)
        total = float(rows[unit].sum())
        for one in lines:
            told = expected.loc[one.name]
            assert [one.done.sets, one.done.hard_sets, one.done.unknown_sets] == [
                int(told[name]) for name in ("sets", "hard_sets", "unknown_sets")
            ]
            assert one.done.work_s == pytest.approx(float(told["work_s"]))
            if total > 0.0:
                assert one.done_share == pytest.approx(float(told[unit]) / total)
            else:
                assert (one.done_share, one.done_share_reason) == (None, "nothing_counted")
        if lines and total > 0.0:
            assert math.fsum(one.done_share or 0.0 for one in lines) == pytest.approx(1.0)
