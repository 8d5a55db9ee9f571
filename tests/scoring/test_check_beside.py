"""A check set of one work changes other work too, and another may still be asked for: both are said."""

from __future__ import annotations

from typing import Any

import pytest

from scoring.check_beside import CHANGES, beside_told


def content(
    other: str = "push_up_floor", amount: int = 8, load_kg: float | None = None, checks: str = ""
) -> Any:
    settings = {"assistance_kg": None, "height_cm": None}
    return {
        "work": [
            {"work": "a", "variation": "row_45", "load_kg": None, "repetitions": amount * 2, **settings},
            {"work": "b", "variation": other, "load_kg": load_kg, "repetitions": amount, **settings},
        ],
        "check_sets": [{"work": one, "variation_name": f"Push-up {one}"} for one in checks],
    }


@pytest.mark.parametrize(
    ("standing", "following", "said"),
    [
        (content(), content(), ""),
        (content(checks="a"), content(), ""),  # the one that was done
        (content(), content("push_up_box"), f" {CHANGES}"),
        (content(), content(amount=1), f" {CHANGES}"),
        (content(load_kg=5.0), content(load_kg=10.0), f" {CHANGES}"),
        (content(checks="ab"), content(), f" {CHANGES}"),  # theirs is gone
        (content(checks="ab"), content(checks="b"), " Still to be done first: the check set of Push-up b."),
        (
            content(checks="ab"),
            content("push_up_box", checks="bc"),
            f" {CHANGES} Still to be done first: the check sets of Push-up b and Push-up c.",
        ),
    ],
)
def test_what_else_changes_is_told(standing: Any, following: Any, said: str) -> None:
    """Not what changes of the work itself, which is told already."""
    assert beside_told(standing, following, "a") == said


def test_work_that_comes_or_goes_is_a_change() -> None:
    """Where nothing could be given before, or can be given any more."""
    less = {**content(), "work": content()["work"][:1]}
    assert beside_told(less, content(), "a") == beside_told(content(), less, "a") == f" {CHANGES}"
