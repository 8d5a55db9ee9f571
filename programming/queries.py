"""Reads of the programme: querysets for lists, and ids of sessions. What computations read: `programming.plans`."""

from __future__ import annotations

import datetime as dt
from uuid import UUID

from django.db.models import F, Prefetch, Q, QuerySet
from django.db.models.fields.json import KT, KeyTextTransform

from programming.models import (
    Group,
    LocationKit,
    Movement,
    Revision,
    ScheduledSession,
    Template,
    Variation,
    VariationVersion,
)
from services.tenancy.actor import STAFF, Actor


def movements_visible_to(actor: Actor) -> QuerySet[Movement]:
    return Movement.objects.all()


def variations_visible_to(actor: Actor) -> QuerySet[Variation]:
    """With `current_versions`, a list of the one present version (a second query)."""
    present = VariationVersion.objects.filter(number=F("variation__current"))
    return Variation.objects.prefetch_related(
        Prefetch("versions", queryset=present, to_attr="current_versions")
    )


def variation_versions_visible_to(actor: Actor) -> QuerySet[VariationVersion]:
    return VariationVersion.objects.all()


def location_kits_visible_to(actor: Actor) -> QuerySet[LocationKit]:
    return LocationKit.objects.all()


def groups_visible_to(actor: Actor) -> QuerySet[Group]:
    """Every member sees for whom a session is; who is in a group is another matter."""
    return Group.objects.all()


def templates_visible_to(actor: Actor) -> QuerySet[Template]:
    """Drafts are the staff's; athletes see what was published."""
    rows = Template.objects.all()
    return rows if actor.role in STAFF else rows.none()


def revisions_visible_to(actor: Actor) -> QuerySet[Revision]:
    """With `title`, so that a list need not read documents."""
    return Revision.objects.annotate(title=KT("document__title"))


def scheduled_sessions_visible_to(actor: Actor) -> QuerySet[ScheduledSession]:
    """With `title` of the revision, and whether it is a location's own; every member sees the whole calendar."""
    return ScheduledSession.objects.annotate(
        title=KeyTextTransform("title", "revision__document"),
        is_local_version=Q(revision__location__isnull=False),
    )


def session_ids_between(
    start: dt.datetime, end: dt.datetime, *, location_id: UUID | None = None
) -> list[UUID]:
    """Sessions that start in [start, end] and are not cancelled, earliest first (one query)."""
    rows = _placed(start, end)
    if location_id is not None:
        rows = rows.filter(location_id=location_id)
    return list(rows.order_by("starts_at", "id").values_list("id", flat=True))


def session_ids_with_movement(key: str, start: dt.datetime, end: dt.datetime) -> list[UUID]:
    """Sessions in [start, end] whose work has the movement, or what a break costs has it (one query)."""
    work = {"movement": key}
    in_block = Q(revision__document__contains={"blocks": [{"work": [work]}]})
    as_penalty = Q(revision__document__contains={"blocks": [{"rules": {"break": {"penalty_work": work}}}]})
    return list(_placed(start, end).filter(in_block | as_penalty).values_list("id", flat=True))


def _placed(start: dt.datetime, end: dt.datetime) -> QuerySet[ScheduledSession]:
    return ScheduledSession.objects.filter(starts_at__gte=start, starts_at__lte=end, cancelled_at=None)
