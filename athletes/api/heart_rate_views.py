"""Resting and maximal heart rate of an athlete."""

from __future__ import annotations

from typing import Any, Final
from uuid import UUID

from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.heart_rates import Stated, state_heart_rates, take_heart_rates_back
from athletes.api import heart_rate_serializers as s
from athletes.api.athlete_views import AthleteScopedView
from athletes.api.health_views import HealthView
from athletes.api.wellness_views import READ_ANSWERS, WRITE_ANSWERS
from athletes.errors import ClientIdReused, NotYourLocation
from athletes.health_reads import HEART_RATE
from athletes.heart_rates import heart_rates_visible_to
from athletes.models import HeartRates
from services.api.operation import Operation

INPUT_EXAMPLE: Final[dict[str, Any]] = {
    "from_date": "2030-01-12",
    "resting_bpm": 52,
    "resting_source": "measured",
    "maximal_bpm": 191,
    "maximal_source": "measured",
    "coefficients": "banister_1991_women",
}
EXAMPLE: Final[dict[str, Any]] = {
    "id": "2d4f7a10-3f0e-4a43-9d35-7d0f5a1c9b66",
    "athlete": "4c1de2a5-5d0c-4f0e-9c57-0d4c8d0f7a11",
    **INPUT_EXAMPLE,
    "client_id": None,
    "recorded_by": "f1b9b9f0-4d1f-4df0-8a58-9a4d4f2e1c33",
    "created_at": "2030-01-12T18:30:00Z",
}


class HeartRatesView(HealthView, AthleteScopedView):
    health = HEART_RATE
    operation = {
        "GET": Operation(
            id="list_heart_rates", output=s.HeartRatesOutput, paged=True, response_example=EXAMPLE
        ),
        "POST": Operation(
            id="state_heart_rates",
            input=s.HeartRatesInput,
            output=s.HeartRatesOutput,
            status=201,
            stored_before=True,
            errors=(ClientIdReused, NotYourLocation),
            request_example=INPUT_EXAMPLE,
            response_example=EXAMPLE,
        ),
    }
    access = {"GET": READ_ANSWERS, "POST": WRITE_ANSWERS}

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """What was stated, latest day first; staff of a location do not read it."""
        rows = heart_rates_visible_to(self.actor).filter(athlete=self.athlete)
        return self.page(rows, order=("-from_date", "-created_at", "-id"))

    def post(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """State both rates from a day on, and with which coefficients load from heart rate is told.

        They also hold for days before the first statement. What was wrong is stated anew, or taken back.
        """
        told = self.read_input()
        client_id = told.pop("client_id", None)
        row, created = state_heart_rates(
            actor=self.actor,
            athlete=self.athlete,
            stated=Stated(**told),
            now=timezone.now(),
            client_id=client_id,
        )
        return self.reply(row, location=request.path, created=created)


class HeartRatesRowView(AthleteScopedView):
    operation = {"DELETE": Operation(id="take_heart_rates_back", status=204, errors=(NotYourLocation,))}
    access = {"DELETE": WRITE_ANSWERS}

    def prepare(self, **kwargs: Any) -> None:
        super().prepare(**kwargs)
        rows = heart_rates_visible_to(self.actor).filter(athlete=self.athlete).select_related("athlete")
        self.row: HeartRates = self.get_object_or_404(rows, kwargs["heart_rates"])

    def delete(self, request: Request, organisation: UUID, athlete: UUID, heart_rates: UUID) -> Response:
        """They were not this athlete's, or not so."""
        take_heart_rates_back(actor=self.actor, row=self.row)
        return self.no_content()
