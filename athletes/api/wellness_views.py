"""Wellness: the forms of an organisation, the answers of athletes, and what is unusual of one of them."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.support import local_date
from athletes.actions.wellness import answer_form, change_answers, remove_answers, set_form
from athletes.api import wellness_examples as examples
from athletes.api import wellness_serializers as s
from athletes.api.athlete_views import READ, AthleteScopedView
from athletes.api.health_views import HealthView
from athletes.api.load_query import ON, asked_day
from athletes.errors import AlreadyAnswered, ClientIdReused, NotYourLocation
from athletes.health_reads import WELLNESS
from athletes.models import WellnessAnswer, WellnessForm
from athletes.wellness import READERS, answers_visible_to, forms, newest_form, told_flags
from services.api.operation import Access, Operation
from services.api.views import OrganisationView
from services.problems import FieldProblem, Invalid, NotFound
from services.tenancy.actor import COACHES, Scope

READ_ANSWERS = Access(READERS, Scope.ATHLETES_READ)
WRITE_ANSWERS = Access(READERS, Scope.ATHLETES_WRITE)

FORM = OpenApiParameter("form", str, required=True, description="The key of the form.")


def asked_form(request: Request) -> WellnessForm:
    """The newest version of the form in `form`. Raises Invalid."""
    try:
        return newest_form(request.query_params.get("form", ""))
    except NotFound:
        detail = "Name the key of a form that is there."
        raise Invalid(errors=[FieldProblem("", "unknown_reference", detail, parameter="form")]) from None


class WellnessFormsView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_wellness_forms",
            output=s.WellnessFormOutput,
            paged=True,
            response_example=examples.FORM,
        ),
        "POST": Operation(
            id="set_wellness_form",
            input=s.WellnessFormInput,
            output=s.WellnessFormOutput,
            status=201,
            request_example=examples.FORM_INPUT,
            response_example=examples.FORM,
        ),
    }
    access = {"GET": READ, "POST": Access(COACHES, Scope.ATHLETES_WRITE)}

    def get(self, request: Request, organisation: UUID) -> Response:
        """All versions, newest first; of each key the highest number is asked now."""
        return self.page(forms(), order=("-created_at", "-number", "-id"))

    def post(self, request: Request, organisation: UUID) -> Response:
        """Say what is asked: a first version, or the next one under a key that is there."""
        return self.reply(set_form(actor=self.actor, **self.read_input()), location=request.path)


class WellnessAnswersView(HealthView, AthleteScopedView):
    health = WELLNESS
    operation = {
        "GET": Operation(
            id="list_wellness_answers",
            output=s.WellnessAnswerOutput,
            paged=True,
            response_example=examples.ANSWER,
        ),
        "POST": Operation(
            id="answer_wellness_form",
            input=s.WellnessAnswerInput,
            output=s.WellnessAnswerOutput,
            status=201,
            stored_before=True,
            etag=True,
            errors=(ClientIdReused, NotYourLocation, AlreadyAnswered),
            request_example=examples.ANSWER_INPUT,
            response_example=examples.ANSWER,
        ),
    }
    access = {"GET": READ_ANSWERS, "POST": WRITE_ANSWERS}

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """What the athlete has answered, latest day first; staff of a location do not read it."""
        rows = answers_visible_to(self.actor).filter(athlete=self.athlete)
        return self.page(rows, order=("-local_date", "-id"))

    def post(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Answer any of the items for a day, once; nobody has to, and nothing else depends on it."""
        told = self.read_input()
        try:
            row, created = answer_form(
                actor=self.actor,
                athlete=self.athlete,
                form_key=told["form"],
                day=told["local_date"],
                answers=told["answers"],
                now=timezone.now(),
                client_id=told.get("client_id"),
            )
        except NotFound:
            detail = "There is no form with this key; list the forms."
            raise Invalid(errors=[FieldProblem("#/form", "unknown_reference", detail)]) from None
        return self.reply(row, location=f"{request.path}/{row.id}", created=created)


class WellnessAnswerView(HealthView, AthleteScopedView):
    health = WELLNESS
    operation = {
        "GET": Operation(
            id="read_wellness_answer",
            output=s.WellnessAnswerOutput,
            etag=True,
            response_example=examples.ANSWER,
        ),
        "PATCH": Operation(
            id="change_wellness_answer",
            input=s.WellnessAnswerChange,
            output=s.WellnessAnswerOutput,
            if_match=True,
            etag=True,
            errors=(NotYourLocation,),
            request_example={"answers": {"sleep": 2}},
            response_example=examples.ANSWER,
        ),
        "DELETE": Operation(
            id="remove_wellness_answer", status=204, if_match=True, errors=(NotYourLocation,)
        ),
    }
    access = {"GET": READ_ANSWERS, "PATCH": WRITE_ANSWERS, "DELETE": WRITE_ANSWERS}

    def prepare(self, **kwargs: Any) -> None:
        super().prepare(**kwargs)
        rows = answers_visible_to(self.actor).filter(athlete=self.athlete)
        self.row: WellnessAnswer = self.get_object_or_404(rows, kwargs["wellness_answer"])

    def get(self, request: Request, organisation: UUID, athlete: UUID, wellness_answer: UUID) -> Response:
        """The answers of one day."""
        return self.reply(self.row)

    def patch(self, request: Request, organisation: UUID, athlete: UUID, wellness_answer: UUID) -> Response:
        """Correct the answers of a day, all of them."""
        expected, told = self.expected_version(self.row), self.read_input()
        answers = told.get("answers", self.row.answers)
        changed = change_answers(actor=self.actor, row=self.row, expected=expected, answers=answers)
        return self.reply(changed)

    def delete(self, request: Request, organisation: UUID, athlete: UUID, wellness_answer: UUID) -> Response:
        """Take the answers of a day back; nobody has to have answered."""
        remove_answers(actor=self.actor, row=self.row, expected=self.expected_version(self.row))
        return self.no_content()


class WellnessView(HealthView, AthleteScopedView):
    health = WELLNESS
    operation = {
        "GET": Operation(
            id="read_wellness",
            output=s.WellnessOutput,
            parameters=(
                ON,
                FORM,
            ),
            response_example=examples.WELLNESS,
        )
    }
    access = {"GET": READ_ANSWERS}

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Item by item whether the last seven answers are unusual of this athlete, and how often that says so of
        nothing. Limits come from their own history; below 35 answers there are none.
        """
        today = local_date(timezone.now(), self.athlete.zone)
        form = asked_form(request)
        return self.reply(told_flags(self.athlete, form, asked_day(request, today) or today))
