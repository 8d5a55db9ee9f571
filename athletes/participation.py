"""Who takes part in a scheduled session: one rule, asked from both ends.

A session for a group is for those who are in the group on the session's local date; any other one for whoever
trains at its location; and both for whoever drops in. Athletes who are not active any more take part in nothing.
Everything that needs a session's athletes, or an athlete's sessions, asks here; so does whoever looks at a session
for people that come from elsewhere.
"""

from __future__ import annotations

import datetime as dt
from typing import TypeAlias
from uuid import UUID

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from athletes.day import drop_ins
from athletes.models import Athlete, DayChange, DayChangeEnd, GroupMember
from athletes.queries import athletes_visible_to
from programming.models import ScheduledSession
from services.tenancy.actor import Actor, Role
from services.tenancy.compiled import Given, compiled

_Id: TypeAlias = UUID | OuterRef | Given


def members_on(group: _Id, day: dt.date | OuterRef) -> QuerySet[GroupMember]:
    """Who is in the group on the day, both ends of a membership included."""
    lasting = Q(until_date=None) | Q(until_date__gte=day)
    return GroupMember.objects.filter(lasting, group=group, from_date__lte=day)


def athletes_of_session(session_id: UUID) -> QuerySet[Athlete]:
    """By name; nobody where there is no such session (one query, and that of the rows)."""
    placed = ScheduledSession.objects.filter(id=session_id)
    found = placed.values_list("location_id", "group_id", "local_date").first()
    rows = Athlete.objects.filter(is_active=True).order_by("name", "id")
    if found is None:
        return rows.none()
    location_id, group_id, day = found
    regulars = Q(location_id=location_id)
    if group_id is not None:
        regulars = Q(id__in=members_on(group_id, day).values("athlete_id"))
    return rows.filter(regulars | Q(id__in=drop_ins().filter(session_id=session_id).values("athlete_id")))


def athlete_ids_of_session(session_id: UUID) -> list[UUID]:
    """The ids of `athletes_of_session` (two queries)."""
    return list(athletes_of_session(session_id).values_list("id", flat=True))


def sessions_with(*, athlete: _Id, location: _Id) -> QuerySet[ScheduledSession]:
    """Sessions that are not cancelled and that an active athlete of the location takes part in."""
    return sessions_or_cancelled(athlete=athlete, location=location).filter(cancelled_at=None)


def sessions_or_cancelled(*, athlete: _Id, location: _Id) -> QuerySet[ScheduledSession]:
    """The same, with those that were called off: somebody may still have them in a calendar."""
    inner = OuterRef(athlete) if isinstance(athlete, OuterRef) else athlete
    member = members_on(OuterRef("group"), OuterRef("local_date")).filter(athlete=inner)
    guest = drop_ins().filter(session=OuterRef("id"), athlete=inner)
    return ScheduledSession.objects.filter(Q(group=None, location=location) | Exists(member) | Exists(guest))


def session_ids_for_athlete(athlete: Athlete, start: dt.datetime, end: dt.datetime) -> list[UUID]:
    """The athlete's sessions that start in [start, end], earliest first; none of who is not active (one query)."""
    if not athlete.is_active:
        return []
    return _ids_between(athlete=athlete.id, location=athlete.location_id, start=start, end=end)


@compiled
def _ids_between(
    athlete: Given, location: Given, start: Given, end: Given
) -> QuerySet[ScheduledSession, UUID]:
    rows = sessions_with(athlete=athlete, location=location).filter(starts_at__gte=start, starts_at__lte=end)
    return rows.order_by("starts_at", "id").values_list("id", flat=True)


def first_day_for_athlete(athlete: Athlete, start: dt.datetime, end: dt.datetime) -> dt.date | None:
    """The earliest local date of the athlete's sessions that start in [start, end] (one query)."""
    return _first_day.first(athlete=athlete.id, location=athlete.location_id, start=start, end=end)


@compiled
def _first_day(
    athlete: Given, location: Given, start: Given, end: Given
) -> QuerySet[ScheduledSession, dt.date]:
    rows = sessions_with(athlete=athlete, location=location).filter(starts_at__gte=start, starts_at__lte=end)
    return rows.order_by("local_date").values_list("local_date", flat=True)[:1]


def takes_part() -> Q:
    """Of rows that name a `session` and an `athlete`: whether the one is for the other now."""
    at_location = Q(session__group=None, session__location=F("athlete__location"))
    return (at_location | _comes()) & Q(athlete__is_active=True, session__cancelled_at=None)


def _comes() -> Q:
    """Of rows that name a `session` and an `athlete`: whether the one is in the other's group, or drops in."""
    member = members_on(OuterRef("session__group"), OuterRef("session__local_date"))
    guest = drop_ins().filter(session=OuterRef("session"), athlete=OuterRef("athlete"))
    return Q(Exists(member.filter(athlete=OuterRef("athlete")))) | Q(Exists(guest))


def visible_in_sessions(actor: Actor) -> Q:
    """Of rows that name a `session` and an `athlete`: those that the actor may see.

    The actor's own athletes; for the staff of a location also who comes there with a group or drops in, in that
    session only.
    """
    if actor.sees_all_athletes:
        return Q()
    mine = Q(athlete__in=athletes_visible_to(actor))
    if actor.role != Role.LOCATION_STAFF:
        return mine
    return mine | (Q(session__location_id__in=actor.location_ids) & _comes())


def athletes_visible_in(actor: Actor, session: ScheduledSession) -> QuerySet[Athlete]:
    """The same, asked for one session: the actor's own athletes, and whom the actor receives in it."""
    rows = athletes_visible_to(actor)
    if actor.role != Role.LOCATION_STAFF or session.location_id not in actor.location_ids:
        return rows
    received = Q(id__in=drop_ins().filter(session=session).values("athlete_id"))
    if session.group_id is not None:
        received |= Q(id__in=members_on(session.group_id, session.local_date).values("athlete_id"))
    return rows | Athlete.objects.filter(received)


def received_about(actor: Actor, day: dt.date) -> QuerySet[Athlete]:
    """Whom the staff of a location receives, with a group or as a guest, in any session from the day before to the
    day after: somebody may be hurt on the way in, or say so the next morning.
    """
    if actor.role != Role.LOCATION_STAFF:
        return Athlete.objects.none()
    around = (day - dt.timedelta(days=1), day + dt.timedelta(days=1))
    near = ScheduledSession.objects.filter(
        location_id__in=actor.location_ids, local_date__range=around, cancelled_at=None
    )
    of_group = near.filter(group=OuterRef("group"), local_date__gte=OuterRef("from_date"))
    members = GroupMember.objects.filter(
        Q(Exists(of_group.filter(local_date__lte=OuterRef("until_date"))))
        | (Q(until_date=None) & Q(Exists(of_group)))
    )
    guests = drop_ins().filter(session__in=near)
    return Athlete.objects.filter(
        Q(id__in=members.values("athlete_id")) | Q(id__in=guests.values("athlete_id"))
    )


def day_changes_visible_to(actor: Actor) -> QuerySet[DayChange]:
    """Every change, ended ones too, each with `ended`."""
    ended = Exists(DayChangeEnd.objects.filter(day_change=OuterRef("id")))
    return DayChange.objects.filter(visible_in_sessions(actor)).annotate(ended=ended)
