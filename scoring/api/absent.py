"""Why a number of a score is null."""

from __future__ import annotations

from typing import Any


def reason_unless(value: Any, why: str) -> str | None:
    """The reason beside a number that may be null: null while there is a number."""
    return None if value is not None else why


def no_sum(unit: str | None) -> str:
    """Why there is no single amount of the last round."""
    return "several_units" if unit == "rounds" else "rounds_not_scored"


def not_a_time(state: str) -> str:
    """Why there is no time: it was another score that was won, or what the state says."""
    return "another_kind_of_score" if state == "finished" else state
