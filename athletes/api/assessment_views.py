"""Tests and what they say about capacity."""

from __future__ import annotations

import math
from typing import Any
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.assessments import correct_assessment, record_assessment
from athletes.actions.support import local_date
from athletes.actions.tested import Performance
from athletes.api import assessment_serializers as a
from athletes.api import capacity_serializers as c
from athletes.api import examples
from athletes.api.athlete_views import READ, AthleteScopedView
from athletes.capacity_history import history_of
from athletes.errors import (
    AlreadyCorrected,
    BodyMassMissing,
    ClientIdReused,
    ImplausibleTest,
    NotALoad,
    NotYourLocation,
)
from athletes.figures import ASKED_UNITS, FigureReader, figure_reader, figures_at
from athletes.models import Assessment
from athletes.moments import next_full_hour
from athletes.performed import Settings
from athletes.queries import assessments_visible_to, capacities_visible_to
from services.api.operation import Access, Idempotency, Operation
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import EVERYONE, Scope

RESULTS_READ = Access(EVERYONE, Scope.RESULTS_READ)
RESULTS_WRITE = Access(EVERYONE, Scope.RESULTS_WRITE)
REFUSALS = (BodyMassMissing, NotALoad, ImplausibleTest, ClientIdReused, NotYourLocation)
SETTINGS = ("load_kg", "assistance_kg", "height_cm")
AMOUNTS = ("hold_s", "distance_m", "energy_kcal", "elapsed_s")


def _performance(told: dict[str, Any]) -> Performance:
    return Performance(
        kind=told["kind"],
        repetitions=told.get("repetitions"),
        performed_at=told["performed_at"],
        settings=Settings(*(told.get(name) for name in SETTINGS)),
        rir=told.get("rir"),
        ended_by=told.get("ended_by"),
        **{name: told.get(name) for name in AMOUNTS},
    )


