"""Athletes: taken in and changed."""

from __future__ import annotations

import datetime as dt
from typing import Any, TypedDict, Unpack
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from athletes.actions.support import (
    check_zone,
    insert_once,
    local_date,
    require_location,
    require_own_or_staff,
)
from athletes.models import Athlete, ReportReview
from athletes.safeties import safeties
from athletes.safety_errors import OwnHold, OwnReport
from athletes.safety_words import MAY_RELEASE
from programming.calc.kit import KitError, parse_kit
from programming.calc.possible import impossible_kit
from programming.errors import field_problems
from services.api.conditional import update_versioned
from services.changes.actions import record_change
from services.problems import FieldProblem, Forbidden, Invalid
from services.tenancy.actor import COACHES, Actor, Role
from services.tenancy.models import Location, Membership
from services.tenancy.queries import locations_visible_to

CONTENT = ("name", "location_id", "sex", "born_on", "zone", "kit", "trains_alone")
OWN_FIELDS = frozenset({"kit", "zone", "trains_alone"})


class AthleteFields(TypedDict, total=False):
    """What of an athlete may be set.

    kit is a kit document or None for the location's; person_id gives a member the athlete's own view.
    """

    name: str
    location_id: UUID
    sex: str
    born_on: dt.date | None
    zone: str
    kit: dict[str, Any] | None
    trains_alone: bool
    is_active: bool
    person_id: UUID | None


def create_athlete(
    *,
    actor: Actor,
    name: str,
    location_id: UUID,
    sex: str = "",
    born_on: dt.date | None = None,
    zone: str | None = None,
    kit: dict[str, Any] | None = None,
    trains_alone: bool = False,
    client_id: str | None = None,
) -> tuple[Athlete, bool]:
    """Take in an athlete; (row, was created). Without a zone, the location's is used.

    Raises Invalid, Forbidden, ClientIdReused.
    """
    location = _location(actor, location_id)
    _check(kit=kit, zone=zone or location.zone)
    row = Athlete(
        org_id=actor.org_id,
        name=name,
        location_id=location.id,
        sex=sex,
        born_on=born_on,
        zone=zone or location.zone,
        kit=kit,
        trains_alone=trains_alone,
        client_id=client_id,
    )
    with transaction.atomic():
        athlete, created = insert_once(row, same=CONTENT)
        if created:
            record_change(kind="athlete", subject=athlete.id)
    return athlete, created


def update_athlete(
    *, actor: Actor, athlete: Athlete, expected: int, **fields: Unpack[AthleteFields]
) -> Athlete:
    """Change what is named, if the row still has the expected version.

    Athletes change their own kit, zone and whether they train alone. Whoever is held, or has a report that nobody has
    seen, stays the athlete: else they could release themselves as somebody else. Raises Invalid, Forbidden, OwnHold,
    OwnReport, PreconditionFailed.
    """
    require_own_or_staff(actor, athlete)
    beyond = sorted(set(fields) - OWN_FIELDS)
    if actor.role == Role.ATHLETE and beyond:
        raise Forbidden(f"Ask the coaching staff to change {', '.join(beyond)}.")
    if "location_id" in fields:
        _location(actor, fields["location_id"])
    if athlete.person_id == actor.person_id != fields.get("person_id", actor.person_id):
        _require_free(athlete)
    person_id = fields.get("person_id")
    if person_id is not None:
        _check_member(actor, person_id)
    _check(kit=fields.get("kit"), zone=fields.get("zone"))
    with transaction.atomic():
        born_on = athlete.born_on
        changed = update_versioned(athlete, expected, **fields)
        record_change(kind="athlete", subject=athlete.id)
        if changed.born_on != born_on:
            record_change(kind="birth_date", subject=athlete.id)
    return changed


def _require_free(athlete: Athlete) -> None:
    """Raise OwnReport, OwnHold where somebody else has to look at the athlete first."""
    if ReportReview.objects.filter(report__athlete=athlete, acknowledged_at=None).exists():
        raise OwnReport()
    today = local_date(timezone.now(), athlete.zone)
    if any(hold.code in MAY_RELEASE for hold in safeties([athlete.id], today)[athlete.id].holds):
        raise OwnHold()


def _location(actor: Actor, location_id: UUID) -> Location:
    location = locations_visible_to(actor).filter(id=location_id).first()
    if location is None:
        detail = "There is no such location in this organisation; list the locations and choose one."
        raise Invalid(errors=[FieldProblem("#/location", "unknown_location", detail)])
    require_location(actor, location.id)
    return location


def _check_member(actor: Actor, person_id: UUID) -> None:
    """Raise unless the actor may name members and this is an active one."""
    if actor.role not in COACHES:
        raise Forbidden("Ask a coach to join an athlete with a sign-in.")
    if not Membership.objects.filter(person_id=person_id, is_active=True).exists():
        detail = "This person is no member of the organisation; invite them first."
        raise Invalid(errors=[FieldProblem("#/person", "unknown_person", detail)])


def _check(*, kit: dict[str, Any] | None, zone: str | None) -> None:
    if zone is not None:
        check_zone(zone)
    if kit is None:
        return
    try:
        parse_kit(kit)
    except KitError as error:
        raise Invalid(errors=field_problems(error.problems, "/kit")) from error
    if impossible := impossible_kit(kit):
        raise Invalid(errors=field_problems(impossible, "/kit"))
