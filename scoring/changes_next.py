"""What the next prescription of the same movement changes, for each condition that a result has missed. No writes.

Read from what is prescribed, never stored: the next coming session after the result in which the athlete has work of
the movement, its newest prescription against the one that held for it before the result; where there was none yet,
against what the result was done under. Whoever does not see that session's prescription is not told of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from programming.calc.load import load_said
from programming.calc.revision import UNITS
from programming.plans import SessionPlan, session_plan
from scoring.models import Attempt, OfficialScore, Prescription
from scoring.names import names_of
from scoring.queries import prescriptions_visible_to
from scoring.stored_content import as_current
from scoring.words import whole
from services.tenancy.actor import Actor

MISSED: Final = "missed"
NOTHING_CHANGES: Final = "nothing changes, a single result counts little"
BEFORE: Final = "before"
THIS_TIME: Final = "this time"
BY_ALL: Final = "by all that is known by now, not by this result alone"


@dataclass(frozen=True)
class _Work:
    """What a prescription says of one work item: its entry, and the amount of its first planned set."""

    entry: Mapping[str, Any]
    first: str | None


def tell_changes(actor: Actor, attempt: Attempt, scores: Sequence[OfficialScore]) -> None:
    """Give each condition that was missed `next`, a sentence (five queries, none where nothing was missed); the rows
    are not saved.
    """
    missed = [(row, one) for row in scores for one in row.aim if one["state"] == MISSED]
    if not missed:
        return
    plan, coming = session_plan(attempt.session_id), _coming(actor, attempt)
    for row, outcome in missed:
        outcome["next"] = _sentence(_movements(plan, row.block, outcome["work"]), coming, attempt, plan)


def _coming(actor: Actor, attempt: Attempt) -> list[Prescription]:
    """Of sessions that begin after the result, in their order, the newest prescription of each last."""
    rows = prescriptions_visible_to(actor).filter(
        athlete_id=attempt.athlete_id,
        session__starts_at__gt=attempt.performed_at,
        session__cancelled_at__isnull=True,
    )
    rows = rows.exclude(session_id=attempt.session_id).select_related("session")
    return list(rows.order_by("session__starts_at", "session_id", "number"))


def _movements(plan: SessionPlan, block: str, work: str | None) -> list[str]:
    """The movements that a condition speaks about, in the order of the block."""
    found = plan.doc.block(block)
    items = () if found is None else found.items
    return list(dict.fromkeys(item.movement for item in items if work in (None, item.key)))


def _sentence(
    movements: Sequence[str], coming: Sequence[Prescription], attempt: Attempt, plan: SessionPlan
) -> str:
    """Of the first coming session with any of the movements."""
    for session_id in dict.fromkeys(row.session_id for row in coming):
        rows = [row for row in coming if row.session_id == session_id]
        newest = rows[-1]
        earlier = [
            row for row in rows if row.issued_at <= attempt.created_at
        ]  # the newest where none was issued since
        old, since = (earlier[-1], BEFORE) if earlier else (attempt.prescription, THIS_TIME)
        told = [part for movement in movements for part in _of_movement(movement, old, newest, since)]
        if told:
            why = f", {BY_ALL}" if any(one.endswith((BEFORE, THIS_TIME)) for one in told) else ""
            return f"Next, on {newest.session.local_date}: {'; '.join(told)}{why}."
    names = names_of(plan)
    return f"Nothing further with {' or '.join(names.movement(one) for one in movements)} is planned yet."


def _of_movement(movement: str, old: Prescription | None, new: Prescription, since: str) -> Iterator[str]:
    """Nothing where the session has no such work."""
    after, before = _work_of(new, movement), None if old is None else _work_of(old, movement)
    if after is None and as_current(new.content)["hold"] is not None:
        yield "nothing is prescribed while a hold stands"
        return
    if after is None:
        if before is not None and old is not None and old.session_id == new.session_id:
            yield f"{before.entry['variation_name']} is not prescribed any more"
        return
    name = after.entry["variation_name"]
    if before is None:
        yield f"{name}{_setting_of(after.entry)}, with nothing to compare it with"
        return
    changes = list(_changes(before, after, same=old is not None and old.session_id == new.session_id))
    yield f"{name}, {', '.join(changes)} {since}" if changes else f"{name}, {NOTHING_CHANGES}"


def _work_of(row: Prescription, movement: str) -> _Work | None:
    content = as_current(row.content)
    found = [one for one in content["work"] if one.get("movement") == movement]
    if not found:
        return None
    entry = found[0]
    sets = [one for one in content["plan"] if one["work"] == entry["work"]]
    return _Work(entry, _amount(sets[0]) if sets else None)


def _changes(before: _Work, after: _Work, *, same: bool) -> Iterator[str]:
    """Each difference that the athlete notices; same: of one session, so that amounts can be compared."""
    old, new = before.entry, after.entry
    if old["variation"] != new["variation"]:
        yield f"instead of {old['variation_name']}{_setting_of(old)}"
    elif _setting_of(old) != _setting_of(new):
        yield f"{_setting_of(new).lstrip(', ') or 'no load'} instead of {_setting_of(old).lstrip(', ') or 'no load'}"
    if same and _amount(old) != _amount(new):
        yield f"{_amount(new)} instead of {_amount(old)}"
    if after.first is not None and before.first not in (None, after.first):
        yield f"first set planned {after.first} instead of {before.first}"


def _setting_of(one: Mapping[str, Any]) -> str:
    """The load, assistance and height of a version, after a comma; empty where it has none."""
    parts = []
    if one["load_kg"] is not None:
        kg = load_said(one["load_kg"], one.get("implements", 1))
        parts.append(f"a vest of {kg}" if one.get("worn") else kg)
    if one["assistance_kg"] is not None:
        parts.append(f"{one['assistance_kg']:g} kg of assistance")
    if one["height_cm"] is not None:
        parts.append(f"{one['height_cm']:g} cm high")
    return "".join(f", {part}" for part in parts)


def _amount(one: Mapping[str, Any]) -> str:
    for unit in UNITS:
        if one.get(unit) is not None:
            return whole(float(one[unit]), unit)
    return "as many as possible"
