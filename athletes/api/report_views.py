"""Reports of pain and of signs of an emergency."""

from __future__ import annotations

from collections.abc import Collection
from itertools import islice
from typing import Any
from uuid import UUID

import django_filters
from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.reports import PAIN, RED_FLAG, acknowledge_report, create_report
from athletes.api import report_serializers as s
from athletes.api import safety_examples as examples
from athletes.api.athlete_views import READ, STAFF_WRITES, WRITE, AthleteScopedView
from athletes.api.health_views import HealthView
from athletes.api.report_reading import hear
from athletes.api.report_words import MOST_UNKNOWN, shown
from athletes.emergency import GENERAL, Emergency, effective_settings
from athletes.errors import NotYourLocation
from athletes.health_reads import REPORTS
from athletes.models import ReportReview
from athletes.participation import received_about
from athletes.queries import athletes_visible_to
from athletes.reported import KEY_UNUSABLE, KEY_USED_BEFORE, UNKNOWN_PARAMETER, Otherwise
from athletes.safety_errors import AlreadyAcknowledged, OwnReport
from athletes.safety_queries import reports_visible_to
from services.api.errors import IdempotencyKeyInvalid, IdempotencyKeyReused
from services.api.filters import BooleanFilter
from services.api.handler import translate
from services.api.idempotency import HEADER
from services.api.operation import Access, Idempotency, Operation
from services.api.parsers import ForgivingJSONParser, OneParser
from services.api.views import OrganisationView
from services.problems import DomainError, NotFound
from services.tenancy.actor import STAFF, Scope

UNSURE = frozenset({409, 503})
"""Refusals after which it may be stored all the same; they say when to repeat the request."""
PASSED_OVER: dict[type[DomainError], str] = {
    IdempotencyKeyReused: KEY_USED_BEFORE,
    IdempotencyKeyInvalid: KEY_UNUSABLE,
}
UNACKNOWLEDGED_FIRST = ("is_closed", "created_at", "id")


class ReportFilter(django_filters.FilterSet):
    kind = django_filters.ChoiceFilter(
        field_name="report__kind", choices=[(kind, kind) for kind in (PAIN, RED_FLAG)]
    )
    acknowledged = BooleanFilter(field_name="is_closed", help_text="false: only what waits for somebody.")

    class Meta:
        model = ReportReview
        fields: list[str] = []


class Reporting(OrganisationView):
    """Where a report may arrive, also by a slip of the address or the method: no refusal leaves somebody alone."""

    said: Emergency = GENERAL
    """What the place says, once it is known that the actor belongs there; until then what is true everywhere."""

    def handle_exception(self, exc: Exception) -> Response:
        """A report that is not stored may be of an emergency all the same; its refusal says what to do."""
        error = translate(exc)
        if error is None or self.request.method in ("GET", "HEAD"):
            return super().handle_exception(exc)
        stored = "" if error.status in UNSURE else " Nothing is stored yet."
        error.detail = (
            f"{error.detail}{stored} In an emergency act first, {self.said.number}: {self.said.text}"
        )
        return super().handle_exception(error)


class ReportsView(HealthView, Reporting):
    health = REPORTS
    operation = {
        "GET": Operation(
            id="list_reports",
            output=s.ReportOutput,
            paged=True,
            filters=ReportFilter,
            response_example=examples.REPORT,
        )
    }
    access = {"GET": Access(STAFF, Scope.ATHLETES_READ)}

    def get(self, request: Request, organisation: UUID) -> Response:
        """Reports: those that nobody has acknowledged come first, the longest waiting before the others."""
        return self.page(reports_visible_to(self.actor), order=UNACKNOWLEDGED_FIRST)

    def read_of(self, response: Response) -> Collection[UUID]:
        return {UUID(str(one["athlete"])) for one in response.data["items"]}


