"""What a session is for one athlete: the brief and the plan's profile before it, the log's profile after it."""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from scoring import queries
from scoring.api import profile_serializers as s
from scoring.api.brief_serializers import BriefOutput
from scoring.api.floor_views import PrescriptionScopedView
from scoring.brief import brief_of
from scoring.models import Attempt
from scoring.profiled import profile_of_attempt, profile_of_prescription
from services.api.operation import Access, Operation
from services.api.views import OrganisationView
from services.tenancy.actor import EVERYONE, Scope


class PrescriptionProfileView(PrescriptionScopedView):
    operation = {"GET": Operation(id="profile_prescription", output=s.SessionProfileOutput)}
    access = {"GET": Access(EVERYONE, Scope.RESULTS_READ)}

    def get(self, request: Request, organisation: UUID, prescription: UUID) -> Response:
        """How long the planned sets work and rest, their lengths, and which quality that trains in this athlete."""
        found = profile_of_prescription(self.prescription)
        return self.reply(
            replace(found, later=getattr(self.prescription, "superseded_by", None))
        )  # annotated


class BriefView(PrescriptionScopedView):
    operation = {"GET": Operation(id="read_brief", output=BriefOutput)}
    access = {"GET": Access(EVERYONE, Scope.RESULTS_READ)}

    def get(self, request: Request, organisation: UUID, prescription: UUID) -> Response:
        """Why this session, the athlete's own version of it, how to break it up and rest, what should stop them, what
        to expect: the coach's texts with the athlete's own numbers."""
        later = getattr(self.prescription, "superseded_by", None)  # annotated
        return self.reply(brief_of(self.prescription, superseded_by=later))


class AttemptProfileView(OrganisationView):
    operation = {"GET": Operation(id="profile_attempt", output=s.SessionProfileOutput)}
    access = {"GET": Access(EVERYONE, Scope.RESULTS_READ)}

    def prepare(self, organisation: UUID, attempt: UUID) -> None:
        self.attempt: Attempt = self.get_object_or_404(queries.attempts_visible_to(self.actor), attempt)

    def get(self, request: Request, organisation: UUID, attempt: UUID) -> Response:
        """The same of the sets that were logged: what the session was, whatever it was meant to be."""
        found = profile_of_attempt(self.attempt)
        return self.reply(replace(found, later=getattr(self.attempt, "replaced_by", None)))  # annotated
