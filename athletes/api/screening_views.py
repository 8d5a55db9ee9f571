"""Pre-exercise screening and absences."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.absences import Answer, answer_absence, report_absence
from athletes.actions.screenings import record_screening, void_screening
from athletes.api import safety_examples as examples
from athletes.api import safety_serializers as s
from athletes.api.athlete_views import READ, WRITE, AthleteScopedView
from athletes.api.health_views import HealthView
from athletes.errors import ClientIdReused, NotYourLocation
from athletes.health_reads import SCREENINGS
from athletes.models import Absence, Screening
from athletes.safety_errors import AbsenceAlreadyAnswered, AbsenceReleased
from athletes.safety_queries import absences_visible_to, screenings_visible_to
from services.api.operation import Operation


class ScreeningsView(HealthView, AthleteScopedView):
    health = SCREENINGS
    operation = {
        "GET": Operation(
            id="list_screenings", output=s.ScreeningOutput, paged=True, response_example=examples.SCREENING
        ),
        "POST": Operation(
            id="record_screening",
            input=s.ScreeningInput,
            output=s.ScreeningOutput,
            status=201,
            stored_before=True,
            errors=(ClientIdReused, NotYourLocation),
            request_example=examples.SCREENING_INPUT,
            response_example=examples.SCREENING,
        ),
    }
    access = {"GET": READ, "POST": WRITE}

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """The athlete's screenings, newest first; location staff see when, not what was answered."""
        rows = screenings_visible_to(self.actor).filter(athlete=self.athlete)
        return self.page(rows, order=("-created_at", "-id"))

    def post(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Answer the questions, or enter the athlete's answers; any yes holds until somebody has looked at it."""
        told = self.read_input()
        screening, created = record_screening(
            actor=self.actor,
            athlete=self.athlete,
            version=told["question_set"],
            answers=told["answers"],
            used_to_vigorous_effort=told["used_to_vigorous_effort"],
            now=timezone.now(),
            client_id=told.get("client_id"),
        )
        return self.reply(screening, location=request.path, created=created)


class ScreeningVoidView(AthleteScopedView):
    operation = {
        "POST": Operation(
            id="void_screening",
            input=s.VoidInput,
            output=s.VoidOutput,
            status=201,
            stored_before=True,
            errors=(NotYourLocation,),
            request_example={"note": examples.VOID["note"]},
            response_example=examples.VOID,
        )
    }
    access = {"POST": WRITE}

    def prepare(self, **kwargs: Any) -> None:
        super().prepare(**kwargs)
        rows = screenings_visible_to(self.actor).filter(athlete=self.athlete)
        self.screening: Screening = self.get_object_or_404(rows, kwargs["screening"])

    def post(self, request: Request, organisation: UUID, athlete: UUID, screening: UUID) -> Response:
        """Say that something about the health has changed since: the screening is void, a new one is due."""
        row, created = void_screening(
            actor=self.actor, screening=self.screening, now=timezone.now(), **self.read_input()
        )
        return self.reply(row, location=request.path, created=created)


class AbsencesView(AthleteScopedView):
    operation = {
        "GET": Operation(
            id="list_absences", output=s.AbsenceOutput, paged=True, response_example=examples.ABSENCE
        ),
        "POST": Operation(
            id="report_absence",
            input=s.AbsenceInput,
            output=s.AbsenceOutput,
            status=201,
            stored_before=True,
            errors=(ClientIdReused, NotYourLocation),
            request_example=examples.ABSENCE_INPUT,
            response_example={**examples.ABSENCE, "origin": "reported"},
        ),
    }
    access = {"GET": READ, "POST": WRITE}

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Absences that were asked about or told, with their answers, latest first."""
        rows = absences_visible_to(self.actor).filter(athlete=self.athlete)
        return self.page(rows, order=("-from_date", "-id"))

    def post(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Tell of an absence before anybody asks; training begins again at the published shares of volume."""
        told = self.read_input()
        absence, created = report_absence(
            actor=self.actor,
            athlete=self.athlete,
            from_date=told["from_date"],
            to_date=told["to_date"],
            kind=told.get("kind", "returning"),
            note=told.get("note", ""),
            now=timezone.now(),
            client_id=told.get("client_id"),
        )
        return self.reply(absence, location=request.path, created=created)


class AbsenceAnswersView(AthleteScopedView):
    operation = {
        "POST": Operation(
            id="answer_absence",
            input=s.AnswerInput,
            output=s.AnswerOutput,
            status=201,
            errors=(NotYourLocation, AbsenceAlreadyAnswered, AbsenceReleased),
            request_example=examples.ANSWER_INPUT,
            response_example=examples.ANSWER,
        )
    }
    access = {"POST": WRITE}

    def prepare(self, **kwargs: Any) -> None:
        super().prepare(**kwargs)
        rows = absences_visible_to(self.actor).filter(athlete=self.athlete)
        self.absence: Absence = self.get_object_or_404(rows, kwargs["absence"])

    def post(self, request: Request, organisation: UUID, athlete: UUID, absence: UUID) -> Response:
        """Confirm the absence, or say that there was training; the athlete's word for the latter waits for staff."""
        row, _ = answer_absence(
            actor=self.actor, absence=self.absence, answer=Answer(**self.read_input()), now=timezone.now()
        )
        return self.reply(row, location=request.path)
