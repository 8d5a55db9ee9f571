"""Making, revoking and reading calendar feeds."""

from __future__ import annotations

import datetime as dt
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.db import transaction
from django.db.models import Case, F, Q, Value, When

from athletes.queries import athletes_visible_to
from services.access.actions import digest_of
from services.exchange.calendar import written
from services.exchange.errors import TooManyFeeds
from services.exchange.models import Feed
from services.exchange.queries import entries_of
from services.problems import FieldProblem, Invalid, NotFound, TooManyRequests
from services.tenancy.actor import Actor
from services.tenancy.context import setting, tenant
from services.tenancy.locks import wait_for
from services.tenancy.models import Membership
from services.tenancy.queries import actor_for, locations_visible_to

MOST_FEEDS: Final = 20
MOST_READS: Final = 240
WINDOW: Final = dt.timedelta(hours=1)


@dataclass(frozen=True)
class Reading:
    """A calendar as it goes out, and how often the feed may still be read in this hour."""

    body: bytes
    reads_left: int
    window_ends_in_s: int


@transaction.atomic
def make_feed(
    *, actor: Actor, athlete_id: UUID | None, location_id: UUID | None, label: str, entry_minutes: int
) -> tuple[Feed, str]:
    """A feed and its secret, which exists nowhere else from here on.

    Raises Invalid unless exactly one of athlete and location is named, and the actor sees it; TooManyFeeds.
    """
    if (athlete_id is None) == (location_id is None):
        raise Invalid(errors=[FieldProblem("#", "one_of", "Name either an athlete or a location.")])
    if athlete_id is not None and not athletes_visible_to(actor).filter(id=athlete_id).exists():
        raise _unknown("athlete")
    if location_id is not None and not locations_visible_to(actor).filter(id=location_id).exists():
        raise _unknown("location")
    wait_for(f"{actor.org_id}/feeds/{actor.person_id}")
    if Feed.objects.filter(made_by_id=actor.person_id).count() >= MOST_FEEDS:
        raise TooManyFeeds(f"You have {MOST_FEEDS} feeds here; revoke one that is not read any more.")
    secret = secrets.token_urlsafe(32)
    feed = Feed.objects.create(
        org_id=actor.org_id,
        athlete_id=athlete_id,
        location_id=location_id,
        label=label,
        entry_minutes=entry_minutes,
        digest=digest_of(secret),
        made_by_id=actor.person_id,
    )
    return feed, secret


def _unknown(name: str) -> Invalid:
    detail = f"You see no {name} with this id."
    return Invalid(errors=[FieldProblem(f"#/{name}", "unknown_reference", detail)])


@transaction.atomic
def revoke_feed(*, feed: Feed) -> None:
    """At once: whoever has the address gets 404 from here on."""
    Feed.objects.filter(id=feed.id).delete()


def read_feed(*, secret: str, now: dt.datetime) -> Reading:
    """The calendar behind a secret (nine queries).

    Raises NotFound for a secret that is no feed's, and for one whose maker is not a member any more; both look alike.
    TooManyRequests beyond 240 reads in an hour.
    """
    with _opened(secret) as (feed, actor):
        left, ends_in_s = _count(feed, now)
        return Reading(written(feed.label, entries_of(feed, actor, now)), left, ends_in_s)


@contextmanager
def _opened(secret: str) -> Iterator[tuple[Feed, Actor]]:
    """The feed and its maker, inside their organisation."""
    digest = digest_of(secret)
    with setting("app.digest", digest):
        feed = Feed.unscoped.filter(digest=digest).first()
    actor = None if feed is None else actor_for(feed.made_by_id, feed.org_id)
    if feed is None or actor is None:
        raise NotFound()
    with tenant(feed.org_id):
        if not Membership.objects.filter(id=actor.membership_id, person__is_active=True).exists():
            raise NotFound()
        yield feed, actor


def _count(feed: Feed, now: dt.datetime) -> tuple[int, int]:
    """(reads left, seconds until they begin anew) after this one. Raises TooManyRequests; one query, two then."""
    over = Q(reads_since=None) | Q(reads_since__lte=now - WINDOW)
    mine = Feed.objects.filter(id=feed.id)
    counted = mine.filter(over | Q(reads__lt=MOST_READS)).update(
        reads=Case(When(over, then=Value(1)), default=F("reads") + 1),
        reads_since=Case(When(over, then=Value(now)), default=F("reads_since")),
        last_read_at=now,
    )
    feed.refresh_from_db(fields=["reads", "reads_since"])
    since = feed.reads_since or now
    ends_in_s = max(1, int((since + WINDOW - now).total_seconds()))
    if not counted:
        raise TooManyRequests(
            f"This feed was read {MOST_READS} times within the hour; once an hour is enough.",
            headers={"Retry-After": str(ends_in_s)},
        )
    return MOST_READS - feed.reads, ends_in_s
