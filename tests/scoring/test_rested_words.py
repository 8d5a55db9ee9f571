"""A plan that begins with less than the window of a first set says why, where the block's other work is why."""

from __future__ import annotations

from typing import Any

import pytest

from scoring.names import Names
from scoring.rested_words import rested_told

NAMES = Names(
    works={"a": "Push-up", "b": "Bench press", "c": "Squat"},
    groups={
        "push_up_floor": frozenset({"chest", "triceps"}),
        "bench_press_barbell": frozenset({"chest", "front_shoulder"}),
        "body_weight_squat": frozenset({"quadriceps"}),
    },
)
VARIATIONS = {"a": "push_up_floor", "b": "bench_press_barbell", "c": "body_weight_squat"}


def content(works: str, begins: float, *, asked: float | None = 10.0, blocks: str = "mmm") -> dict[str, Any]:
    return {
        "feasible": True,
        "work": [
            {"work": one, "variation": VARIATIONS[one], "block": block, "repetitions": asked}
            for one, block in zip(works, blocks, strict=False)
        ],
        "plan": [
            {"work": one, "repetitions": count} for one, count in (("a", 10), ("b", begins), ("b", 9))
        ],
        "conditions": [
            {"kind": "first_set", "work": "b", "lower": 8.0, "upper": 16.0},
            {"kind": "time", "work": None, "lower": None, "upper": 900.0},
        ],
    }  # fmt: skip


def test_what_shares_the_muscles_is_named() -> None:
    """Two of eight to sixteen, after push-ups; the squat beside them shares nothing."""
    assert list(rested_told(content("abc", 2), NAMES)) == [
        "The first set of Bench press is meant rested; in the plan it begins with 2, since Push-up in the same block"
        " tires the same muscles."
    ]


@pytest.mark.parametrize(
    "told",
    [
        content("abc", 8),  # within the window
        content("abc", 5, asked=5.0),  # as much as is asked for at a time
        content("bc", 2),  # nothing shares the muscles
        content("ab", 2, blocks="mn"),  # in another block, which is foreseen from a fresh state
        {**content("abc", 2), "plan": []},  # after a check set
        {**content("abc", 2), "feasible": False},
        {**content("abc", 2), "plan": [{"work": one, "repetitions": 2} for one in "bab"]},  # b comes first
    ],
)
def test_else_nothing_is_said(told: dict[str, Any]) -> None:
    """The plan breaks it up for its own sake, or begins as asked."""
    assert list(rested_told(told, NAMES)) == []


def test_work_without_an_amount_of_its_own_begins_with_less_all_the_same() -> None:
    """As much as possible."""
    assert len(list(rested_told(content("ab", 5, asked=None), NAMES))) == 1
