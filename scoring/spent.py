"""Sets that failed late in a session, whose failure still tells of the fresh athlete (`athletes.calc.tired`).

How much was spent before such a set is known where what went before of the same muscles was all the same work under
the same load, with rests of a minute or more: that is what published totals of repeated sets are of. Shorter rests
and work that only shares muscles leave it to a convention of the model, so there the set goes on telling what was
done and no more. One set of a movement at most, the first that failed: the errors of one day and of one model are
not made smaller by telling them twice, and where the first set of all failed it has told the same already. Nothing
after pain, and nothing after cyclical work, which tires the whole athlete.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final
from uuid import UUID

import numpy as np

from athletes.calc.multiplier import CHOICE, FAILURE, SetsDone
from athletes.calc.tired import Spent, spent_before
from programming.calc.catalogue import CYCLICAL
from programming.calc.variation import REPETITIONS
from programming.plans import VariationEntry
from scoring.calc.attempt import SetEntry
from scoring.set_time import seconds_of

LEAST_REST_S: Final = 60.0
"""Totals of sets are published for rests of one to five minutes (Ratamess et al. 2010, Willardson & Burkett 2005)."""
MOST_BEFORE: Final = 50
"""Sets of the same work before it; nobody keeps the same load for more (ours)."""
DIGITS: Final = 6

Done = tuple[SetEntry, VariationEntry]


def spent_before_failures(sets: Sequence[Done]) -> dict[int, Spent]:
    """What was spent, by the place of the set in the log."""
    found: dict[int, Spent] = {}
    failed: set[UUID] = set()
    for place, (entry, done) in enumerate(sets):
        if entry.ended_by == "pain" or done.movement.capacity_kind == CYCLICAL:
            break
        if entry.ended_by != "failure" or done.movement.id in failed:
            continue
        failed.add(done.movement.id)
        before = _before(sets, place)
        if before is not None:
            found[place] = _rounded(spent_before(before))
    return found


def _rounded(spent: Spent) -> Spent:
    """As it is stored: what else differs is noise of the arithmetic."""
    least, usual, most = (round(value, DIGITS) for value in spent)
    return least, usual, most


def _before(sets: Sequence[Done], place: int) -> SetsDone | None:
    """The sets of the same work up to the place and with it; None where it does not tell what was spent."""
    entry, done = sets[place]
    if entry.unit != REPETITIONS or entry.amount < 1.0 or not done.curve_applies:
        return None
    rows: list[tuple[float, SetEntry]] = []
    clock: float | None = None
    for one, of in sets[: place + 1]:
        if clock is not None:
            if one.rest_before_s is None:
                return None
            clock += one.rest_before_s
        if _is_same(one, of, entry, done):
            if one.amount > 0.0:
                clock = clock or 0.0
                rows.append((clock, one))
        elif _may_share(of, done):
            return None
        if clock is not None:
            clock += seconds_of(one, of)
    return _sets_done(rows, done)


def _sets_done(rows: Sequence[tuple[float, SetEntry]], done: VariationEntry) -> SetsDone | None:
    """None where there are none before the last, too many, or rests that are too short."""
    if not 2 <= len(rows) <= MOST_BEFORE + 1:
        return None
    start = np.array([at for at, _ in rows])
    seconds = np.array([seconds_of(entry, done) for _, entry in rows])
    if (start[1:] - start[:-1] - seconds[:-1] < LEAST_REST_S - 1e-9).any():
        return None
    ended = [FAILURE if entry.ended_by == "failure" else CHOICE for _, entry in rows]
    amount = np.array([float(entry.amount) for _, entry in rows])
    return SetsDone(np.zeros(len(rows), np.int64), start, seconds, amount, np.array(ended, np.int64))


def _is_same(one: SetEntry, of: VariationEntry, entry: SetEntry, done: VariationEntry) -> bool:
    """Whether it is the same work, under the same load."""
    return of.version_id == done.version_id and all(
        getattr(one, name) == getattr(entry, name)
        for name in ("unit", "load_kg", "assistance_kg", "height_cm")
    )


def _may_share(one: VariationEntry, other: VariationEntry) -> bool:
    """Whether two ways to work may take the same muscles; of what nobody says which it takes, they may."""
    takes = [{group for group, _ in entry.variation.muscle_groups} for entry in (one, other)]
    return one.movement.id == other.movement.id or not all(takes) or bool(takes[0] & takes[1])
