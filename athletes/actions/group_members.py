"""Who is in a group, and from when to when."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TypedDict, Unpack
from uuid import UUID

from django.db import transaction
from django.db.models import Q, QuerySet

from athletes.actions.support import hold_athlete, refuse, require_location
from athletes.errors import AlreadyInGroup
from athletes.models import Athlete, GroupMember
from athletes.queries import athletes_visible_to
from programming.models import Group
from services.api.conditional import delete_versioned, update_versioned
from services.changes.actions import record_change, record_changes
from services.problems import FieldProblem
from services.tenancy.actor import Actor


class MemberFields(TypedDict, total=False):
    """The days of a membership, both included; no last day: until further notice."""

    from_date: dt.date
    until_date: dt.date | None


def add_group_members(
    *,
    actor: Actor,
    group: Group,
    athlete_ids: Sequence[UUID],
    from_date: dt.date,
    until_date: dt.date | None = None,
) -> list[GroupMember]:
    """Put athletes into a group, all of them or none; their coming sessions are prescribed.

    Raises Invalid, NotYourLocation, and AlreadyInGroup with a pointer for each who is in it on one of the days.
    A fixed number of queries.
    """
    _check(from_date, until_date)
    ids = sorted(set(athlete_ids))
    with transaction.atomic():
        _require_athletes(actor, athlete_ids)
        _hold(ids)
        _refuse_overlaps(group.id, athlete_ids, from_date, until_date)
        rows = GroupMember.objects.bulk_create(
            GroupMember(
                org_id=actor.org_id,
                group=group,
                athlete_id=athlete_id,
                from_date=from_date,
                until_date=until_date,
                set_by_id=actor.person_id,
            )
            for athlete_id in ids
        )
        record_changes(kind="athlete", subjects=ids)
    return rows


def change_group_member(
    *, actor: Actor, member: GroupMember, expected: int, **fields: Unpack[MemberFields]
) -> GroupMember:
    """Change the days. Raises Invalid, NotYourLocation, AlreadyInGroup, PreconditionFailed."""
    require_location(actor, member.athlete.location_id)
    start = fields.get("from_date", member.from_date)
    end = fields.get("until_date", member.until_date)
    _check(start, end)
    with transaction.atomic():
        hold_athlete(member.athlete_id)
        others = _in_group(member.group_id, [member.athlete_id], start, end).exclude(id=member.id)
        if others.exists():
            raise AlreadyInGroup()
        changed = update_versioned(member, expected, **fields)
        record_change(kind="athlete", subject=member.athlete_id)
    return changed


def remove_group_member(*, actor: Actor, member: GroupMember, expected: int) -> None:
    """Take a membership back that was a mistake. Raises NotYourLocation, PreconditionFailed."""
    require_location(actor, member.athlete.location_id)
    with transaction.atomic():
        delete_versioned(member, expected)
        record_change(kind="athlete", subject=member.athlete_id)


def _hold(ids: Sequence[UUID]) -> None:
    """As `hold_athlete`, all of them in the order of their ids, so that nobody waits in a ring."""
    list(Athlete.objects.select_for_update(no_key=True).filter(id__in=ids).order_by("id").values_list("id"))


def _check(from_date: dt.date, until_date: dt.date | None) -> None:
    if until_date is not None and until_date < from_date:
        refuse([FieldProblem("#/until_date", "contradiction", "The last day lies before the first.")])


def _require_athletes(actor: Actor, athlete_ids: Sequence[UUID]) -> None:
    """Raises Invalid for those whom the actor may not know of, or who are named twice; NotYourLocation."""
    rows = athletes_visible_to(actor).filter(id__in=athlete_ids)
    known: dict[UUID, Athlete] = {row.id: row for row in rows}
    problems, seen = [], set()
    for index, athlete_id in enumerate(athlete_ids):
        at = f"#/athletes/{index}"
        if athlete_id not in known:
            problems.append(FieldProblem(at, "unknown_reference", "There is no such athlete here."))
        elif athlete_id in seen:
            problems.append(FieldProblem(at, "named_twice", "Name each athlete once."))
        seen.add(athlete_id)
    refuse(problems)
    for row in known.values():
        require_location(actor, row.location_id)


def _in_group(
    group_id: UUID, athlete_ids: Sequence[UUID], start: dt.date, end: dt.date | None
) -> QuerySet[GroupMember]:
    """Memberships that share a day with [start, end]."""
    rows = GroupMember.objects.filter(
        Q(until_date=None) | Q(until_date__gte=start), group_id=group_id, athlete_id__in=athlete_ids
    )
    return rows if end is None else rows.filter(from_date__lte=end)


def _refuse_overlaps(
    group_id: UUID, athlete_ids: Sequence[UUID], start: dt.date, end: dt.date | None
) -> None:
    there = set(_in_group(group_id, athlete_ids, start, end).values_list("athlete_id", flat=True))
    problems = [
        FieldProblem(
            f"#/athletes/{index}", "already_in_group", "Is in the group on one of these days already."
        )
        for index, athlete_id in enumerate(athlete_ids)
        if athlete_id in there
    ]
    if problems:
        raise AlreadyInGroup(errors=problems)
