"""What logged sets tell about an athlete's fresh capacity.

The first set of each movement is fresh. A later one is not: it tells only that at least so many repetitions are
possible when fresh, and that only when it says more than the first set did.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from athletes.actions.observations import ObservationRow
from programming.queries import VariationEntry
from scoring.calc.attempt import SetEntry


@dataclass(frozen=True)
class Logged:
    """A logged set with the variation that was done."""

    entry: SetEntry
    done: VariationEntry


def observations_of(logged: Sequence[Logged], day: dt.date) -> list[ObservationRow]:
    """Observations of an attempt's sets, in their order; `ordinal` is the set's number."""
    first: dict[UUID, int] = {}
    rows = []
    for ordinal, item in enumerate(logged):
        if not item.done.curve_applies:
            continue
        if item.done.movement.id not in first:
            first[item.done.movement.id] = item.entry.repetitions
            rows.append(_row(ordinal, item, day, *_fresh(item.entry)))
        elif item.entry.repetitions > first[item.done.movement.id]:
            rows.append(_row(ordinal, item, day, "at_least", None))
    return rows


def _fresh(entry: SetEntry) -> tuple[str, float | None]:
    """(kind, repetitions in reserve) of a fresh set by the reason it ended."""
    if entry.ended_by == "failure":
        return ("to_failure" if entry.repetitions > 0 else "zero"), None
    if entry.ended_by == "planned":
        return ("at_least", None) if entry.rir is None else ("rir", float(entry.rir))
    return "at_least_weak", None


def _row(ordinal: int, item: Logged, day: dt.date, kind: str, rir: float | None) -> ObservationRow:
    return ObservationRow(
        ordinal=ordinal,
        movement_id=item.done.movement.id,
        variation_version_id=item.done.version_id,
        local_date=day,
        kind=kind,
        load_kg=item.entry.load_kg,
        assistance_kg=item.entry.assistance_kg,
        height_cm=item.entry.height_cm,
        repetitions=float(item.entry.repetitions),
        rir=rir,
    )
