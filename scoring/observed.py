"""What logged sets tell about an athlete's fresh capacity.

The first set of each movement is fresh. A later one is not: it tells only that at least so many repetitions, or so
long a hold, are possible when fresh, and that only when it says more than the first set did. Cyclical work tires the
whole athlete, and is tired by everything: only the first set of all, done to failure, is an all-out trial; every
other one says that at least so much is possible in the time that it took, unless another set said so already.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from athletes.actions.observations import ObservationRow
from athletes.moments import Moment
from programming.calc.catalogue import CYCLICAL, HOLD
from programming.calc.variation import DISTANCE, ENERGY, HOLD_SECONDS, REPETITIONS
from programming.queries import VariationEntry
from scoring.calc.attempt import SetEntry


@dataclass(frozen=True)
class Logged:
    """A logged set with the variation that was done."""

    entry: SetEntry
    done: VariationEntry


def observations_of(logged: Sequence[Logged], at: Moment) -> list[ObservationRow]:
    """Observations of an attempt's sets, in their order; `ordinal` is the set's number."""
    first: dict[UUID, float] = {}
    trials: dict[UUID, list[ObservationRow]] = {}
    rows = []
    for ordinal, item in enumerate(logged):
        movement, row = item.done.movement.id, None
        if _is_trial(item):
            row = _trial(ordinal, item, at)
            if any(_implies(other, row) for other in trials.setdefault(movement, [])):
                continue
            trials[movement].append(row)
        elif not _is_kept(item):
            continue
        elif movement not in first:
            first[movement] = item.entry.amount
            row = _row(ordinal, item, at, *_fresh(item.entry))
        elif item.entry.amount > first[movement]:
            row = _row(ordinal, item, at, "at_least", None)
        if row is not None:
            rows.append(row)
    return rows


def _is_kept(item: Logged) -> bool:
    """Whether a capacity is kept of what the set was counted in; a hold of no seconds is none."""
    entry = item.entry
    if entry.unit == REPETITIONS:
        return item.done.curve_applies
    return entry.unit == HOLD_SECONDS and item.done.movement.capacity_kind == HOLD and entry.amount > 0.0


def _is_trial(item: Logged) -> bool:
    """Cyclical work whose amount and time are known."""
    entry = item.entry
    cyclical = entry.unit in (DISTANCE, ENERGY) and item.done.movement.capacity_kind == CYCLICAL
    return cyclical and entry.amount > 0.0 and bool(entry.duration_s)


def _trial(ordinal: int, item: Logged, at: Moment) -> ObservationRow:
    if item.entry.ended_by == "failure":
        kind = "maximal" if ordinal == 0 else "at_least"
    else:
        kind = "at_least" if item.entry.ended_by == "planned" else "at_least_weak"
    return replace(_row(ordinal, item, at, kind, None), seconds=item.entry.duration_s)


def _implies(one: ObservationRow, other: ObservationRow) -> bool:
    """Whether `one` says all that `other` says: as much in no more time, and not less surely."""
    if other.kind == "maximal" or one.unit != other.unit or one.seconds is None or other.seconds is None:
        return False
    surer = one.kind != "at_least_weak" or other.kind == "at_least_weak"
    return surer and (one.amount or 0.0) >= (other.amount or 0.0) and one.seconds <= other.seconds


def _fresh(entry: SetEntry) -> tuple[str, float | None]:
    """(kind, repetitions in reserve) of a fresh set by the reason it ended."""
    if entry.ended_by == "failure":
        return ("to_failure" if entry.amount > 0 else "zero"), None
    if entry.ended_by == "planned":
        in_reserve = entry.rir is not None and entry.unit == REPETITIONS
        return ("rir", float(entry.rir or 0)) if in_reserve else ("at_least", None)
    return "at_least_weak", None


def _row(ordinal: int, item: Logged, at: Moment, kind: str, rir: float | None) -> ObservationRow:
    counted = item.entry.unit == REPETITIONS
    return ObservationRow(
        ordinal=ordinal,
        movement_id=item.done.movement.id,
        variation_version_id=item.done.version_id,
        local_date=at.day,
        kind=kind,
        load_kg=item.entry.load_kg,
        assistance_kg=item.entry.assistance_kg,
        height_cm=item.entry.height_cm,
        repetitions=float(item.entry.amount) if counted else 0.0,
        rir=rir,
        unit=item.entry.unit,
        amount=None if counted else item.entry.amount,
        hour=at.hour,
    )
