"""Pages of the athlete's own: whoever reads them, they are about the athlete that the reader is here."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import UUID

from django.db.models import Q, QuerySet
from django.http import HttpRequest
from django.http.response import HttpResponseBase

from athletes.api.athlete_views import AthletesView
from athletes.participation import sessions_with
from athletes.queries import athletes_visible_to
from programming.api.session_views import SessionsView
from programming.queries import scheduled_sessions_visible_to
from scoring.queries import attempts_visible_to, prescriptions_visible_to
from services.api.views import OrganisationView
from services.console.my_fields import Weights
from services.console.page import OrganisationPage
from services.problems import NotFound

READER: str = "Dosewright-Reader"
"""Tells the page's worker whose page it keeps, so that it throws away those of somebody else."""


class NotAnAthlete(NotFound):
    """You are not entered as an athlete here, so there are no sessions of your own."""

    title = "No sessions of your own"
    remedy = "Ask whoever leads the team to enter you as an athlete and to join that entry with your sign-in."


class MyPage(OrganisationPage):
    """Raises NotAnAthlete (404) for whoever is no active athlete of the organisation."""

    shows: ClassVar[tuple[type[OrganisationView], ...]] = (AthletesView, SessionsView)
    place = "my-sessions"
    athlete: Any
    weights: Weights

    def enter(self, **kwargs: Any) -> None:
        super().enter(**kwargs)
        rows = athletes_visible_to(self.member).filter(person_id=self.member.person_id, is_active=True)
        self.athlete = rows.first()
        if self.athlete is None:
            raise NotAnAthlete(
                "You are not entered as an athlete here, so there are no sessions of your own."
            )
        self.weights = Weights(self.reader.weights)

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        response = super().dispatch(request, *args, **kwargs)
        if self.actor is not None:
            response.headers[READER] = str(self.actor.person_id)
        return response

    def my_sessions(self) -> QuerySet[Any]:
        """Those that the athlete takes part in, and those with a prescription or a result of theirs."""
        mine = self.athlete.id
        there = sessions_with(athlete=mine, location=self.athlete.location_id)
        given = prescriptions_visible_to(self.member).filter(athlete=mine).values("session")
        done = attempts_visible_to(self.member).filter(athlete=mine).values("session")
        found: QuerySet[Any] = scheduled_sessions_visible_to(self.member).filter(
            Q(id__in=there.values("id")) | Q(id__in=given) | Q(id__in=done)
        )
        return found

    def my_session(self, session: UUID) -> Any:
        row = self.my_sessions().filter(id=session).first()
        if row is None:
            raise NotFound()
        return row
