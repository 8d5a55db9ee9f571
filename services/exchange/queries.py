"""Reads of what goes out: feeds, and the sessions that they show."""

from __future__ import annotations

import datetime as dt
from typing import Final

from django.db.models import Q, QuerySet

from athletes.participation import sessions_or_cancelled
from athletes.queries import athletes_visible_to
from programming.models import ScheduledSession
from services.exchange.calendar import Entry
from services.exchange.models import Export, Feed, Import, ImportRow
from services.tenancy.actor import Actor

BEHIND: Final = dt.timedelta(days=90)
AHEAD: Final = dt.timedelta(days=400)
MOST_ENTRIES: Final = 2000


def feeds_visible_to(actor: Actor) -> QuerySet[Feed]:
    """Coaches see all; everybody else what they made, feeds of athletes whom they see, and of where they work."""
    rows = Feed.objects.all()
    if actor.sees_all_athletes:
        return rows
    mine = Q(made_by_id=actor.person_id) | Q(athlete__in=athletes_visible_to(actor))
    return rows.filter(mine | Q(location_id__in=actor.location_ids))


def imports_visible_to(actor: Actor) -> QuerySet[Import]:
    """One's own; coaches see all. Without the table itself."""
    rows = Import.objects.defer("text")
    return rows if actor.sees_all_athletes else rows.filter(made_by_id=actor.person_id)


def import_rows_of(taken: Import) -> QuerySet[ImportRow]:
    return ImportRow.objects.filter(taken=taken)


def exports_visible_to(actor: Actor) -> QuerySet[Export]:
    """One's own alone: they hold all that there is."""
    return Export.objects.filter(made_by_id=actor.person_id)


def entries_of(feed: Feed, actor: Actor, now: dt.datetime) -> list[Entry]:
    """What the feed shows to its maker: sessions of the last 90 and the next 400 days (two queries).

    Nothing of an athlete whom the maker does not see any more, or who is not active. Beyond 2000 sessions the
    furthest ahead are left out.
    """
    found = _sessions(feed, actor)
    if found is None:
        return []
    about = found.filter(starts_at__gte=now - BEHIND, starts_at__lte=now + AHEAD)
    rows = about.select_related("location", "revision").order_by("starts_at", "id")
    return [_entry(row, feed.entry_minutes) for row in rows[:MOST_ENTRIES]]


def _sessions(feed: Feed, actor: Actor) -> QuerySet[ScheduledSession] | None:
    if feed.location_id is not None:
        return ScheduledSession.objects.filter(location_id=feed.location_id)
    athlete = athletes_visible_to(actor).filter(id__in=[feed.athlete_id], is_active=True).first()
    if athlete is None:
        return None
    return sessions_or_cancelled(athlete=athlete.id, location=athlete.location_id)


def _entry(row: ScheduledSession, minutes: int) -> Entry:
    """Title, place and time; the identifier is the session's own, so that it is the same in every feed."""
    return Entry(
        uid=f"session-{row.id}",
        title=row.revision.document["title"],
        place=row.location.name,
        starts_at=row.starts_at,
        minutes=minutes,
        version=row.version,
        changed_at=row.changed_at or row.created_at,
        is_cancelled=row.cancelled_at is not None,
    )
