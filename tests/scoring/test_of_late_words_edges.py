"""Of which work and for which reasons it is told that far more was written than was done of late."""

from __future__ import annotations

from typing import Any

import pytest

from scoring.names import Names
from scoring.of_late_words import of_late_told

NAMES = Names(works={"a": "Push-up", "b": "Row"}, movements={"push_up": "Push-up", "row": "Row"})
FAR_MORE = "far_more_than_of_late"
KNOWN = {"usual": 15, "most_repetitions": 60, "since_the_day_before": 0, "by_age": False}
BASIS = {"unaccustomed": {"push_up": KNOWN, "row": KNOWN | {"usual": 40, "most_repetitions": 90}}}


def told(*reasons: tuple[str, str], basis: dict[str, Any] = BASIS) -> list[str]:
    content = {
        "feasible": True,
        "work": [{"work": "a", "movement": "push_up"}, {"work": "b", "movement": "row"}],
        "reasons": [{"block": "main", "code": code, "work": work} for code, work in reasons],
    }
    return list(of_late_told(content, basis, NAMES))


def test_each_movement_is_told_by_its_own_numbers() -> None:
    first, second = told((FAR_MORE, "a"), (FAR_MORE, "b"))
    assert first.startswith("Push-up: at most 15 repetitions ") and "cut to 60 in all" in first
    assert second.startswith("Row: at most 40 repetitions ") and "cut to 90 in all" in second


@pytest.mark.parametrize("code", ["capped_volume", "own_volume", "aim_given_up_for_safety"])
@pytest.mark.parametrize("basis", [BASIS, {}])
def test_other_reasons_are_told_elsewhere(code: str, basis: dict[str, Any]) -> None:
    """Beside it, and alone."""
    assert told((code, "a"), basis=basis) == []
    assert len(told((code, "a"), (FAR_MORE, "b"), basis=basis)) == 1
