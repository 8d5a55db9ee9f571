"""Results: sending, correcting, reading, reviewing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from athletes.errors import ClientIdReused, NotYourLocation
from scoring import queries
from scoring.actions.attempts import Report, correct_attempt, submit_attempt
from scoring.actions.reviews import resolve_review
from scoring.api import serializers as s
from scoring.api.examples import ATTEMPT, ATTEMPT_INPUT, CORRECTION_INPUT
from scoring.api.filters import AttemptFilter, ReviewFilter
from scoring.errors import ResultAlreadyCorrected, ResultExists, ReviewClosed
from scoring.models import Attempt, Review
from services.api.operation import Access, Idempotency, Operation
from services.api.views import OrganisationView
from services.tenancy.actor import EVERYONE, STAFF, Scope


def report_of(data: Mapping[str, Any], as_sent: Any) -> Report:
    """The validated body as the action takes it."""
    kind = "set_log" if "set_log" in data else "totals"
    return Report(
        kind=kind,
        data=data[kind],
        as_sent=as_sent,
        performed_at=data["performed_at"],
        client_id=data.get("client_id"),
        prescription_id=data.get("prescription"),
    )


class AttemptsView(OrganisationView):
    operation = {
        "GET": Operation(id="list_attempts", output=s.AttemptOutput, paged=True, filters=AttemptFilter),
        "POST": Operation(
            id="submit_attempt",
            input=s.AttemptInput,
            output=s.AttemptOutput,
            status=201,
            stored_before=True,
            idempotency=Idempotency.REQUIRED,
            errors=(ResultExists, ClientIdReused, NotYourLocation),
            request_example=ATTEMPT_INPUT,
            response_example=ATTEMPT,
        ),
    }
    access = {
        "GET": Access(EVERYONE, Scope.RESULTS_READ),
        "POST": Access(EVERYONE, Scope.RESULTS_WRITE),
    }

    def get(self, request: Request, organisation: UUID) -> Response:
        """Results, newest first, with every version of each."""
        return self.page(queries.attempts_visible_to(self.actor), order=("-performed_at", "-id"))

    def post(self, request: Request, organisation: UUID) -> Response:
        """Send a result: set by set, or as totals. It is stored as sent before the answer leaves.

        The score, the ranking, the athlete's capacities and the coming prescriptions follow within moments.
        What does not add up is stored too, and queued for a review.
        """
        data = self.read_input()
        attempt, stored = submit_attempt(
            actor=self.actor,
            session_id=data["session"],
            athlete_id=data["athlete"],
            report=report_of(data, request.data),
        )
        return self.reply(attempt, created=stored)


class AttemptView(OrganisationView):
    operation = {"GET": Operation(id="read_attempt", output=s.AttemptDetailOutput)}
    access = {"GET": Access(EVERYONE, Scope.RESULTS_READ)}

    def prepare(self, organisation: UUID, attempt: UUID) -> None:
        self.attempt: Any = self.get_object_or_404(queries.attempts_visible_to(self.actor), attempt)

    def get(self, request: Request, organisation: UUID, attempt: UUID) -> Response:
        """One version of a result as it was sent, with its official score when it has been worked out."""
        score = queries.scores_of([self.attempt.id]).get(self.attempt.id)
        self.attempt.score = score
        self.attempt.score_reason = None if score else ("replaced" if self.attempt.replaced_by else "pending")
        return self.reply(self.attempt)


class CorrectionsView(OrganisationView):
    operation = {
        "POST": Operation(
            id="correct_attempt",
            input=s.AttemptCorrectionInput,
            output=s.AttemptOutput,
            status=201,
            stored_before=True,
            idempotency=Idempotency.REQUIRED,
            errors=(ResultAlreadyCorrected, ClientIdReused, NotYourLocation),
            request_example=CORRECTION_INPUT,
        )
    }
    access = {"POST": Access(EVERYONE, Scope.RESULTS_WRITE)}

    def prepare(self, organisation: UUID, attempt: UUID) -> None:
        self.attempt: Attempt = self.get_object_or_404(queries.attempts_visible_to(self.actor), attempt)

    def post(self, request: Request, organisation: UUID, attempt: UUID) -> Response:
        """Replace a result by a corrected version; the earlier one is kept, with the reason of the change."""
        data = self.read_input()
        corrected, stored = correct_attempt(
            actor=self.actor,
            attempt=self.attempt,
            report=report_of(data, request.data),
            reason=data["reason"],
        )
        return self.reply(corrected, created=stored)


class ReviewsView(OrganisationView):
    operation = {"GET": Operation(id="list_reviews", output=s.ReviewOutput, paged=True, filters=ReviewFilter)}
    access = {"GET": Access(STAFF, Scope.RESULTS_READ)}

    def get(self, request: Request, organisation: UUID) -> Response:
        """Results that do not add up, newest first; `open=true` leaves out those already dealt with."""
        return self.page(queries.reviews_visible_to(self.actor), order=("-created_at", "-id"))


class ReviewView(OrganisationView):
    operation = {
        "GET": Operation(id="read_review", output=s.ReviewOutput, etag=True),
        "PATCH": Operation(
            id="resolve_review",
            input=s.ReviewInput,
            output=s.ReviewOutput,
            etag=True,
            if_match=True,
            errors=(ReviewClosed,),
        ),
    }
    access = {
        "GET": Access(STAFF, Scope.RESULTS_READ),
        "PATCH": Access(STAFF, Scope.RESULTS_WRITE),
    }

    def prepare(self, organisation: UUID, review: UUID) -> None:
        self.review: Review = self.get_object_or_404(queries.reviews_visible_to(self.actor), review)

    def get(self, request: Request, organisation: UUID, review: UUID) -> Response:
        """One review."""
        return self.reply(self.review)

    def patch(self, request: Request, organisation: UUID, review: UUID) -> Response:
        """Say whether the result is believed as sent, and why."""
        version = self.expected_version(self.review)
        data = self.read_input()
        return self.reply(resolve_review(actor=self.actor, review=self.review, version=version, **data))
