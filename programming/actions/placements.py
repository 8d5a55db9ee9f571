"""One revision placed at several locations, or for several groups, at once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Final
from uuid import UUID

from django.db import transaction

from programming.actions.places import When, when_at
from programming.errors import unknown_reference
from programming.local_versions import in_use_at
from programming.models import Group, LocalVersion, Revision, ScheduledSession
from programming.queries import groups_visible_to, revisions_visible_to
from services.changes.actions import record_changes
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import Actor
from services.tenancy.models import Location
from services.tenancy.queries import locations_visible_to

MOST_PLACES: Final = 100


@dataclass(frozen=True)
class Place:
    """Where, for whom and when; without a location it is the group's. `starts_at` is aware."""

    starts_at: dt.datetime
    location_id: UUID | None = None
    group_id: UUID | None = None


@dataclass(frozen=True)
class Placed:
    """A session that was made, and the location's own version if it uses that."""

    session: ScheduledSession
    local_version: LocalVersion | None


@dataclass(frozen=True)
class _Known:
    """What the places name, by id."""

    locations: Mapping[UUID, Location]
    groups: Mapping[UUID, Group]


@transaction.atomic
def place_revision(
    *, actor: Actor, revision_id: UUID, places: Sequence[Place], use_local_versions: bool = False
) -> list[Placed]:
    """Schedule the revision at each place, all of them or none.

    With `use_local_versions`, a location that has a version of its own of this session uses that, also one
    that was made from another revision. Raises Invalid with a pointer for each fault. A fixed number of
    queries.
    """
    revision = revisions_visible_to(actor).filter(id=revision_id).first()
    if revision is None:
        raise unknown_reference("revision", "revision")
    known = _known(actor, places)
    where = _resolved(places, known, revision)
    own = in_use_at([place.id for place, _, _ in where], revision.template_id) if use_local_versions else {}
    placed = [_placed(actor, revision, own.get(place.id), place, group, when) for place, group, when in where]
    ScheduledSession.objects.bulk_create([one.session for one in placed])
    record_changes(kind="session", subjects=[one.session.id for one in placed])
    return placed


def _known(actor: Actor, places: Sequence[Place]) -> _Known:
    groups = groups_visible_to(actor).select_related("location")
    locations = locations_visible_to(actor)
    return _Known(
        locations.in_bulk({place.location_id for place in places if place.location_id}),
        groups.in_bulk({place.group_id for place in places if place.group_id}),
    )


def _resolved(
    places: Sequence[Place], known: _Known, revision: Revision
) -> list[tuple[Location, Group | None, When]]:
    """Raises Invalid with every fault of every place."""
    found: list[tuple[Location, Group | None, When]] = []
    problems: list[FieldProblem] = []
    seen: set[tuple[UUID, UUID | None, dt.datetime]] = set()
    for index, place in enumerate(places):
        at = f"#/places/{index}"
        group = None if place.group_id is None else known.groups.get(place.group_id)
        location = _location(place, group, known)
        problems += _faults(place, location, group, revision, at)
        if location is None:
            continue
        slot = (location.id, place.group_id, place.starts_at)
        if slot in seen:
            problems.append(FieldProblem(at, "named_twice", "Name each place and time once."))
        seen.add(slot)
        found.append((location, group, when_at(place.starts_at, location)))
    if problems:
        raise Invalid(errors=problems)
    return found


def _location(place: Place, group: Group | None, known: _Known) -> Location | None:
    if place.location_id is not None:
        return known.locations.get(place.location_id)
    return None if group is None else group.location


def _faults(
    place: Place, location: Location | None, group: Group | None, revision: Revision, at: str
) -> list[FieldProblem]:
    found = []
    if place.group_id is not None and group is None:
        detail = "There is no such group in this organisation."
        found.append(FieldProblem(f"{at}/group", "unknown_reference", detail))
    elif group is not None and not group.is_active:
        detail = "This group is not active any more; make it active again, or choose another one."
        found.append(FieldProblem(f"{at}/group", "group_not_active", detail))
    if location is None and place.location_id is not None:
        detail = "There is no such location in this organisation."
        found.append(FieldProblem(f"{at}/location", "unknown_reference", detail))
    elif location is None:
        found.append(FieldProblem(f"{at}/location", "required", "Say where the session takes place."))
    elif revision.location_id not in (None, location.id):
        detail = "This is another location's own version; place the shared revision that it was made from."
        found.append(FieldProblem(f"{at}/location", "local_elsewhere", detail))
    return found


def _placed(
    actor: Actor,
    revision: Revision,
    own: LocalVersion | None,
    location: Location,
    group: Group | None,
    when: When,
) -> Placed:
    session = ScheduledSession(
        org_id=actor.org_id,
        revision_id=revision.id if own is None else own.revision_id,
        location=location,
        group=group,
        placed_by_id=actor.person_id,
        **asdict(when),
    )
    return Placed(session, own)
