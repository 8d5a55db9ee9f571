"""What logged sets tell about an athlete's fresh capacity.

The first set of each movement is fresh. A later one is not: it tells only that at least so many repetitions, or so
long a hold, are possible when fresh, and that only when it says more than the sets before it: more of the same, or as
much under more load. Attempts at a maximum are few repetitions after full rests, so that one that fails tells what is
not possible, wherever it stands; unless the same was lifted in the session, for then it was the lift that failed and
not the strength. Where it is known how much was spent before a later set that failed (`scoring.spent`), it tells what
is not possible fresh, too. Cyclical work tires the
whole athlete, and is tired by everything: only the first set of all, done to failure, is an all-out trial; every
other one says that at least so much is possible in the time that it took, unless another set said so already.
A set that pain ended tells nothing: all it could say is that more is possible, which is no answer to pain.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final
from uuid import UUID

from athletes.actions.observations import ObservationRow
from athletes.calc.tired import Spent
from athletes.moments import Moment
from programming.calc.catalogue import CYCLICAL
from programming.calc.units import tells
from programming.calc.variation import HOLD_SECONDS, REPETITIONS
from programming.plans import SessionPlan, VariationEntry
from scoring.blocks import find_item
from scoring.calc.attempt import SetEntry
from scoring.spent import spent_before_failures

FULL_REST_S: Final = 120.0
"""Ours: after two minutes the fast part of the fatigue is gone (0.4 % of it is left), and of a single's slow part
less is left than a day differs from another. Three to five minutes are common practice."""
MOST_OF_AN_ATTEMPT: Final = 3.0
"""Ours: triples tire by half a repetition at most, which is the noise of a day; longer sets would."""


@dataclass(frozen=True)
class Logged:
    """A logged set with the variation that was done.

    attempt_rest_s: the rest before it, where it is an attempt (at a maximum, for instance); None: it is none.
    """

    entry: SetEntry
    done: VariationEntry
    attempt_rest_s: float | None = None


def tells_capacity(item: Logged) -> bool:
    """Whether a capacity is kept of what the set was counted in."""
    return tells(item.done.movement.capacity_kind, item.done.variation, item.entry.unit)


def attempt_rest_s(entry: SetEntry, plan: SessionPlan) -> float | None:
    """The rest before a set that is an attempt, where it is not noted that of the rules; None: it is none."""
    found = find_item(plan, entry.work)
    if found is None or found[0].rules.order != "attempts":
        return None
    return found[0].rules.rest_between_s if entry.rest_before_s is None else entry.rest_before_s


def observations_of(logged: Sequence[Logged], at: Moment) -> list[ObservationRow]:
    """Observations of an attempt's sets, in their order; `ordinal` is the set's number."""
    before: dict[UUID, list[Logged]] = defaultdict(list)
    trials: dict[UUID, list[ObservationRow]] = {}
    rows = []
    spent = _spent(logged)
    for ordinal, item in enumerate(logged):
        movement, row = item.done.movement.id, None
        if _is_trial(item):
            row = _trial(ordinal, item, at)
            if _hurt(item) or any(_implies(other, row) for other in trials.setdefault(movement, [])):
                continue
            trials[movement].append(row)
        elif not _is_kept(item):
            continue
        elif _is_disproved(item, logged):
            row = _row(ordinal, item, at, "at_least", None) if item.entry.amount > 0.0 else None
        elif not before[movement]:
            row = _row(ordinal, item, at, *_fresh(item.entry))
        elif ordinal in spent:
            row = _spent_row(_row(ordinal, item, at, "to_failure", None), spent[ordinal])
        else:
            kind = _of_later(item, before[movement])
            row = None if kind is None else _row(ordinal, item, at, kind, None)
        if _is_kept(item) and not _is_trial(item):
            before[movement].append(item)
        if row is not None and not _hurt(item):
            rows.append(row)
    return rows


def _spent(logged: Sequence[Logged]) -> dict[int, Spent]:
    """What was spent before later sets that tell of the fresh athlete.

    Nothing beside attempts, which have rules of their own.
    """
    if any(item.attempt_rest_s is not None for item in logged):
        return {}
    return spent_before_failures([(item.entry, item.done) for item in logged])


def _spent_row(row: ObservationRow, spent: Spent) -> ObservationRow:
    least, usual, most = spent
    return replace(row, spent_least=least, spent_usual=usual, spent_most=most)


def _hurt(item: Logged) -> bool:
    return item.entry.ended_by == "pain"


def _of_later(item: Logged, before: Sequence[Logged]) -> str | None:
    """The kind of what a set tells that is not fresh; None: nothing that the sets before it did not tell."""
    if _is_rested_miss(item, before):
        known = any(_is_rested_miss(one, ()) and _is_under(one, item) for one in before)
        return None if known else _fresh(item.entry)[0]
    if item.entry.amount <= 0.0 or any(_is_over(one, item) for one in before):
        return None
    same = any(_is_same_way(one, item) for one in before)
    if not same and item.entry.amount <= before[0].entry.amount:
        return None
    return "at_least_weak" if item.entry.ended_by == "no_rep" else "at_least"


def _is_rested_miss(item: Logged, before: Sequence[Logged]) -> bool:
    """An attempt that failed though nothing before it can have tired the athlete much."""
    rest_s = item.attempt_rest_s
    few = all(one.entry.amount <= MOST_OF_AN_ATTEMPT for one in (item, *before))
    return item.entry.ended_by == "failure" and few and rest_s is not None and rest_s >= FULL_REST_S


def _is_disproved(item: Logged, logged: Sequence[Logged]) -> bool:
    """Whether an attempt failed at what was lifted in the same session, before or afterwards."""
    if item.attempt_rest_s is None or item.entry.ended_by != "failure":
        return False
    return any(
        _is_over(one, item) and one.entry.amount > item.entry.amount and one.entry.ended_by != "no_rep"
        for one in logged
        if one.done.movement.id == item.done.movement.id
    )


def _is_same_way(one: Logged, other: Logged) -> bool:
    """Whether the loads of two sets can be compared as they stand."""
    same = one.done.version_id == other.done.version_id and one.entry.height_cm == other.entry.height_cm
    return same and one.entry.unit == other.entry.unit


def _is_over(one: Logged, other: Logged) -> bool:
    """Whether `one` was as much as `other`, under no less load."""
    return _is_same_way(one, other) and _kg(one) >= _kg(other) and one.entry.amount >= other.entry.amount


def _is_under(one: Logged, other: Logged) -> bool:
    """Whether `one` was no more than `other`, under no more load."""
    return _is_same_way(one, other) and _kg(one) <= _kg(other) and one.entry.amount <= other.entry.amount


def _kg(item: Logged) -> float:
    return (item.entry.load_kg or 0.0) - (item.entry.assistance_kg or 0.0)


def _is_kept(item: Logged) -> bool:
    """Whether it is a set that tells a load or seconds; a hold of no seconds is none."""
    unit, told = item.entry.unit, tells_capacity(item)
    return told and (unit == REPETITIONS or (unit == HOLD_SECONDS and item.entry.amount > 0.0))


def _is_trial(item: Logged) -> bool:
    """Cyclical work whose amount and time are known."""
    entry = item.entry
    cyclical = tells_capacity(item) and item.done.movement.capacity_kind == CYCLICAL
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
