"""Where and when a session is, and for whom: what every way of placing one checks."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from uuid import UUID
from zoneinfo import ZoneInfo

from programming.errors import unknown_reference
from programming.models import Group, Revision
from programming.queries import groups_visible_to
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import Actor
from services.tenancy.locks import wait_for
from services.tenancy.models import Location
from services.tenancy.queries import locations_visible_to


@dataclass(frozen=True)
class When:
    """An instant with the zone of its place, and the date there: stored as they are, and moved by nothing."""

    starts_at: dt.datetime
    zone: str
    local_date: dt.date


def when_at(starts_at: dt.datetime, location: Location) -> When:
    """`starts_at` is aware."""
    if starts_at.tzinfo is None:
        raise ValueError("starts_at must be aware")
    return When(starts_at, location.zone, starts_at.astimezone(ZoneInfo(location.zone)).date())


def require_location(actor: Actor, location_id: UUID, at: str = "location") -> Location:
    """Raises Invalid for a location that is not the organisation's; `at` is where the body names it."""
    location = locations_visible_to(actor).filter(id=location_id).first()
    if location is None:
        raise unknown_reference(at, "location")
    return location


def one_at_a_time(actor: Actor, week: dt.date) -> None:
    """Wait until nobody else copies or moves sessions into this week, until the transaction ends.

    No constraint can keep a slot, or an origin, to one session, since a coach may place two on purpose; so what a
    copy sees of the week has to be still true when it writes.
    """
    wait_for(f"{actor.org_id}/week/{week.isoformat()}")


def require_group(actor: Actor, group_id: UUID, at: str = "group") -> Group:
    """Raises Invalid for a group that is not the organisation's, or not active any more."""
    group = groups_visible_to(actor).select_related("location").filter(id=group_id).first()
    if group is None:
        raise unknown_reference(at, "group")
    check_active(group, at)
    return group


def check_active(group: Group, at: str = "group") -> None:
    if not group.is_active:
        detail = "This group is not active any more; make it active again, or choose another one."
        raise Invalid(errors=[FieldProblem(f"#/{at}", "group_not_active", detail)])


def location_for(
    actor: Actor, location_id: UUID | None, group: Group | None, at: str = "location"
) -> Location:
    """The location that is named, else the group's. Raises Invalid without either."""
    if location_id is not None:
        return require_location(actor, location_id, at)
    if group is None or group.location is None:
        detail = "Say where the session takes place."
        raise Invalid(errors=[FieldProblem(f"#/{at}", "required", detail)])
    found: Location = group.location
    return found


def check_usable(revision: Revision, location_id: UUID, at: str) -> None:
    """Raises Invalid for another location's own version."""
    if revision.location_id not in (None, location_id):
        detail = "This is another location's own version; place the shared revision that it was made from."
        raise Invalid(errors=[FieldProblem(f"#/{at}", "local_elsewhere", detail)])
