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
from scoring.actions.notes import add_note
from scoring.actions.reviews import resolve_review
from scoring.api import report_inputs as r
from scoring.api import serializers as s
from scoring.api.examples import ATTEMPT, ATTEMPT_INPUT, CORRECTION_INPUT
from scoring.api.filters import AttemptFilter, ReviewFilter
from scoring.changes_next import tell_changes
from scoring.errors import NothingPrescribed, OwnResult, ResultAlreadyCorrected, ResultExists, ReviewClosed
from scoring.models import Attempt, Review
from scoring.sent import BLOCKS, KINDS
from services.api.operation import Access, Idempotency, Operation
from services.api.views import OrganisationView
from services.tenancy.actor import EVERYONE, STAFF, Scope


def report_of(data: Mapping[str, Any], as_sent: Any) -> Report:
    """The validated body as the action takes it."""
    kind = next(name for name in (*KINDS, BLOCKS) if name in data)
    return Report(
        kind=kind,
        data=data[kind],
        as_sent=as_sent,
        performed_at=data["performed_at"],
        client_id=data.get("client_id"),
        prescription_id=data.get("prescription"),
        note=data.get("note", ""),
        effort=data.get("effort"),
        minutes=data.get("minutes"),
    )


class AttemptsView(OrganisationView):
    operation = {
        "GET": Operation(id="list_attempts", output=s.AttemptOutput, paged=True, filters=AttemptFilter),
        "POST": Operation(
            id="submit_attempt",
            input=r.AttemptInput,
            output=s.SubmittedAttemptOutput,
            status=201,
            stored_before=True,
            idempotency=Idempotency.REQUIRED,
            errors=(ResultExists, ClientIdReused, NotYourLocation, NothingPrescribed),
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
        """Send a result: set by set, as totals, or as prescribed; block by block where there are several.

        It is stored as sent before the answer leaves. The score, the ranking, the athlete's capacities and the
        coming prescriptions follow within moments. What does not add up is stored too, and queued for a review.
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
        """One version of a result as it was sent, with its official score when it has been worked out, and whether
        somebody is to look at it first (`review`).

        Each condition of the aim that was missed has the likely cause (`sentence`), and in `next` what the next
        prescription of the same movement changes, as it stands now.
        """
        scores, ranked = queries.scores_of(self.attempt)
        tell_changes(self.actor, self.attempt, scores)
        self.attempt.scores, self.attempt.score = scores, ranked
        waiting = "replaced" if self.attempt.replaced_by else "pending"
        self.attempt.score_reason = None if ranked else "block_not_reported" if scores else waiting
        self.attempt.review = queries.review_of(self.attempt)
        told = "nothing_to_review" if scores else waiting
        self.attempt.review_reason = None if self.attempt.review else told
        return self.reply(self.attempt)


class CorrectionsView(OrganisationView):
    operation = {
        "POST": Operation(
            id="correct_attempt",
            input=r.AttemptCorrectionInput,
            output=s.SubmittedAttemptOutput,
            status=201,
            stored_before=True,
            idempotency=Idempotency.REQUIRED,
            errors=(ResultAlreadyCorrected, ClientIdReused, NotYourLocation, NothingPrescribed),
            request_example=CORRECTION_INPUT,
        )
    }
    access = {"POST": Access(EVERYONE, Scope.RESULTS_WRITE)}

    def prepare(self, organisation: UUID, attempt: UUID) -> None:
        self.attempt: Attempt = self.get_object_or_404(queries.attempts_visible_to(self.actor), attempt)

    def post(self, request: Request, organisation: UUID, attempt: UUID) -> Response:
        """Replace a result by a corrected version; the earlier one is kept, with the reason of the change.

        Note, effort and minutes go on with the corrected version where they are not sent; null takes effort or
        minutes away, and an empty text the note.
        """
        data = self.read_input()
        corrected, stored = correct_attempt(
            actor=self.actor,
            attempt=self.attempt,
            report=report_of(data, request.data),
            reason=data["reason"],
        )
        return self.reply(corrected, created=stored)


class NotesView(OrganisationView):
    operation = {
        "GET": Operation(id="list_attempt_notes", output=s.NoteOutput, paged=True),
        "POST": Operation(
            id="add_attempt_note",
            input=r.NoteInput,
            output=s.NoteOutput,
            status=201,
            stored_before=True,
            errors=(ClientIdReused, NotYourLocation),
        ),
    }
    access = {
        "GET": Access(EVERYONE, Scope.RESULTS_READ),
        "POST": Access(EVERYONE, Scope.RESULTS_WRITE),
    }

    def prepare(self, organisation: UUID, attempt: UUID) -> None:
        self.attempt: Attempt = self.get_object_or_404(queries.attempts_visible_to(self.actor), attempt)

    def get(self, request: Request, organisation: UUID, attempt: UUID) -> Response:
        """What athlete and staff have said to each other about a result, whichever version, newest first."""
        return self.page(queries.notes_of(self.attempt), order=("-created_at", "-id"))

    def post(self, request: Request, organisation: UUID, attempt: UUID) -> Response:
        """Say something about a result; the athlete and the staff read it, and it stays as it was written."""
        note, stored = add_note(actor=self.actor, attempt=self.attempt, **self.read_input())
        return self.reply(note, created=stored)


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
            errors=(OwnResult, ReviewClosed),
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
