"""An athlete's brief: the words that the interface answers, part by part."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse

from programming.api.session_views import SessionView
from programming.queries import scheduled_sessions_visible_to
from scoring.api.profile_views import BriefView
from scoring.brief import brief_of
from scoring.queries import prescriptions_visible_to
from services.console import answers
from services.console.page import OrganisationPage
from services.console.words import day_said, local_time


class BriefPage(OrganisationPage):
    shows = (BriefView, SessionView)
    place = "today"
    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, organisation: UUID, prescription: UUID) -> HttpResponse:
        actor = self.member
        given = answers.found_or_404(prescriptions_visible_to(actor), prescription)
        session = answers.found_or_404(scheduled_sessions_visible_to(actor), given.session_id)
        later = given.superseded_by
        return self.show(
            "console/brief.html",
            brief=brief_of(given, superseded_by=later),
            athlete=given.athlete.name,
            when=f"{day_said(session.local_date)}, {local_time(session.starts_at, session.zone)}",
            session_address=self.address("session", session.id),
            later=None if later is None else self.address("brief", later),
        )
