"""Who takes part in each of several sessions, for whoever looks at a whole day at once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from uuid import UUID

from athletes.day import drop_ins
from athletes.models import Athlete, GroupMember
from athletes.queries import athletes_visible_to
from programming.models import ScheduledSession
from services.tenancy.actor import Actor, Role


def athletes_by_session(actor: Actor, sessions: Collection[ScheduledSession]) -> Mapping[UUID, list[Athlete]]:
    """By session, by name, whom the actor may see of those who take part (four queries, however many sessions).

    The rule is that of `athletes.participation.athletes_of_session`; nobody takes part in what is cancelled.
    """
    active = {row.id: row for row in Athlete.objects.filter(is_active=True)}
    mine = set(athletes_visible_to(actor).values_list("id", flat=True))
    groups = {one.group_id for one in sessions if one.group_id is not None}
    members = list(GroupMember.objects.filter(group_id__in=groups))
    guests: dict[UUID, set[UUID]] = defaultdict(set)
    for session_id, athlete_id in (
        drop_ins().filter(session__in=sessions).values_list("session_id", "athlete_id")
    ):
        guests[session_id].add(athlete_id)
    found: dict[UUID, list[Athlete]] = {}
    for one in sessions:
        there = guests[one.id] | _regulars(one, active, members)
        if not (actor.role == Role.LOCATION_STAFF and one.location_id in actor.location_ids):
            there &= mine
        rows = [active[id_] for id_ in there if id_ in active and one.cancelled_at is None]
        found[one.id] = sorted(rows, key=lambda row: (row.name, row.id))
    return found


def _regulars(
    session: ScheduledSession, active: Mapping[UUID, Athlete], members: Collection[GroupMember]
) -> set[UUID]:
    """Who is in its group on the day, or trains at its location where it is for no group."""
    if session.group_id is None:
        return {row.id for row in active.values() if row.location_id == session.location_id}
    day = session.local_date
    return {
        row.athlete_id
        for row in members
        if row.group_id == session.group_id
        and row.from_date <= day
        and (row.until_date is None or row.until_date >= day)
    }
