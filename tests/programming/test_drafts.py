"""A draft against the catalogue: penalty work counts, and work is counted as its variations can be."""

from __future__ import annotations

from typing import Any

import pytest

from programming.drafts import draft_problems
from tests.programming.support import draft, stocked
from tests.support.cast import Cast
from tests.support.pointers import WORK

FIVE_SQUATS = {
    "key": "p",
    "movement": "squat",
    "repetitions": 5,
    "as_written": {"variation": "goblet_squat", "load_kg": 16},
}


def with_penalty(**changes: Any) -> dict[str, Any]:
    """The good draft with five squats after each break."""
    whole = draft()
    whole["blocks"][0]["rules"]["break"] = {
        "counts": "set_ended_early",
        "penalty": "served_work",
        "penalty_work": {**FIVE_SQUATS, **changes},
    }
    return whole


def problems(cast: Cast, document: dict[str, Any]) -> list[tuple[str, str]]:
    """(pointer, code) of what keeps the draft from being published."""
    with cast.inside():
        return [(problem.pointer, problem.code) for problem in draft_problems(document)]


AT = "/blocks/0/rules/break/penalty_work"


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, []),
        ({"movement": "moonwalk"}, [(f"{AT}/movement", "unknown_movement")]),
        ({"as_written": {"variation": "row_45"}}, [(f"{AT}/as_written/variation", "unknown_variation")]),
        ({"as_written": {"variation": "goblet_squat"}}, [(f"{AT}/as_written/load_kg", "missing_setting")]),
    ],
)
def test_penalty_work_is_looked_up_like_any_work(cast: Cast, changes: dict[str, Any], expected: Any) -> None:
    """Its movement, variation and settings are the catalogue's."""
    stocked(cast)

    assert problems(cast, with_penalty(**changes)) == expected


def test_a_row_is_not_counted_in_metres(cast: Cast) -> None:
    """An amount in a unit that the variation is not counted in is named at the amount, for each variation."""
    stocked(cast)
    whole = draft()
    del whole["blocks"][0]["work"][0]["repetitions"]
    whole["blocks"][0]["work"][0]["distance_m"] = 400
    whole["blocks"][0]["aim"]["conditions"] = [{"kind": "effort", "lower": 5}]

    assert problems(cast, whole) == [(f"/blocks/0/{WORK}/0/distance_m", "not_counted_so")] * 2
