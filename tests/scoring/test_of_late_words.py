"""Why far more than of late is cut: in the athlete's own numbers, and short enough to be read."""

from __future__ import annotations

from typing import Any

import pytest

from scoring.names import Names
from scoring.of_late_words import of_late_told

NAMES = Names(works={"a": "Push-up", "b": "Push-up, second time"}, movements={"push_up": "Push-up"})


def told(*works: str, **known: Any) -> list[str]:
    content = {
        "feasible": True,
        "check_sets": [{"work": one} for one in known.pop("asked", "")],
        "work": [{"work": one, "movement": "push_up"} for one in works],
        "reasons": [{"block": "main", "code": "far_more_than_of_late", "work": one} for one in works],
    }
    usual = {"most_repetitions": 60, "usual": 15, "since_the_day_before": 0, "by_age": False}
    return list(of_late_told(content, {"unaccustomed": {"push_up": usual | known}}, NAMES))


@pytest.mark.parametrize(
    ("known", "said"),
    [
        ({}, "at most 15 repetitions in two days were done in the last four weeks, so it is cut to 60 in all."),
        ({"asked": "a"}, "at most 15 repetitions in two days were done in the last four weeks, so it is cut to 60 in"
         " all, the check set included."),
        ({"checked": 12}, "at most 15 repetitions in two days were done in the last four weeks, so it is cut to 60 in"
         " all, the check set included."),
        ({"since_the_day_before": 12}, "at most 15 repetitions in two days were done in the last four weeks, and 12"
         " since the day before, so it is cut to 60 in all."),
        ({"since_the_day_before": 198, "not_looked_at": 140}, "at most 15 repetitions in two days were done in the"
         " last four weeks, and 198 since the day before (140 of them not reviewed yet), so it is cut to 60 in all."),
        ({"usual": 0, "most_repetitions": 30}, "it was not done in the last four weeks, so it is cut to 30 in all, an"
         " ordinary beginning."),
        ({"usual": 0, "most_repetitions": 30, "checked": 40}, "it was not done in the last four weeks, but for the"
         " check set, so it is cut to 30 in all, the check set included, an ordinary beginning."),
        ({"usual": 0, "since_the_day_before": 1, "most_repetitions": 29}, "in the last four weeks it was done only"
         " since the day before (1 repetition), so it is cut to 29 in all."),
        ({"by_age": True}, "at most 15 repetitions in two days were done in the last four weeks, so it is cut to 60"
         " in all, less at this age than of others."),
        ({"most_repetitions": None}, "at most 15 repetitions in two days were done in the last four weeks, so it is"
         " cut by what the check set takes."),
    ],
)  # fmt: skip
def test_what_was_done_and_what_there_is_now(known: dict[str, Any], said: str) -> None:
    """At most 40 words; of the age only where it decides."""
    [line] = told("a", **known)
    assert line == f"Push-up: {said}"
    assert len(line.split()) <= 40


def test_a_movement_in_two_places_is_told_once() -> None:
    """The number is of both together."""
    assert len(told("a", "b")) == 1


def test_what_was_stored_before_has_no_numbers() -> None:
    """And is told so."""
    content = {
        "feasible": True, "work": [{"work": "a"}],
        "reasons": [{"block": "main", "code": "far_more_than_of_late", "work": "a"}],
    }  # fmt: skip
    assert list(of_late_told(content, {}, NAMES)) == [
        "Push-up: far more is written than was done of late, so it is cut."
    ]
    assert list(of_late_told(content | {"feasible": False}, {}, NAMES)) == []
