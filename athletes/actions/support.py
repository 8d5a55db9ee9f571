"""What the actions of this app have in common: once-only inserts, dates, and who may change an athlete."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from typing import Final, TypeVar
from uuid import UUID
from zoneinfo import ZoneInfo, available_timezones

from django.db import IntegrityError, models, transaction

from athletes.errors import ClientIdReused, NotYourLocation
from athletes.models import Athlete
from services.problems import FieldProblem, Forbidden, Invalid
from services.tenancy.actor import STAFF, Actor, Role
from services.tenancy.compiled import Given, compiled
from services.tenancy.context import current_org

CLOCK_TOLERANCE = dt.timedelta(minutes=5)
YEARS_AGO: Final = 10
"""Ours: twice the longest log that anybody brings along, and no memory of a capacity lasts so long."""
MOST_AGO: Final = dt.timedelta(days=366 * YEARS_AGO)

RowT = TypeVar("RowT", bound=models.Model)


def insert_once(row: RowT, *, same: Collection[str]) -> tuple[RowT, bool]:
    """Insert the row, unless its `client_id` is stored already with the same content; (row, was inserted).

    `same` names the fields that make the content. Raises ClientIdReused for another content. One query
    without a client_id, four with one (the savepoint keeps a lost race from ending the transaction).
    """
    if row.client_id is None:  # type: ignore[attr-defined]
        row.save(force_insert=True)
        return row, True
    stored = _by_client_id(row)
    if stored is None:
        try:
            with transaction.atomic():
                row.save(force_insert=True)
            return row, True
        except IntegrityError:
            stored = _by_client_id(row)
            if stored is None:  # it was another rule that refused the row
                raise
    if any(getattr(stored, name) != getattr(row, name) for name in same):
        raise ClientIdReused()
    return stored, False


def _by_client_id(row: RowT) -> RowT | None:
    found: RowT | None = type(row)._default_manager.filter(client_id=row.client_id).first()  # type: ignore[attr-defined]
    return found


def refuse_future(instant: dt.datetime, now: dt.datetime, pointer: str) -> None:
    """Raise Invalid when the instant lies further ahead than a clock may be wrong."""
    if instant > now + CLOCK_TOLERANCE:
        detail = (
            f"This lies in the future (it is {now:%Y-%m-%dT%H:%M}Z). Check the clock, the date, the offset."
        )
        raise Invalid(errors=[FieldProblem(pointer, "in_the_future", detail)])


def refuse_long_ago(instant: dt.datetime, now: dt.datetime, athlete: Athlete, pointer: str) -> None:
    """Raise Invalid for what was done before the athlete was born, or longer ago than anybody can mean.

    A year that no clock was set to is the usual cause. A log of several years comes in; a roster is taken as it is.
    """
    day = local_date(instant, athlete.zone)
    if athlete.born_on is not None and day < athlete.born_on:
        born = f"before the athlete was born ({athlete.born_on})"
        detail = f"This is on {day}, {born}. Check the year, and the date of birth."
        raise Invalid(errors=[FieldProblem(pointer, "before_birth", detail)])
    if instant < now - MOST_AGO:
        detail = (
            f"This is on {day}, more than {YEARS_AGO} years ago. Check the year and the clock of the device; what is"
            " older tells nothing of today."
        )
        raise Invalid(errors=[FieldProblem(pointer, "too_long_ago", detail)])


def hold_athlete(athlete_id: UUID) -> None:
    """Let others who hold this athlete wait until the transaction ends (one query); rows that refer to it do not.

    For what decides from something read of the athlete: take it before that read, and before the athlete's change is
    recorded, lest two wait for each other. A row that is only added (a report, a screening, a hold, a limit) rests
    on no such read and takes none of this: its `client_id`, or the version of a row, settles who was first.
    """
    _held(athlete=athlete_id)


@compiled
def _held(athlete: Given) -> models.QuerySet[Athlete, UUID]:
    rows = Athlete.objects.select_for_update(no_key=True).filter(id=athlete)
    return rows.values_list("id", flat=True)


def require_org() -> UUID:
    """The organisation that the caller is inside of."""
    org_id = current_org()
    if org_id is None:
        raise RuntimeError("Rows belong to an organisation; enter its tenant first.")
    return org_id


def local_date(instant: dt.datetime, zone: str) -> dt.date:
    return instant.astimezone(ZoneInfo(zone)).date()


def check_zone(zone: str, pointer: str = "#/zone") -> None:
    """Raise Invalid unless this is a name of the IANA time zone database."""
    if zone not in available_timezones():
        detail = "Use a name of the IANA time zone database, for example Europe/Lisbon."
        raise Invalid(errors=[FieldProblem(pointer, "unknown_zone", detail)])


def refuse(problems: Sequence[FieldProblem]) -> None:
    """Raise Invalid when there are problems."""
    if problems:
        raise Invalid(errors=problems)


def require_staff(actor: Actor) -> None:
    if actor.role not in STAFF:
        raise Forbidden("This is set by the coaching staff; ask them.")


def require_location(actor: Actor, location_id: object) -> None:
    """Raise unless the actor may change athletes of this location."""
    require_staff(actor)
    if actor.role == Role.LOCATION_STAFF and location_id not in actor.location_ids:
        raise NotYourLocation()


def require_own_or_staff(actor: Actor, athlete: Athlete) -> None:
    """Raise unless the actor is this athlete or staff of where the athlete trains."""
    if actor.role == Role.ATHLETE:
        if athlete.person_id != actor.person_id:
            raise Forbidden()
    else:
        require_location(actor, athlete.location_id)
