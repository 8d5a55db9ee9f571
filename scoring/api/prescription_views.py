"""Prescriptions and rankings: read only, the recompute writes them."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from programming.models import ScheduledSession
from programming.queries import scheduled_sessions_visible_to
from scoring import queries
from scoring.actions.rankings import FORECAST_NOTE
from scoring.api import prescription_serializers as ps
from scoring.api import ranking_serializers as rs
from scoring.api.filters import PrescriptionFilter
from scoring.models import Prescription, Ranking
from services.api.operation import Access, Operation
from services.api.views import OrganisationView
from services.tenancy.actor import EVERYONE, Scope


class PrescriptionsView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_prescriptions", output=ps.PrescriptionOutput, paged=True, filters=PrescriptionFilter
        )
    }
    access = {"GET": Access(EVERYONE, Scope.RESULTS_READ)}

    def get(self, request: Request, organisation: UUID) -> Response:
        """Prescriptions, newest first; `session=…&current=true` is a session's sheet."""
        return self.page(queries.prescriptions_visible_to(self.actor), order=("-issued_at", "-id"))


class PrescriptionView(OrganisationView):
    operation = {"GET": Operation(id="read_prescription", output=ps.PrescriptionOutput)}
    access = {"GET": Access(EVERYONE, Scope.RESULTS_READ)}

    def prepare(self, organisation: UUID, prescription: UUID) -> None:
        rows = queries.prescriptions_visible_to(self.actor)
        self.prescription: Prescription = self.get_object_or_404(rows, prescription)

    def get(self, request: Request, organisation: UUID, prescription: UUID) -> Response:
        """One prescription with its forecast and what both are based on."""
        return self.reply(self.prescription)


class RankingView(OrganisationView):
    operation = {"GET": Operation(id="read_ranking", output=rs.RankingOutput)}
    access = {"GET": Access(EVERYONE, Scope.RESULTS_READ)}

    def prepare(self, organisation: UUID, session: UUID) -> None:
        rows = scheduled_sessions_visible_to(self.actor)
        self.session: ScheduledSession = self.get_object_or_404(rows, session)

    def get(self, request: Request, organisation: UUID, session: UUID) -> Response:
        """The rankings of a session: by official score within a division, by block, and by one's own forecast."""
        stored: Any = queries.rankings_visible_to(self.actor).filter(session_id=session).first()
        if stored is None:
            stored = Ranking(session_id=session, official=[], by_forecast={"note": FORECAST_NOTE, "rows": []})
        queries.name_rows(stored)
        return self.reply(stored)
