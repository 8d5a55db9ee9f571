"""What is different for one athlete on the day: stored once, and the prescription follows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass
from uuid import UUID

from django.db import transaction

from athletes.actions.support import hold_athlete, insert_once, refuse, require_staff
from athletes.day import DROP_IN, KIT_IN_USE, SORE, standing_day_changes
from athletes.models import Athlete, DayChange, DayChangeEnd
from athletes.participation import athletes_visible_in
from programming.calc.catalogue import HAZARDS, MUSCLE_GROUPS
from programming.calc.kit import parse_kit
from programming.models import LocationKit, ScheduledSession
from scoring.actions.floor import require_floor, require_open
from services.changes.actions import record_change
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import Actor, Role

CONTENT = ("session_id", "athlete_id", "kind", "items", "hazards", "muscle_groups", "note")


@dataclass(frozen=True)
class Change:
    """A change as it is told. Only the lists of its kind may be filled: items, or hazards and muscle groups."""

    kind: str
    items: Collection[str] = ()
    hazards: Collection[str] = ()
    muscle_groups: Collection[str] = ()
    note: str = ""


@transaction.atomic
def make_day_change(
    *,
    actor: Actor,
    session: ScheduledSession,
    athlete_id: UUID,
    change: Change,
    now: dt.datetime,
    client_id: str | None = None,
) -> tuple[DayChange, bool]:
    """Store the change for this session only, and ask for the prescription; (row, was created).

    Who drops in already does so once: the change that stands is the answer, whoever sends it again.
    A drop-in is made by the staff of where the athlete trains or of the session. Raises Invalid, Forbidden,
    NotYourLocation, SessionOver, ResultStored, ClientIdReused.
    """
    athlete = _athlete(actor, session, athlete_id, change.kind)
    if change.kind == DROP_IN:
        require_staff(actor)
    require_floor(actor, athlete, session)
    _check(change, session, athlete)
    # No result comes between the look and the row; one that was sent again is answered also when one has come.
    hold_athlete(athlete.id)
    if client_id is None or not DayChange.objects.filter(client_id=client_id).exists():
        known = _dropping_in(session, athlete) if change.kind == DROP_IN else None
        if known is not None:
            return known, False
        require_open(athlete, session, now)
    row, created = insert_once(
        DayChange(
            org_id=actor.org_id,
            session=session,
            athlete=athlete,
            kind=change.kind,
            items=sorted(set(change.items)),
            hazards=sorted(set(change.hazards)),
            muscle_groups=sorted(set(change.muscle_groups)),
            note=change.note,
            client_id=client_id,
            made_by_id=actor.person_id,
        ),
        same=CONTENT,
    )
    if created:
        record_change(kind="athlete", subject=athlete.id, from_date=session.local_date)
    return row, created


@transaction.atomic
def end_day_change(*, actor: Actor, change: DayChange) -> None:
    """Let the change hold no longer; ending it twice is ending it once. Raises Forbidden, NotYourLocation."""
    require_floor(actor, change.athlete, change.session)
    if change.kind == DROP_IN:
        require_staff(actor)
    hold_athlete(change.athlete_id)
    if DayChangeEnd.objects.filter(day_change=change).exists():
        return
    DayChangeEnd.objects.create(org_id=actor.org_id, day_change=change, ended_by_id=actor.person_id)
    record_change(kind="athlete", subject=change.athlete_id, from_date=change.session.local_date)


def _athlete(actor: Actor, session: ScheduledSession, athlete_id: UUID, kind: str) -> Athlete:
    """Whom the actor sees there; a drop-in may be named by the staff that receives them as well."""
    rows = athletes_visible_in(actor, session)
    receives = actor.role == Role.LOCATION_STAFF and session.location_id in actor.location_ids
    if kind == DROP_IN and receives:
        rows = Athlete.objects.all()
    elif receives:
        guests = DayChange.objects.filter(session=session, kind=DROP_IN).values("athlete_id")
        rows = rows | Athlete.objects.filter(id__in=guests)
    athlete = rows.filter(id=athlete_id, is_active=True).first()
    if athlete is None:
        detail = "There is no such athlete whom you may change here, or they do not train any more."
        raise Invalid(errors=[FieldProblem("#/athlete", "unknown_reference", detail)])
    return athlete


def _dropping_in(session: ScheduledSession, athlete: Athlete) -> DayChange | None:
    """The drop-in of the athlete that stands."""
    standing = standing_day_changes().filter(session=session, athlete=athlete, kind=DROP_IN)
    return standing.order_by("created_at", "id").first()


def _check(change: Change, session: ScheduledSession, athlete: Athlete) -> None:
    """Raise Invalid for lists of another kind, words that nobody uses, and kit that is not there anyway."""
    problems = _misplaced(change)
    for name, known in (("hazards", HAZARDS), ("muscle_groups", MUSCLE_GROUPS)):
        for index, word in enumerate(getattr(change, name)):
            if word not in known:
                detail = f"Use one of: {', '.join(sorted(known))}."
                problems.append(FieldProblem(f"#/{name}/{index}", f"unknown_{name.rstrip('s')}", detail))
    if change.kind == KIT_IN_USE:
        problems += _not_there(change, session, athlete)
    refuse(problems)


def _misplaced(change: Change) -> list[FieldProblem]:
    wanted = {KIT_IN_USE: ("items",), SORE: ("hazards", "muscle_groups"), DROP_IN: ()}[change.kind]
    problems = [
        FieldProblem(f"#/{name}", "not_of_this_kind", f"Leave this out of a change of kind {change.kind}.")
        for name in ("items", "hazards", "muscle_groups")
        if name not in wanted and getattr(change, name)
    ]
    if wanted and not any(getattr(change, name) for name in wanted):
        detail = f"Name at least one: {' or '.join(wanted)}."
        problems.append(FieldProblem(f"#/{wanted[0]}", "required", detail))
    return problems


def _not_there(change: Change, session: ScheduledSession, athlete: Athlete) -> list[FieldProblem]:
    guest = not session.location.is_remote and _dropping_in(session, athlete) is not None
    document = None if guest else athlete.kit
    if document is None:
        kits = LocationKit.objects.filter(location_id=session.location_id)
        document = kits.values_list("document", flat=True).first()
    there = set() if document is None else set(parse_kit(document).items)
    detail = f"That is not in the kit that this session uses: {', '.join(sorted(there)) or 'nothing'}."
    return [
        FieldProblem(f"#/items/{index}", "not_in_the_kit", detail)
        for index, item in enumerate(change.items)
        if item not in there
    ]
