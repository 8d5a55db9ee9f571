"""Who takes part in each of several sessions, for whoever looks at a whole day at once.

The rule is that of `athletes.participation.athletes_of_session`; nobody takes part in what is cancelled.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Count, Exists, OuterRef, Q, QuerySet, Value

from athletes.day import drop_ins
from athletes.models import Athlete, DayChange, GroupMember
from athletes.queries import athletes_visible_to
from programming.models import ScheduledSession
from services.tenancy.actor import Actor, Role
from services.tenancy.compiled import Given, any_of, compiled

Comers = Mapping[UUID, set[UUID]]


class Named(NamedTuple):
    """An athlete as a list of names needs them; mine: whom the actor may see in every session."""

    id: UUID
    name: str
    location_id: UUID
    mine: bool


def athletes_by_session(actor: Actor, sessions: Collection[ScheduledSession]) -> Mapping[UUID, list[Named]]:
    """By session, by name, whom the actor may see of those who take part (three queries, however many sessions)."""
    open_ones = [one for one in sessions if one.cancelled_at is None]
    comers = _comers(open_ones)
    coming = {id_ for ids in comers.values() for id_ in ids}
    rows = _candidates(actor, open_ones, comers).filter(
        Q(location_id__in=_places(open_ones)) | Q(id__in=coming)
    )
    named = [Named(*row) for row in rows.order_by("name", "id").values_list(*Named._fields)]
    found: dict[UUID, list[Named]] = {one.id: [] for one in sessions}
    for one in open_ones:
        there = comers[one.id]
        found[one.id] = [
            row
            for row in named
            if (row.id in there or (one.group_id is None and row.location_id == one.location_id))
            and (row.mine or _receives(actor, one))
        ]
    return found


def counts_by_session(actor: Actor, sessions: Collection[ScheduledSession]) -> Mapping[UUID, int]:
    """How many `athletes_by_session` would name (four queries; no row of who trains there as always is read)."""
    open_ones = [one for one in sessions if one.cancelled_at is None]
    comers = _comers(open_ones)
    rows = _candidates(actor, open_ones, comers)
    regulars: dict[UUID, dict[bool, int]] = defaultdict(lambda: defaultdict(int))
    here = rows.filter(location_id__in=_places(open_ones))
    places = here.values_list(*Named._fields[2:]).annotate(count=Count("id")).order_by()
    for location, mine, count in places:
        regulars[location][mine] += count
    coming = {id_ for ids in comers.values() for id_ in ids}
    known = {row[0]: Named(*row) for row in rows.filter(id__in=coming).values_list(*Named._fields)}
    found = {one.id: 0 for one in sessions}
    for one in open_ones:
        receives = _receives(actor, one)
        others = [known[id_] for id_ in comers[one.id] if id_ in known]
        if one.group_id is None:
            there = regulars[one.location_id]
            found[one.id] = there[True] + (there[False] if receives else 0)
            others = [row for row in others if row.location_id != one.location_id]
        found[one.id] += sum(row.mine or receives for row in others)
    return found


def _comers(sessions: Collection[ScheduledSession]) -> Comers:
    """By session who is in its group on the day, and who drops in (two queries)."""
    found: dict[UUID, set[UUID]] = {one.id: set() for one in sessions}
    by_group: dict[UUID, list[ScheduledSession]] = defaultdict(list)
    for one in sessions:
        if one.group_id is not None:
            by_group[one.group_id].append(one)
    members = GroupMember.objects.filter(group_id__in=list(by_group))
    for group, athlete, first, last in members.values_list(
        "group_id", "athlete_id", "from_date", "until_date"
    ):
        for one in by_group[group]:
            if first <= one.local_date and (last is None or last >= one.local_date):
                found[one.id].add(athlete)
    if found:
        for session, athlete in _guests(sessions=list(found)):
            found[session].add(athlete)
    return found


@compiled
def _guests(sessions: Given) -> QuerySet[DayChange, tuple[UUID, UUID]]:
    return drop_ins().filter(session=any_of(sessions)).values_list("session_id", "athlete_id")


def _candidates(actor: Actor, sessions: Collection[ScheduledSession], comers: Comers) -> QuerySet[Any]:
    """Active athletes whom the actor sees, or receives in one of the sessions; each with `mine`."""
    rows: QuerySet[Any] = Athlete.objects.filter(is_active=True)
    if actor.sees_all_athletes:
        everybody: QuerySet[Any] = rows.annotate(mine=Value(True))
        return everybody
    mine = Exists(athletes_visible_to(actor).filter(id=OuterRef("id")))
    received = [one for one in sessions if _receives(actor, one)]
    guests = {id_ for one in received for id_ in comers[one.id]}
    seen = Q(id__in=athletes_visible_to(actor).values("id"))
    some = rows.filter(seen | Q(location_id__in=_places(received)) | Q(id__in=guests))
    found: QuerySet[Any] = some.annotate(mine=mine)
    return found


def _receives(actor: Actor, session: ScheduledSession) -> bool:
    """Whether all who come are shown: staff receive people from elsewhere at their own location."""
    if actor.role == Role.LOCATION_STAFF:
        return session.location_id in actor.location_ids
    return actor.sees_all_athletes


def _places(sessions: Collection[ScheduledSession]) -> set[UUID]:
    """Where everybody who trains there takes part."""
    return {one.location_id for one in sessions if one.group_id is None}
