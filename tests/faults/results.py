"""The results that the fault tests send, and what the rules of their session make of them by hand."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid4

from django.utils import timezone

# Sets 1, 2 and 3 end before their item is done; the session charges 20 s for each.
BREAKS, PENALTY_S = 3, 60.0


@dataclass(frozen=True)
class Result:
    """One athlete's only result, with the key under which it is sent, however often."""

    athlete: UUID
    body: dict[str, Any]
    key: str
    score_s: float


def result_of(athlete: UUID, session: UUID, number: int) -> Result:
    """A result that differs from everybody else's: in time, and in how many repetitions came first."""
    elapsed_s = 420.0 + number
    fresh = 20 + number % 25
    sets = [
        _set("a", "row_45", fresh, "failure"),
        _set("b", "goblet_squat", 40 + number % 20, "failure"),
        _set("a", "row_45", 10, "planned"),
        _set("b", "goblet_squat", 40 - number % 20, "planned"),
        _set("a", "row_45", 50 - fresh, "planned"),
    ]
    performed_at = timezone.now() - dt.timedelta(minutes=3)
    body = {
        "session": str(session),
        "athlete": str(athlete),
        "client_id": f"phone-{uuid4().hex}",
        "performed_at": performed_at.isoformat(),
        "set_log": {"sets": sets, "elapsed_s": elapsed_s},
    }
    return Result(athlete, body, uuid4().hex, elapsed_s + PENALTY_S)


def _set(work: str, variation: str, repetitions: int, ended_by: str) -> dict[str, Any]:
    entry = {"work": work, "variation": variation, "repetitions": repetitions, "ended_by": ended_by}
    return {**entry, "load_kg": 16.0} if variation == "goblet_squat" else entry
