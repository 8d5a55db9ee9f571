"""Limits of an athlete: hazards of movements that must not be prescribed for a time."""

from __future__ import annotations

import datetime as dt
from typing import TypedDict, Unpack

from django.db import transaction

from athletes.actions.support import refuse, require_location, require_own_or_staff
from athletes.models import Athlete, Limitation
from programming.calc.catalogue import HAZARDS
from services.api.conditional import delete_versioned, update_versioned
from services.changes.actions import record_change
from services.problems import FieldProblem
from services.tenancy.actor import Actor


class LimitationFields(TypedDict, total=False):
    """What of a limitation may be changed; a limitation without `until_date` holds until it is lifted."""

    note: str
    from_date: dt.date
    until_date: dt.date | None


def add_limitation(
    *,
    actor: Actor,
    athlete: Athlete,
    hazard: str,
    from_date: dt.date,
    until_date: dt.date | None = None,
    note: str = "",
) -> Limitation:
    """Keep a hazard away from the athlete. Athletes may add one of their own; only staff shorten or lift it.

    Raises Invalid, Forbidden.
    """
    require_own_or_staff(actor, athlete)
    _check(hazard=hazard, from_date=from_date, until_date=until_date)
    with transaction.atomic():
        row = Limitation.objects.create(
            org_id=actor.org_id,
            athlete=athlete,
            hazard=hazard,
            note=note,
            from_date=from_date,
            until_date=until_date,
            set_by_id=actor.person_id,
        )
        record_change(kind="athlete", subject=athlete.id, from_date=from_date)
    return row


def change_limitation(
    *, actor: Actor, limitation: Limitation, expected: int, **fields: Unpack[LimitationFields]
) -> Limitation:
    """Change the dates or the note. Raises Invalid, Forbidden, PreconditionFailed."""
    require_location(actor, limitation.athlete.location_id)
    start = fields.get("from_date", limitation.from_date)
    _check(
        hazard=limitation.hazard,
        from_date=start,
        until_date=fields.get("until_date", limitation.until_date),
    )
    earliest = min(start, limitation.from_date)
    with transaction.atomic():
        changed = update_versioned(limitation, expected, **fields)
        record_change(kind="athlete", subject=limitation.athlete_id, from_date=earliest)
    return changed


def lift_limitation(*, actor: Actor, limitation: Limitation, expected: int) -> None:
    """Remove a limitation. Raises Forbidden, PreconditionFailed."""
    require_location(actor, limitation.athlete.location_id)
    with transaction.atomic():
        delete_versioned(limitation, expected)
        record_change(kind="athlete", subject=limitation.athlete_id, from_date=limitation.from_date)


def _check(*, hazard: str, from_date: dt.date, until_date: dt.date | None) -> None:
    problems = []
    if hazard not in HAZARDS:
        detail = f"Use one of: {', '.join(sorted(HAZARDS))}."
        problems.append(FieldProblem("#/hazard", "unknown_hazard", detail))
    if until_date is not None and until_date < from_date:
        detail = "The last day lies before the first."
        problems.append(FieldProblem("#/until_date", "contradiction", detail))
    refuse(problems)
