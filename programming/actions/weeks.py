"""A week of the calendar copied to a later one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeAlias
from uuid import UUID, uuid4

from django.db import transaction
from django.db.models import Q, QuerySet

from programming.actions.places import one_at_a_time, require_location
from programming.calc.wall_time import at_wall_time, monday_of, wall_time_of
from programming.errors import unknown_reference
from programming.models import ScheduledSession
from programming.queries import groups_visible_to
from services.changes.actions import record_changes
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import Actor

MOST_COPIED: Final = 200
_WEEK = dt.timedelta(days=7)
# A local date lies within a day of the instant's date in UTC; the bound on the instant is what an index serves.
_SLACK = dt.timedelta(days=1)

MADE, THERE, CONFLICT, LEFT_OUT = "made", "there_already", "conflict", "left_out"
DETAILS: Final = {
    "no_such_time": "The clock change skips this time of day; it is later by what is skipped.",
    "copied_before": "A session that came from this one is in the week, or was before it was moved or cancelled.",
    "time_taken": "Another session is at this time and place for the same athletes.",
    "group_not_active": "The group is not active any more.",
    "cancelled": "Cancelled sessions are not copied.",
}
_Slot: TypeAlias = tuple[dt.datetime, UUID, UUID | None]


@dataclass(frozen=True)
class Copy:
    """What became of one session of the week, or would become of it.

    outcome made | there_already | conflict | left_out; `reason` is a key of DETAILS, "" where all is plain.
    """

    source: ScheduledSession
    starts_at: dt.datetime
    zone: str
    local_date: dt.date
    outcome: str
    reason: str = ""
    session_id: UUID | None = None

    @property
    def slot(self) -> _Slot:
        return self.starts_at, self.source.location_id, self.source.group_id

    @property
    def root(self) -> UUID:
        """The session that the first copy was made of: a copy of a copy is one of the same."""
        found: UUID = self.source.copied_from_id or self.source.id
        return found


@dataclass(frozen=True)
class Weeks:
    """Mondays of the two weeks."""

    source: dt.date
    target: dt.date


@transaction.atomic
def copy_week(
    *,
    actor: Actor,
    from_week: dt.date,
    to_week: dt.date,
    location_id: UUID | None = None,
    group_id: UUID | None = None,
    session_ids: Sequence[UUID] | None = None,
    dry_run: bool = False,
) -> list[Copy]:
    """Place what a location or a group has in one week in a later one: same weekday, same time on the wall.

    A date names the week that it is in. Twice is once: what came from a session before stays as it is, also
    when it was moved or cancelled since, or came into the week by being moved. What would meet another session
    of the same athletes is listed and not made. A dry run makes nothing and says the same. Raises Invalid.
    """
    weeks = Weeks(monday_of(from_week), monday_of(to_week))
    sources = _sources(actor, weeks, location_id, group_id, session_ids)
    if not dry_run:
        one_at_a_time(actor, weeks.target)
    planned = _without_conflicts(_without_copied([_planned(row, weeks) for row in sources], weeks))
    return planned if dry_run else _store(actor, planned, weeks)


def _sources(
    actor: Actor,
    weeks: Weeks,
    location_id: UUID | None,
    group_id: UUID | None,
    session_ids: Sequence[UUID] | None,
) -> list[ScheduledSession]:
    if weeks.target <= weeks.source:
        raise _fault("to_week", "contradiction", "Copy to a week that is later than the first one.")
    if location_id is None and group_id is None:
        raise _fault("location", "required", "Say of which location or group.")
    rows = _in_week(weeks.source)
    if location_id is not None:
        rows = rows.filter(location=require_location(actor, location_id))
    if group_id is not None:
        if not groups_visible_to(actor).filter(id=group_id).exists():
            raise unknown_reference("group", "group")
        rows = rows.filter(group_id=group_id)
    if session_ids is not None:
        rows = rows.filter(id__in=session_ids)
    found = list(rows.select_related("location", "group").order_by("starts_at", "id")[: MOST_COPIED + 1])
    if len(found) > MOST_COPIED:
        raise _fault("sessions", "too_many", f"Name at most {MOST_COPIED} sessions of the week at once.")
    _refuse_unknown(session_ids or (), found)
    return found


def _in_week(monday: dt.date) -> QuerySet[ScheduledSession]:
    start = dt.datetime.combine(monday, dt.time(), tzinfo=dt.UTC)
    return ScheduledSession.objects.filter(
        local_date__gte=monday,
        local_date__lt=monday + _WEEK,
        starts_at__gte=start - _SLACK,
        starts_at__lt=start + _WEEK + _SLACK,
    )


def _refuse_unknown(named: Sequence[UUID], found: Iterable[ScheduledSession]) -> None:
    known = {row.id for row in found}
    problems = [
        FieldProblem(f"#/sessions/{index}", "unknown_reference", "There is no such session in this week.")
        for index, session_id in enumerate(named)
        if session_id not in known
    ]
    if problems:
        raise Invalid(errors=problems)


def _fault(name: str, code: str, detail: str) -> Invalid:
    return Invalid(errors=[FieldProblem(f"#/{name}", code, detail)])


def _planned(row: ScheduledSession, weeks: Weeks) -> Copy:
    """In the zone that the location has now; the time on the wall is that of the zone it was placed in."""
    day, zone = row.local_date + (weeks.target - weeks.source), row.location.zone
    found = at_wall_time(day, wall_time_of(row.starts_at, row.zone), zone)
    plan = Copy(row, found.instant, zone, found.local_date, MADE, "no_such_time" if found.skipped else "")
    if row.cancelled_at is not None:
        return replace(plan, outcome=LEFT_OUT, reason="cancelled")
    if row.group is not None and not row.group.is_active:
        return replace(plan, outcome=CONFLICT, reason="group_not_active")
    return plan


def _without_copied(planned: list[Copy], weeks: Weeks) -> list[Copy]:
    """Those whose origin is in the week already, or comes twice in this copy, are not made."""
    there = _there({copy.root for copy in planned}, weeks.target)
    seen: set[UUID] = set()
    found = []
    for copy in planned:
        if copy.outcome == MADE and (copy.root in there or copy.root in seen):
            copy = replace(copy, outcome=THERE, reason="copied_before", session_id=there.get(copy.root))
        if copy.outcome == MADE:
            seen.add(copy.root)
        found.append(copy)
    return found


def _there(roots: Collection[UUID], week: dt.date) -> dict[UUID, UUID]:
    """By origin the session of the week: one that was made for it, wherever it is by now; else what is in it, the
    origin itself or a copy for another week that was moved here and takes place.
    """
    made = ScheduledSession.objects.filter(copied_from__in=roots, copy_week=week)
    here = _in_week(week).filter(Q(id__in=roots) | Q(copied_from__in=roots, cancelled_at=None))
    moved = {from_id or id_: id_ for from_id, id_ in here.order_by("id").values_list("copied_from_id", "id")}
    return moved | dict(made.values_list("copied_from_id", "id"))


def _without_conflicts(planned: list[Copy]) -> list[Copy]:
    """Those that would meet another session for the same athletes at the same time and place are not made."""
    open_ones = [copy for copy in planned if copy.outcome == MADE]
    at_these_times = ScheduledSession.objects.filter(
        Q(cancelled_at=None),
        starts_at__in={copy.starts_at for copy in open_ones},
        location_id__in={copy.source.location_id for copy in open_ones},
    )
    taken: set[_Slot] = set(at_these_times.values_list("starts_at", "location_id", "group_id"))
    found = []
    for copy in planned:
        if copy.outcome == MADE and copy.slot in taken:
            copy = replace(copy, outcome=CONFLICT, reason="time_taken")
        if copy.outcome == MADE:
            taken.add(copy.slot)
        found.append(copy)
    return found


def _store(actor: Actor, planned: list[Copy], weeks: Weeks) -> list[Copy]:
    """Whoever copies the same week at the same time makes no second session: the table has each origin once."""
    ids = {copy.source.id: uuid4() for copy in planned if copy.outcome == MADE}
    ScheduledSession.objects.bulk_create(
        [
            ScheduledSession(
                id=ids[copy.source.id],
                org_id=actor.org_id,
                revision_id=copy.source.revision_id,
                location_id=copy.source.location_id,
                group_id=copy.source.group_id,
                starts_at=copy.starts_at,
                zone=copy.zone,
                local_date=copy.local_date,
                copied_from_id=copy.root,
                copy_week=weeks.target,
                placed_by_id=actor.person_id,
            )
            for copy in planned
            if copy.outcome == MADE
        ],
        ignore_conflicts=True,
    )
    roots = [copy.root for copy in planned]
    now_there = ScheduledSession.objects.filter(copied_from__in=roots, copy_week=weeks.target)
    by_root = dict(now_there.values_list("copied_from_id", "id"))
    made = set(ids.values()) & set(by_root.values())
    record_changes(kind="session", subjects=made)
    return [_stored(copy, by_root.get(copy.root), made) for copy in planned]


def _stored(copy: Copy, session_id: UUID | None, made: set[UUID]) -> Copy:
    if copy.outcome != MADE:
        return copy
    if session_id in made:
        return replace(copy, session_id=session_id)
    return replace(copy, outcome=THERE, reason="copied_before", session_id=session_id)
