"""Calendar feeds: making, listing and revoking them inside an organisation, reading one from outside."""

from __future__ import annotations

from hashlib import sha256
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.urls import reverse
from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from services.api.links import absolute
from services.api.operation import Access, Idempotency, Operation
from services.api.views import OrganisationView, PublicView
from services.exchange.actions.feeds import MOST_READS, Reading, make_feed, read_feed, revoke_feed
from services.exchange.api import serializers as s
from services.exchange.errors import TooManyFeeds
from services.exchange.models import Feed
from services.exchange.queries import feeds_visible_to
from services.problems import TooManyRequests
from services.tenancy.actor import EVERYONE, Scope

CALENDAR = "text/calendar"
FEED_EXAMPLE: dict[str, Any] = {
    "id": "3f0e4a52-7b1c-4f19-9f7e-6a3b1c7d2e90",
    "athlete": "1c9e1f7a-0d3b-4c58-8a55-1f0e5b2c7d44",
    "location": None,
    "label": "My sessions",
    "entry_minutes": 60,
    "made_by": "5d1a2b3c-4e5f-4a6b-8c7d-9e0f1a2b3c4d",
    "created_at": "2026-10-19T06:10:00Z",
    "last_read_at": None,
}


class FeedsView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_feeds", output=s.FeedOutput, paged=True, response_example=FEED_EXAMPLE, tags=("feeds",)
        ),
        "POST": Operation(
            id="create_feed",
            input=s.FeedInput,
            output=s.NewFeedOutput,
            status=201,
            idempotency=Idempotency.EXEMPT,
            errors=(TooManyFeeds,),
            tags=("feeds",),
            request_example={"athlete": FEED_EXAMPLE["athlete"], "label": "My sessions"},
            response_example={
                **FEED_EXAMPLE,
                "url": "https://dosewright.example.org/api/v1/feeds/4Tq…0w.ics",
            },
        ),
    }
    access = {
        "GET": Access(EVERYONE, Scope.PROGRAMME_READ),
        "POST": Access(EVERYONE, Scope.PROGRAMME_WRITE),
    }

    def get(self, request: Request, organisation: UUID) -> Response:
        """Calendar feeds, newest first: one's own, and those of athletes whom one sees; coaches see all."""
        return self.page(feeds_visible_to(self.actor), order=("-created_at", "-id"))

    def post(self, request: Request, organisation: UUID) -> Response:
        """Make a calendar feed (iCalendar) of an athlete or a location, with a secret address shown this once.

        It tells title, place and time of sessions, nothing of what they ask, and cancelled ones as cancelled. It ends
        with the membership of who made it.
        """
        data = self.read_input()
        feed: Any
        feed, secret = make_feed(
            actor=self.actor,
            athlete_id=data.get("athlete"),
            location_id=data.get("location"),
            label=data["label"],
            entry_minutes=data.get("entry_minutes", s.USUAL_MINUTES),
        )
        feed.url = absolute(request, reverse("read-feed", kwargs={"feed_secret": secret}))
        return self.reply(feed)


class FeedView(OrganisationView):
    operation = {"DELETE": Operation(id="revoke_feed", status=204, tags=("feeds",))}
    access = {"DELETE": Access(EVERYONE, Scope.PROGRAMME_WRITE)}

    def prepare(self, organisation: UUID, feed: UUID) -> None:
        self.feed: Feed = self.get_object_or_404(feeds_visible_to(self.actor), feed)

    def delete(self, request: Request, organisation: UUID, feed: UUID) -> Response:
        """Revoke a feed at once: its address answers 404 from here on."""
        revoke_feed(feed=self.feed)
        return self.no_content()


class CalendarView(PublicView):
    """The address is the secret: it enters no log (see also services.access_log), and no Referer."""

    operation = {
        "GET": Operation(
            id="read_feed", content_type=CALENDAR, etag=True, errors=(TooManyRequests,), tags=("feeds",)
        )
    }

    def get(self, request: Request, feed_secret: str) -> HttpResponse:
        """The calendar behind a secret address (RFC 5545): sessions of the last 90 and the next 400 days.

        240 reads an hour are answered; once an hour is enough.
        """
        reading = read_feed(secret=feed_secret, now=timezone.now())
        tag = f'"{sha256(reading.body).hexdigest()[:32]}"'
        headers = {"ETag": tag, **_limits(reading)}
        return HttpResponse(reading.body, content_type=f"{CALENDAR}; charset=utf-8", headers=headers)

    def finalize_response(self, request: Request, response: Any, *args: Any, **kwargs: Any) -> Any:
        done: Any = super().finalize_response(request, response, *args, **kwargs)
        done.headers["Referrer-Policy"] = "no-referrer"
        # Django logs refusals with their path, which is the secret here; the request id is logged without it.
        done._has_been_logged = True
        return done


def _limits(reading: Reading) -> dict[str, str]:
    """As the draft on RateLimit header fields has them (draft-ietf-httpapi-ratelimit-headers)."""
    return {
        "RateLimit-Policy": f'"reads";q={MOST_READS};w=3600',
        "RateLimit": f'"reads";r={reading.reads_left};t={reading.window_ends_in_s}',
    }
