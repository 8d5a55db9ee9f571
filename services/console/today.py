"""The day: what is on at each location, who has no prescription and why, what somebody has to look at.

Where many locations have something on, those where the reader works are told session by session, and the others in a
line each, which leads to the page of that location alone.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from statistics import mode
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpRequest, HttpResponse
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
from services.console.day_lines import Counts, DayReader, Line, counts_of
from services.console.folded import MOST_WHOLE, fold, in_all, tally
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
    now: dt.datetime
    asked: dt.date | None
    alone: Any
    days: Mapping[UUID, dt.date]

    def get(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        actor = self.member
        self.now, self.asked = timezone.now(), _asked_day(request)
        locations = _own_first(actor, list(locations_visible_to(actor).order_by("name", "id")))
        self.alone = _asked_location(request, locations)
        if self.alone is not None:
            locations = [self.alone]
        self.days = {one.id: self.asked or local_date(self.now, one.zone) for one in locations}
        day = self.asked or self._own_day()
        on = self._on(day)
        counts = counts_of(actor, [one for found in on.values() for one in found])
        whole = self._whole(on)
        shown = self._shown(locations, on, whole, counts)
        return self.show(
            "console/today.html",
            day=day,
            day_said=day_said(day),
            is_today=self.asked is None,
            before=self._query(day - A_DAY),
            after=self._query(day + A_DAY),
            now=self._query(None),
            alone=self.alone,
            all_locations=f"?{urlencode(self._asked())}",
            one_day=len(set(self.days.values())) <= 1,
            **shown,
            **self._folded([one for one in locations if one.id in on and one.id not in whole], on, counts),
            coming=None if shown["shown"] or set(on) - set(whole) else self._coming(day),
            to_review=self._to_review(counts),
            reported=open_reports(actor).count() if actor.role in STAFF else 0,
        )

    def _on(self, day: dt.date) -> dict[UUID, list[Any]]:
        """By location that has any, its sessions of the day there, earliest first."""
        found: dict[UUID, list[Any]] = {}
        for one in answers.sessions_between(self.member, *_ends(self.days.values(), day)):
            if one.local_date == self.days.get(one.location_id):
                found.setdefault(one.location_id, []).append(one)
        return found

    def _whole(self, on: Collection[UUID]) -> Collection[UUID]:
        """Locations that are told session by session: all where that are few, else those where the reader works.

        Of an athlete all: of the sessions only those are shown that they take part in.
        """
        if len(on) <= MOST_WHOLE or self.member.role == Role.ATHLETE:
            return on
        mine = {place for place in self.member.location_ids if place in on}
        return mine if len(mine) <= MOST_WHOLE else set()

    def _shown(
        self, locations: Sequence[Any], on: Mapping[UUID, list[Any]], whole: Collection[UUID], counts: Counts
    ) -> dict[str, Any]:
        sessions = [one for place in locations if place.id in whole for one in on[place.id]]
        lines = DayReader(self.member, self.address, self.now, counts).lines(sessions)
        places = [
            Place(
                one.name,
                one.zone,
                day_said(self.days[one.id]),
                [lines[s.id] for s in on.get(one.id, []) if s.id in lines],
            )
            for one in locations
            if one.id in whole or one.id not in on
        ]
        return {
            "shown": [one for one in places if one.lines],
            "idle": [one.name for one in places if not one.lines],
        }

    def _folded(
        self, locations: Sequence[Any], on: Mapping[UUID, list[Any]], counts: Counts
    ) -> dict[str, Any]:
        """Those first where most are without a version, else by name; with what is told of all."""
        told = [(one, tally(on[one.id], counts, self.now)) for one in locations]
        several = len(set(self.days.values())) > 1
        told.sort(key=lambda row: (-row[1].without, row[0].name))
        return {
            "folded": [
                fold(
                    one.name,
                    short_day(self.days[one.id]) if several else "",
                    f"?{urlencode({**self._asked(), 'location': one.id})}",
                    found,
                )
                for one, found in told
            ],
            "in_all": in_all([found for _, found in told]),
        }

    def _asked(self) -> dict[str, str]:
        """The day, where one was asked for."""
        return {} if self.asked is None else {"date": self.asked.isoformat()}

    def _query(self, day: dt.date | None) -> str:
        """Of the same places on another day, or today."""
        told = {"date": None if day is None else day.isoformat(), "location": self.alone and self.alone.id}
        return f"?{urlencode({name: value for name, value in told.items() if value})}"

    def _own_day(self) -> dt.date:
        """The reader's: of an athlete by their own clock, else that of most of the places where they work."""
        if self.member.role == Role.ATHLETE:
            zone = athletes_visible_to(self.member).values_list("zone", flat=True).first()
            if zone is not None:
                return local_date(self.now, zone)
        mine = [day for place, day in self.days.items() if place in self.member.location_ids]
        return mode(mine or self.days.values()) if self.days else self.now.date()

    def _coming(self, day: dt.date) -> tuple[str, str] | None:
        """The next day with something on, (its date, said); None where nothing is placed."""
        rows = scheduled_sessions_visible_to(self.member).filter(local_date__gt=day, cancelled_at=None)
        if self.alone is not None:
            rows = rows.filter(location=self.alone.id)
        found = rows.order_by("local_date").values_list("local_date", flat=True).first()
        return None if found is None else (self._query(found), short_day(found))

    def _to_review(self, counts: Counts) -> tuple[int, str] | None:
        """(how many results wait for a person, the address of the list); None for whom it is not."""
        if self.member.role not in STAFF:
            return None
        return sum(counts.reviews.values()), self.address("reviews")


def _own_first(actor: Actor, locations: list[Any]) -> list[Any]:
    return sorted(locations, key=lambda one: one.id not in actor.location_ids)


def _ends(days: Collection[dt.date], day: dt.date) -> tuple[dt.date, dt.date]:
    return (min(days), max(days)) if days else (day, day)


def _asked_location(request: HttpRequest, locations: Sequence[Any]) -> Any:
    """The one to which the page is narrowed, or None; as of athletes, what is none of them narrows nothing."""
    text = request.GET.get("location", "")
    return next((one for one in locations if str(one.id) == text), None)


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
