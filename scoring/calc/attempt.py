"""What an athlete did, as the calculation sees it: a set log, or totals only.

Both come from stored, already validated JSON; nothing here judges what they say.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

EndedBy = Literal["planned", "failure", "pain", "no_rep", "clock", "other"]


@dataclass(frozen=True)
class SetEntry:
    """One set. rest_before_s: seconds since the set before it ended, of whatever item; None is unknown."""

    work: str
    repetitions: int
    ended_by: EndedBy = "planned"
    rest_before_s: float | None = None
    duration_s: float | None = None
    rir: int | None = None
    variation: str | None = None
    load_kg: float | None = None
    assistance_kg: float | None = None
    height_cm: float | None = None


@dataclass(frozen=True)
class SetLog:
    """Sets in the order they were done, and the clock at the end of the last one."""

    sets: tuple[SetEntry, ...]
    elapsed_s: float | None = None


@dataclass(frozen=True)
class Totals:
    """The clock, the number of breaks and the repetitions of each work item; None is unknown."""

    elapsed_s: float | None
    breaks: int | None
    repetitions: tuple[tuple[str, int], ...]


def totals_from(payload: Mapping[str, object]) -> Totals:
    """Totals from validated JSON; TypeError when it was not validated."""
    repetitions, breaks = payload.get("repetitions") or {}, payload.get("breaks")
    if not isinstance(repetitions, Mapping) or not (breaks is None or isinstance(breaks, int)):
        raise TypeError("repetitions must be an object and breaks a whole number")
    return Totals(_seconds(payload.get("elapsed_s")), breaks, tuple(sorted(repetitions.items())))


def _seconds(value: object) -> float | None:
    if value is None:
        return None
    if not isinstance(value, (int, float)):
        raise TypeError("elapsed_s must be a number")
    return float(value)
