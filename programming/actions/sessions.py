"""Writes of the calendar: placing, moving and cancelling sessions, and what a location has."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone

from programming.actions.places import (
    check_usable,
    location_for,
    one_at_a_time,
    require_group,
    require_location,
    when_at,
)
from programming.calc.kit import KitError, parse_kit
from programming.calc.possible import impossible_kit
from programming.calc.wall_time import monday_of
from programming.errors import SessionCancelled, field_problems, unknown_reference
from programming.horizon import PRESCRIBED_AHEAD
from programming.models import LocationKit, ScheduledSession
from programming.queries import revisions_visible_to, session_ids_between
from services.api.conditional import update_versioned
from services.changes.actions import record_change, record_changes
from services.problems import Invalid, PreconditionFailed
from services.tenancy.actor import Actor
from services.tenancy.models import Location


@transaction.atomic
def schedule_session(
    *,
    actor: Actor,
    revision_id: UUID,
    starts_at: dt.datetime,
    location_id: UUID | None = None,
    group_id: UUID | None = None,
) -> ScheduledSession:
    """Place a revision at a location, for a group or for whoever trains there.

    The date is the location's at that instant, and stays so. `starts_at` is aware; without a location it is
    the group's. Raises Invalid for what is not the organisation's, or may not be used there.
    """
    revision = revisions_visible_to(actor).filter(id=revision_id).first()
    if revision is None:
        raise unknown_reference("revision", "revision")
    group = None if group_id is None else require_group(actor, group_id)
    location = location_for(actor, location_id, group)
    check_usable(revision, location.id, "revision")
    session = ScheduledSession.objects.create(
        org_id=actor.org_id,
        revision_id=revision_id,
        location=location,
        group=group,
        placed_by_id=actor.person_id,
        **asdict(when_at(starts_at, location)),
    )
    record_change(kind="session", subject=session.id)
    return session


@transaction.atomic
def move_session(
    *,
    actor: Actor,
    session: ScheduledSession,
    version: int,
    starts_at: dt.datetime | None = None,
    location_id: UUID | None = None,
) -> ScheduledSession:
    """Change when or where. Raises SessionCancelled, PreconditionFailed, Invalid.

    A session that uses a location's own version stays at that location.
    """
    if session.cancelled_at is not None:
        raise SessionCancelled()
    location = require_location(actor, location_id or session.location_id)
    check_usable(session.revision, location.id, "location")
    when = when_at(starts_at or session.starts_at, location)
    week = monday_of(when.local_date)
    if week != monday_of(session.local_date):
        one_at_a_time(actor, week)  # a copy into that week is to find it, or to be done before
    moved = update_versioned(session, version, location=location, changed_at=timezone.now(), **asdict(when))
    record_change(kind="session", subject=session.id)
    return moved


@transaction.atomic
def cancel_session(*, actor: Actor, session: ScheduledSession) -> ScheduledSession:
    """Take the session off the calendar; it stays visible as cancelled. Doing it twice is doing it once."""
    row = ScheduledSession.objects.select_for_update().get(id=session.id)
    if row.cancelled_at is None:
        now = timezone.now()
        session = update_versioned(session, row.version, cancelled_at=now, changed_at=now)
        record_change(kind="session", subject=session.id)
    return session


@transaction.atomic
def put_location_kit(
    *, actor: Actor, location: Location, document: Mapping[str, Any], version: int | None
) -> LocationKit:
    """Write down what the location has; `version` is the one that was read, None when there was none.

    Raises Invalid with a pointer for each fault, PreconditionFailed when somebody else was faster. Asks for
    the sessions there of the next seven days to be prescribed again.
    """
    try:
        parse_kit(document)
    except KitError as error:
        raise Invalid(errors=field_problems(error.problems)) from error
    if impossible := impossible_kit(document):
        raise Invalid(errors=field_problems(impossible))
    if version is None:
        kit = _first_kit(actor, location, document)
    else:
        row = LocationKit.objects.filter(location=location).first()
        if row is None:
            raise PreconditionFailed()
        kit = update_versioned(row, version, document=document)
    now = timezone.now()
    affected = session_ids_between(now, now + PRESCRIBED_AHEAD, location_id=location.id)
    record_changes(kind="session", subjects=affected)
    return kit


def _first_kit(actor: Actor, location: Location, document: Mapping[str, Any]) -> LocationKit:
    try:
        with transaction.atomic():
            return LocationKit.objects.create(org_id=actor.org_id, location=location, document=document)
    except IntegrityError as error:
        if "kit_once_per_location" not in str(error):
            raise
        raise PreconditionFailed() from error
