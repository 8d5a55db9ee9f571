"""The day: what is on at each location, who has no prescription and why, what somebody has to look at."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from statistics import mode
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone

from athletes.actions.support import local_date
from athletes.queries import athletes_visible_to
from programming.api.group_views import GroupsView
from programming.api.session_views import SessionsView
from programming.queries import scheduled_sessions_visible_to
from scoring.api.prescription_views import PrescriptionsView
from scoring.api.result_views import AttemptsView
from services.access.api.organisation_views import LocationsView
from services.api.fields import FIRST_YEAR, LAST_YEAR
from services.console import answers
from services.console.day_lines import DayReader, Line
from services.console.page import OrganisationPage
from services.console.reports import open_reports
from services.console.words import day_said, short_day
from services.problems import BadRequest
from services.tenancy.actor import STAFF, Actor, Role
from services.tenancy.queries import locations_visible_to

A_DAY = dt.timedelta(days=1)


@dataclass(frozen=True)
class Place:
    """A location on its own date."""

    name: str
    zone: str
    day: str
    lines: Sequence[Line]


class TodayPage(OrganisationPage):
    shows = (SessionsView, LocationsView, GroupsView, PrescriptionsView, AttemptsView)
    place = "today"
    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        actor = self.member
        now, asked = timezone.now(), _asked_day(request)
        locations = _own_first(actor, list(locations_visible_to(actor).order_by("name", "id")))
        days = {one.id: asked or local_date(now, one.zone) for one in locations}
        day = asked or self._own_day(days, now)
        sessions = [
            one
            for one in answers.sessions_between(actor, *_ends(days.values(), day))
            if one.local_date == days.get(one.location_id)
        ]
        lines = DayReader(actor, self.address, now).lines(sessions)
        places = [
            Place(
                one.name,
                one.zone,
                day_said(days[one.id]),
                [lines[s.id] for s in sessions if s.location_id == one.id and s.id in lines],
            )
            for one in locations
        ]
        shown = [one for one in places if one.lines]
        return self.show(
            "console/today.html",
            day=day,
            day_said=day_said(day),
            is_today=asked is None,
            before=(day - A_DAY).isoformat(),
            after=(day + A_DAY).isoformat(),
            shown=shown,
            idle=[one.name for one in places if not one.lines] if shown else [],
            one_day=len(set(days.values())) <= 1,
            coming=self._coming(day) if not shown else None,
            to_review=_to_review(actor),
            reported=open_reports(actor).count() if actor.role in STAFF else 0,
        )

    def _own_day(self, days: Mapping[UUID, dt.date], now: dt.datetime) -> dt.date:
        """The reader's: of an athlete by their own clock, else that of most of the places where they work."""
        if self.member.role == Role.ATHLETE:
            zone = athletes_visible_to(self.member).values_list("zone", flat=True).first()
            if zone is not None:
                return local_date(now, zone)
        mine = [day for place, day in days.items() if place in self.member.location_ids]
        return mode(mine or days.values()) if days else now.date()

    def _coming(self, day: dt.date) -> tuple[str, str] | None:
        """The next day with something on, (its date, said); None where nothing is placed."""
        rows = scheduled_sessions_visible_to(self.member).filter(local_date__gt=day, cancelled_at=None)
        found = rows.order_by("local_date").values_list("local_date", flat=True).first()
        return None if found is None else (found.isoformat(), short_day(found))


def _to_review(actor: Actor) -> tuple[int, str] | None:
    """(how many results wait for a person, the address of the list); None for whom it is not."""
    if actor.role not in STAFF:
        return None
    return answers.open_reviews(actor).count(), reverse("console:reviews", args=[actor.org_id])


def _own_first(actor: Actor, locations: list[Any]) -> list[Any]:
    return sorted(locations, key=lambda one: one.id not in actor.location_ids)


def _ends(days: Collection[dt.date], day: dt.date) -> tuple[dt.date, dt.date]:
    return (min(days), max(days)) if days else (day, day)


def _asked_day(request: HttpRequest) -> dt.date | None:
    """Raises BadRequest for what is no day."""
    text = request.GET.get("date", "")
    if not text:
        return None
    try:
        day = dt.date.fromisoformat(text)
    except ValueError:
        day = dt.date.min
    # A day less at either end: the page leads to the days beside it.
    if not dt.date(FIRST_YEAR, 1, 2) <= day <= dt.date(LAST_YEAR, 12, 30):
        raise BadRequest(f"Give a day in the form 2030-01-31, between {FIRST_YEAR} and {LAST_YEAR}.")
    return day
