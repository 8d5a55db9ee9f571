"""How far to trust forecasts: what came of them."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from athletes.models import Athlete
from athletes.queries import athletes_visible_to
from scoring.api import forecast_check_serializers as s
from scoring.api.forecast_check_filters import RowFilter, SummaryFilter
from scoring.queries import forecast_checks_visible_to
from scoring.trusted import left_out, trusted
from services.api.operation import Access, Operation
from services.api.views import OrganisationView
from services.tenancy.actor import EVERYONE, Scope


class ForecastChecksView(OrganisationView):
    operation = {
        "GET": Operation(id="read_forecast_checks", output=s.ForecastChecksOutput, filters=SummaryFilter)
    }
    access = {"GET": Access(EVERYONE, Scope.RESULTS_READ)}

    def get(self, request: Request, organisation: UUID) -> Response:
        """How often results lay inside the intervals of their forecasts, and on which side: by movement for first
        sets, by what is scored for blocks; staff of the athletes they see, athletes of their own results.
        """
        rows = self._filtered(forecast_checks_visible_to(self.actor))
        return self.reply((trusted(rows), left_out(rows)))


class AthleteForecastChecksView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_forecast_checks", output=s.ForecastCheckOutput, paged=True, filters=RowFilter
        )
    }
    access = {"GET": Access(EVERYONE, Scope.RESULTS_READ)}

    def prepare(self, organisation: UUID, athlete: UUID) -> None:
        self.athlete: Athlete = self.get_object_or_404(athletes_visible_to(self.actor), athlete)

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """An athlete's first sets and scores held against their forecasts, newest first, also those that do not
        count, and why."""
        rows = forecast_checks_visible_to(self.actor).filter(athlete=self.athlete)
        return self.page(rows, order=("-local_date", "-id"))
