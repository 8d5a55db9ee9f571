"""A day at many locations: a line each, with numbers alone. Who has no version, and why, is told of one at a time."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from programming.horizon import PRESCRIBED_AHEAD
from services.console.day_lines import Counts
from services.console.words import DASH, counted

MOST_WHOLE: Final = 12
"""Locations that are told session by session; where more have something on, they are folded into lines."""


@dataclass(frozen=True)
class Tally:
    """Sessions that are held, and cancelled ones; how many take part in the former, whoever does in two counted
    twice, and what came of it. due: for how many versions are worked out by now; the others are not waited for yet.
    """

    sessions: int = 0
    cancelled: int = 0
    there: int = 0
    due: int = 0
    ready: int = 0
    results: int = 0
    reviews: int = 0

    @property
    def without(self) -> int:
        """How many wait for a version, or were told why there is none."""
        return max(0, self.due - self.ready)


@dataclass(frozen=True)
class Fold:
    """A location in one line; day: its own date, "" where it is that of all; address: of the page that unfolds it."""

    name: str
    day: str
    address: str
    sessions: str
    athletes: str
    ready: str
    without: str
    results: str
    reviews: str


def tally(sessions: Sequence[Any], counts: Counts, now: dt.datetime) -> Tally:
    """Of one location on one day."""
    held = [(one, counts.there[one.id]) for one in sessions if one.cancelled_at is None]
    due = [(one, there) for one, there in held if one.starts_at - PRESCRIBED_AHEAD <= now]
    return Tally(
        sessions=len(held),
        cancelled=sum(one.cancelled_at is not None for one in sessions),
        there=sum(there for _, there in held),
        due=sum(there for _, there in due),
        ready=sum(counts.versions[one.id][True] for one, _ in due),
        results=sum(counts.results.get(one.id, 0) for one, _ in held),
        reviews=sum(counts.reviews.get(one.id, 0) for one, _ in held),
    )


def fold(name: str, day: str, address: str, told: Tally) -> Fold:
    """What came in is told also where nobody takes part any more: who sent it may have left since."""
    return Fold(
        name=name,
        day=day,
        address=address,
        sessions=_sessions(told),
        athletes=_athletes(told),
        ready=str(told.ready) if told.due else DASH,
        without=str(told.without) if told.due else DASH,
        results=str(told.results) if told.there or told.results else DASH,
        reviews=str(told.reviews) if told.there or told.reviews else DASH,
    )


def _athletes(told: Tally) -> str:
    if not told.sessions:
        return DASH
    return str(told.there) if told.there else "nobody whom you see"


def _sessions(told: Tally) -> str:
    if not told.cancelled:
        return str(told.sessions)
    return f"{told.sessions}, and {told.cancelled} cancelled"


def in_all(told: Sequence[Tally]) -> str:
    """One sentence of all locations."""
    said = [f"{counted(sum(one.sessions for one in told), 'session')} at {counted(len(told), 'location')}"]
    if due := sum(one.due for one in told):
        said.append(f"{sum(one.ready for one in told)} of {counted(due, 'version')} found")
    if results := sum(one.results for one in told):
        said.append(f"{counted(results, 'result')} in")
    if reviews := sum(one.reviews for one in told):
        said.append(f"{reviews} to look at")
    return "; ".join(said) + "."