class AssessmentsView(AthleteScopedView):
    operation = {
        "GET": Operation(
            id="list_assessments",
            output=a.AssessmentOutput,
            paged=True,
            response_example=examples.ASSESSMENT,
        ),
        "POST": Operation(
            id="record_assessment",
            input=a.AssessmentInput,
            output=a.AssessmentOutput,
            status=201,
            stored_before=True,
            idempotency=Idempotency.REQUIRED,
            errors=REFUSALS,
            request_example=examples.ASSESSMENT_INPUT,
            response_example=examples.ASSESSMENT,
        ),
    }
    access = {"GET": RESULTS_READ, "POST": RESULTS_WRITE}

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """The athlete's tests, latest first, with those that a correction has replaced."""
        rows = assessments_visible_to(self.actor).filter(athlete=self.athlete)
        return self.page(rows, order=("-performed_at", "-id"))

    def post(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Record a test of a variation; how it ended decides what it says about capacity."""
        told = self.read_input()
        assessment, created = record_assessment(
            actor=self.actor,
            athlete=self.athlete,
            variation_id=told["variation_id"],
            tested=_performance(told),
            now=timezone.now(),
            client_id=told.get("client_id"),
            confirmed=told.get("confirmed", False),
        )
        return self.reply(assessment, location=f"{request.path}/{assessment.id}", created=created)


class AssessmentScopedView(AthleteScopedView):
    assessment: Assessment

    def prepare(self, **kwargs: Any) -> None:
        super().prepare(**kwargs)
        rows = assessments_visible_to(self.actor).filter(athlete=self.athlete).select_related("athlete")
        self.assessment = self.get_object_or_404(rows, kwargs["assessment"])


class AssessmentView(AssessmentScopedView):
    operation = {
        "GET": Operation(
            id="read_assessment", output=a.AssessmentOutput, response_example=examples.ASSESSMENT
        )
    }
    access = {"GET": RESULTS_READ}

    def get(self, request: Request, organisation: UUID, athlete: UUID, assessment: UUID) -> Response:
        """One test as it was sent, and what replaced it."""
        return self.reply(self.assessment)


class CorrectionsView(AssessmentScopedView):
    operation = {
        "POST": Operation(
            id="correct_assessment",
            input=a.CorrectionInput,
            output=a.AssessmentOutput,
            status=201,
            stored_before=True,
            idempotency=Idempotency.REQUIRED,
            errors=(*REFUSALS, AlreadyCorrected),
            request_example={**examples.ASSESSMENT_INPUT, "reason": "Counted 23, wrote 32."},
            response_example=examples.ASSESSMENT,
        )
    }
    access = {"POST": RESULTS_WRITE}

    def post(self, request: Request, organisation: UUID, athlete: UUID, assessment: UUID) -> Response:
        """Replace a test by what it should have said, with the reason; the first version stays readable."""
        told = self.read_input()
        corrected, created = correct_assessment(
            actor=self.actor,
            assessment=self.assessment,
            variation_id=told["variation_id"],
            tested=_performance(told),
            reason=told["reason"],
            now=timezone.now(),
            client_id=told.get("client_id"),
            confirmed=told.get("confirmed", False),
        )
        base = request.path.removesuffix(f"/{self.assessment.id}/corrections")
        return self.reply(corrected, location=f"{base}/{corrected.id}", created=created)


class CapacitiesView(AthleteScopedView):
    operation = {
        "GET": Operation(
            id="list_capacities", output=c.CapacityOutput, paged=True, response_example=examples.CAPACITY
        )
    }
    access = {"GET": READ}
    reader: FigureReader

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """What the athlete can do today in each movement that was seen, at what was last done in it."""
        self.reader = figure_reader(self.athlete, next_full_hour(timezone.now(), self.athlete.zone))
        rows = capacities_visible_to(self.actor).filter(athlete=self.athlete)
        return self.page(rows, order=("movement", "id"))


class CapacityHistoryView(AthleteScopedView):
    operation = {
        "GET": Operation(
            id="read_capacity_history",
            output=c.CapacityHistoryOutput,
            response_example=examples.CAPACITY_HISTORY,
        )
    }
    access = {"GET": READ}

    def get(self, request: Request, organisation: UUID, athlete: UUID, movement: UUID) -> Response:
        """How the capacity in a movement went: the newest 60 days with a sight, and today."""
        today = local_date(timezone.now(), self.athlete.zone)
        return self.reply(history_of(self.athlete, movement, today))


class CapacityView(AthleteScopedView):
    operation = {
        "GET": Operation(
            id="read_capacity",
            output=c.FiguresOutput,
            parameters=(
                *(
                    OpenApiParameter(name, float, description=f"The setting of the variation, {unit}.")
                    for name, unit in zip(SETTINGS, ("kg", "kg", "cm"), strict=True)
                ),
                *(
                    OpenApiParameter(name, float, description=f"The amount whose time is told, {unit}.")
                    for name, unit in zip(ASKED_UNITS, ("m", "kcal as the machine shows them"), strict=True)
                ),
            ),
            response_example=examples.CAPACITY,
        )
    }
    access = {"GET": READ}

    def get(self, request: Request, organisation: UUID, athlete: UUID, variation: UUID) -> Response:
        """What the athlete can do today in a variation at a load; if never seen, what is true of people."""
        settings = Settings(*(self._number(name) for name in SETTINGS))
        now = next_full_hour(timezone.now(), self.athlete.zone)
        return self.reply(figures_at(self.athlete, variation, settings, now, self._asked()))

    def _asked(self) -> tuple[str, float] | None:
        told = [(name, value) for name in ASKED_UNITS if (value := self._number(name)) is not None]
        if len(told) > 1:
            detail = "Ask for one amount at a time."
            raise Invalid(errors=[FieldProblem("", "contradiction", detail, parameter=ASKED_UNITS[1])])
        return told[0] if told else None

    def _number(self, name: str) -> float | None:
        text = self.request.query_params.get(name)
        if text is None:
            return None
        try:
            value = float(text) if len(text) <= 20 else math.nan
        except ValueError:
            value = math.nan
        if not math.isfinite(value):
            raise Invalid(errors=[FieldProblem("", "invalid", "Must be a finite number.", parameter=name)])
        return value