class AthleteReportsView(HealthView, Reporting, AthleteScopedView):
    health = REPORTS
    operation = {
        "GET": Operation(
            id="list_athlete_reports",
            output=s.ReportOutput,
            paged=True,
            filters=ReportFilter,
            response_example=examples.REPORT,
        ),
        "POST": Operation(
            id="create_report",
            input=s.ReportInput,
            output=s.CreatedReportOutput,
            status=201,
            stored_before=True,
            idempotency=Idempotency.LENIENT,
            errors=(NotYourLocation,),
            request_example=examples.REPORT_INPUT,
            response_example=examples.CREATED_REPORT,
        ),
    }
    access = {"GET": READ, "POST": WRITE}
    parser_classes = (ForgivingJSONParser,)
    content_negotiation_class = OneParser

    def refuse_unknown_parameters(self, request: Request) -> None:
        """Of a report they are passed over, and named."""
        self.passed_over: list[Otherwise] = []
        if self.method != "POST":
            super().refuse_unknown_parameters(request)
            return
        self.passed_over += [
            Otherwise(f"?{shown(name)}", shown(value), UNKNOWN_PARAMETER)
            for name, value in islice(request.query_params.items(), MOST_UNKNOWN)
        ]

    def prepare(self, **kwargs: Any) -> None:
        """A report is taken about whoever comes to a session of the actor's too; only the own athletes' are read.

        The words for an emergency are read first: where the transaction is lost, nothing can be read any more.
        """
        rows = athletes_visible_to(self.actor)
        if self.method == "POST":
            rows |= received_about(self.actor, timezone.now().date())
        self.athlete = self.get_object_or_404(rows, kwargs["athlete"])
        if self.method == "POST":
            self.said = effective_settings(self.athlete.location_id).emergency

    def key_passed_over(self, fault: type[DomainError]) -> None:
        key = shown(self.request.headers.get(HEADER))
        self.passed_over.append(Otherwise(HEADER, key, PASSED_OVER[fault]))

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """The athlete's reports, unacknowledged ones first."""
        rows = reports_visible_to(self.actor).filter(report__athlete=self.athlete)
        return self.page(rows, order=UNACKNOWLEDGED_FIRST)

    def post(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Report pain or a sign of an emergency; the answer to the latter says what to do at once.

        A sign of an emergency, and strong or repeated pain, hold the athlete from now on. Somebody is named who is
        to look at it. A report whose kind, and for a red_flag sign or note, can be read is stored, whatever else is
        missing, malformed, too long or not known; `taken_otherwise` says what of it was taken otherwise. Pain of
        which nobody said how strong it is counts as strong. A refusal says too what to do in an emergency.
        """
        heard = hear(request.data)
        review, created = create_report(
            actor=self.actor,
            athlete=self.athlete,
            told=heard.told,
            now=timezone.now(),
            client_id=heard.client_id,
            passed_over=self.passed_over,
        )
        return self.reply(review, location=request.path, created=created)


class AcknowledgementsView(OrganisationView):
    operation = {
        "POST": Operation(
            id="acknowledge_report",
            input=s.AcknowledgementInput,
            output=s.ReportOutput,
            status=201,
            stored_before=True,
            errors=(NotYourLocation, AlreadyAcknowledged, OwnReport),
            request_example={"note": "Called her, she is on her way to the hospital."},
            response_example={
                **examples.REPORT,
                "acknowledged_at": "2030-02-21T07:15:00Z",
                "acknowledged_by": examples.PERSON,
                "acknowledgement": "Called her, she is on her way to the hospital.",
            },
        )
    }
    access = {"POST": STAFF_WRITES}

    def prepare(self, **kwargs: Any) -> None:
        found = reports_visible_to(self.actor).filter(report_id=kwargs["report"]).first()
        if found is None:
            raise NotFound()
        self.review: ReportReview = found

    def post(self, request: Request, organisation: UUID, report: UUID) -> Response:
        """Say that you have seen the report and take it on; who and when stays. It releases no hold."""
        review, done = acknowledge_report(
            actor=self.actor, review=self.review, note=self.read_input().get("note", ""), now=timezone.now()
        )
        return self.reply(review, location=request.path, created=done)
