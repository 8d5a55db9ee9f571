"""A session: its aim, who does which version of it, what came back, and the ranking."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any, ClassVar
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from athletes.actions.support import local_date
from athletes.sessions_athletes import athletes_by_session
from programming.api.group_views import GroupsView
from programming.api.session_views import SessionView
from programming.api.template_views import RevisionView
from programming.horizon import PRESCRIBED_AHEAD
from programming.plans import SessionPlan, session_plan
from programming.queries import groups_visible_to, scheduled_sessions_visible_to
from scoring import queries
from scoring.api.prescription_views import PrescriptionsView, RankingView
from scoring.api.result_views import AttemptsView, AttemptView
from scoring.names import Names, names_of
from scoring.stored_content import as_current
from services.access.api.organisation_views import LocationsView
from services.api.views import OrganisationView
from services.console import answers
from services.console.aim import blocks_said
from services.console.given import Given, expected_said, given_of
from services.console.page import OrganisationPage
from services.console.ranked import ranking_of
from services.console.results import Result, conditions_of, result_of, scores_told
from services.console.unfit import why_unfit
from services.console.words import day_said, local_time, short_day
from services.tenancy.queries import locations_visible_to


class OneSession(OrganisationPage):
    """A page of one scheduled session."""

    shows: ClassVar[tuple[type[OrganisationView], ...]] = (
        SessionView,
        RevisionView,
        LocationsView,
        GroupsView,
        PrescriptionsView,
    )
    place = "today"
    http_method_names = ["get", "head"]
    session: Any
    plan: SessionPlan
    names: Names

    def read(self, session: UUID) -> None:
        """The session, what it is made of, and who does which version. Raises NotFound."""
        self.session = answers.found_or_404(scheduled_sessions_visible_to(self.member), session)
        self.plan = session_plan(session)
        self.names = names_of(self.plan)
        self.works = [item.key for block in self.plan.doc.blocks for item in block.work]
        rows = answers.current_prescriptions(self.member, session)
        self.given = [self._given(row) for row in rows]

    def _given(self, row: answers.Prescribed) -> Given:
        content = as_current(row.content)
        reason = "" if row.feasible or content["work"] else why_unfit(content, self.names)
        return given_of(row, content, self.works, self.names, reason)

    def heading(self) -> dict[str, Any]:
        """Title, place and time, for whom; times by the clock of the place."""
        one = self.session
        place = locations_visible_to(self.member).get(id=one.location_id)
        group = groups_visible_to(self.member).filter(id=one.group_id).values_list("name", flat=True).first()
        return {
            "session": one,
            "title": one.title,
            "location": place.name,
            "day": day_said(one.local_date),
            "time": local_time(one.starts_at, one.zone),
            "zone": one.zone,
            "whom": group or "everybody of the location",
            "quality": self.plan.doc.quality.replace("_", " "),
            "blocks": blocks_said(self.plan),
            "day_address": f"{self.address('today')}?date={one.local_date.isoformat()}",
            "session_address": self.address("session", one.id),
            "sheet_address": self.address("sheet", one.id),
        }

    def waiting(self, now: dt.datetime) -> list[str]:
        """By name, who takes part and has no answer yet, once they are worked out."""
        if self.session.starts_at - PRESCRIBED_AHEAD > now:
            return []
        answered = {one.athlete for one in self.given}
        there = athletes_by_session(self.member, [self.session])[self.session.id]
        return [one.name for one in there if one.id not in answered]

    def opens(self, now: dt.datetime) -> str:
        """The day on which prescriptions are worked out, where it has not come; else ""."""
        opens = self.session.starts_at - PRESCRIBED_AHEAD
        return short_day(local_date(opens, self.session.zone)) if opens > now else ""


class SessionPage(OneSession):
    shows = (*OneSession.shows, AttemptsView, AttemptView, RankingView)

    def get(self, request: HttpRequest, organisation: UUID, session: UUID) -> HttpResponse:
        self.read(session)
        now = timezone.now()
        return self.show(
            "console/session.html",
            **self.heading(),
            texts=self.plan.doc.texts,
            columns=[self.names.work(key) for key in self.works],
            rows=[(one, self.address("brief", one.id)) for one in self.given],
            waiting=self.waiting(now),
            opens=self.opens(now),
            results=[(one, self.address("result", one.id)) for one in self._results()],
            conditions=conditions_of(self.plan),
            ranking=ranking_of(self.member, session, self.names),
        )

    def _results(self) -> Sequence[Result]:
        """By name; each in the version that counts."""
        attempts = answers.current_results(self.member, self.session.id)
        ids = [row.id for row in attempts]
        scores = scores_told(queries.scores_by_attempt(ids), self.plan)
        reviewed, expected = queries.under_review(ids), self._expected(attempts)
        return [
            result_of(
                row,
                scores[row.id],
                name=row.name,
                expected=expected[row.id],
                open_review=row.id in reviewed,
                plan=self.plan,
                names=self.names,
            )
            for row in attempts
        ]

    def _expected(self, attempts: Sequence[answers.Sent]) -> Mapping[UUID, str]:
        """By attempt what was expected by the prescription that it was done under, else by the one that holds now.

        They are mostly the same: only those that were replaced since are read.
        """
        told = {one.id: _said(one.middle, one.spread) for one in self.given}
        under = {row.prescription_id for row in attempts if row.prescription_id is not None}
        for id_, content in answers.contents_of(self.member, under - told.keys()).items():
            told[id_] = _said(*expected_said(as_current(content)["expected"]))
        now = {one.athlete: told[one.id] for one in self.given}
        return {
            row.id: (row.prescription_id and told.get(row.prescription_id)) or now.get(row.athlete_id, "")
            for row in attempts
        }


def _said(middle: str, spread: str) -> str:
    return f"{middle} ({spread})" if spread else middle
