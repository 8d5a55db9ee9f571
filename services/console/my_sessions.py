"""The list of one's own sessions: what is coming, and what was done."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from athletes.actions.support import local_date
from scoring.api.prescription_views import PrescriptionsView
from scoring.api.result_views import AttemptsView
from services.access.api.organisation_views import LocationsView
from services.console import answers
from services.console.my_day import MyDayPage
from services.console.my_page import MyPage
from services.console.my_wellness import MyWellnessPage
from services.console.words import local_time, short_day
from services.tenancy.queries import locations_visible_to

AHEAD: Final = dt.timedelta(days=28)
BACK: Final = dt.timedelta(days=42)


@dataclass(frozen=True)
class Mine:
    address: str
    day: str
    time: str
    title: str
    where: str
    told: str


class MySessionsPage(MyPage):
    shows = (*MyPage.shows, LocationsView, PrescriptionsView, AttemptsView)
    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        now = timezone.now()
        rows = self.my_sessions().filter(starts_at__gte=now - BACK, starts_at__lte=now + AHEAD)
        sessions = list(rows.order_by("starts_at", "id"))
        coming = [one for one in sessions if one.local_date >= local_date(now, one.zone)]
        past = [one for one in reversed(sessions) if one.local_date < local_date(now, one.zone)]
        told = self._told(sessions)
        return self.show(
            "console/my_sessions.html",
            coming=self._lines(coming, told),
            past=self._lines(past, told),
            ahead=AHEAD.days,
            back=BACK.days,
            ways=self._ways(),
        )

    def _ways(self) -> list[tuple[str, str]]:
        """(title, address) of the other pages of one's own that this reader may open."""
        told = (
            ("Training beside the programme, and rest", "my-day", MyDayPage),
            ("How are you?", "my-wellness", MyWellnessPage),
        )
        return [(title, self.address(name)) for title, name, page in told if page.open_to(self.member)]

    def _lines(self, sessions: Sequence[Any], told: dict[UUID, str]) -> list[Mine]:
        places = dict(locations_visible_to(self.member).values_list("id", "name"))
        return [
            Mine(
                address=self.address("my-session", one.id),
                day=short_day(one.local_date),
                time=local_time(one.starts_at, one.zone),
                title=one.title,
                where=places.get(one.location_id, ""),
                told="cancelled" if one.cancelled_at is not None else told[one.id],
            )
            for one in sessions
        ]

    def _told(self, sessions: Sequence[Any]) -> dict[UUID, str]:
        """By session, how far it is with this athlete (two queries)."""
        ids = [one.id for one in sessions]
        mine = self.athlete.id
        done = set(
            answers.current_attempts(self.member, ids)
            .filter(athlete=mine)
            .values_list("session_id", flat=True)
        )
        given = answers.own_versions(self.member, ids, mine)
        return {id_: _state(id_ in done, given.get(id_)) for id_ in ids}


def _state(done: bool, feasible: bool | None) -> str:
    if done:
        return "result sent"
    if feasible is None:
        return ""
    return "your version is ready" if feasible else "no version for you: read why"
