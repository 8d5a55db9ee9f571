"""Of which conditions and of which work it is told that the first set is meant rested."""

from __future__ import annotations

from typing import Any

import pytest

from scoring.names import Names
from scoring.rested_words import rested_told

NAMES = Names(
    works={"a": "Push-up", "b": "Bench press", "d": "Dip on a bench"},
    groups={
        "push_up_floor": frozenset({"chest", "triceps"}),
        "bench_press_barbell": frozenset({"chest", "triceps"}),
        "bench_dip": frozenset({"triceps"}),
    },
)
VARIATIONS = {"a": "push_up_floor", "b": "bench_press_barbell", "d": "bench_dip"}
WINDOW = {"kind": "first_set", "work": "b", "lower": 8.0, "upper": 16.0}


def told(*conditions: dict[str, Any], works: str = "ab") -> list[str]:
    """Of a plan that begins the bench press with two, after the other work."""
    content = {
        "feasible": True,
        "work": [
            {"work": one, "variation": VARIATIONS[one], "block": "main", "repetitions": 10} for one in works
        ],
        "plan": [*({"work": one, "repetitions": 10} for one in works if one != "b"), {"work": "b", "repetitions": 2}],
        "conditions": list(conditions),
    }  # fmt: skip
    return list(rested_told(content, NAMES))


def test_two_windows_of_one_work_are_told_once() -> None:
    assert len(told(WINDOW, {**WINDOW, "lower": 9.0})) == len(told(WINDOW)) == 1


@pytest.mark.parametrize(
    "other",
    [
        {**WINDOW, "kind": "later_sets"},  # those are not meant rested
        {**WINDOW, "kind": "share_of_available", "lower": 60.0},
        {**WINDOW, "lower": None},  # two are no less than no number
    ],
)
def test_of_other_conditions_nothing_is_said(other: dict[str, Any]) -> None:
    assert told(other) == []
    assert len(told(other, WINDOW)) == 1


def test_two_that_tire_are_told_as_two() -> None:
    [one], [two] = told(WINDOW), told(WINDOW, works="adb")
    assert "since Push-up in the same block tires the same muscles." in one
    assert "since Push-up and Dip on a bench in the same block tire the same muscles." in two
