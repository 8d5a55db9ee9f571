"""Guidance, the settings of safety, and holds: who is held, and who let whom go on."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.holds import release_hold, set_hold
from athletes.actions.safety_settings import NewSettings, set_safety
from athletes.actions.support import local_date
from athletes.api import safety_examples as examples
from athletes.api import safety_serializers as s
from athletes.api.athlete_views import READ, STAFF_WRITES, AthleteScopedView
from athletes.emergency import effective_settings
from athletes.errors import ClientIdReused, NotYourLocation
from athletes.guidance import GUIDANCE_NOTE, question_set, texts
from athletes.safeties import safeties
from athletes.safety import RETURN_METHOD
from athletes.safety_errors import NotYourHold, OwnHold, ReportNotAcknowledged
from athletes.safety_queries import Held, held_visible_to, releases_visible_to
from services.api.operation import Access, Operation
from services.api.views import OrganisationView
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import COACHES, STAFF, Scope
from services.tenancy.queries import locations_visible_to


class GuidanceView(OrganisationView):
    operation = {"GET": Operation(id="list_guidance", output=s.GuidanceListOutput)}
    access = {"GET": READ}

    def get(self, request: Request, organisation: UUID) -> Response:
        """Guidance about safety, each text with its source and how sure that is."""
        return self.reply({"note": GUIDANCE_NOTE, "items": texts()})


class ScreeningQuestionsView(OrganisationView):
    operation = {"GET": Operation(id="read_screening_questions", output=s.QuestionSetOutput)}
    access = {"GET": READ}

    def get(self, request: Request, organisation: UUID) -> Response:
        """The questions of the pre-exercise screening as they are now; a screening names their version."""
        return self.reply(question_set())


class SafetySettingsView(OrganisationView):
    operation = {
        "GET": Operation(
            id="read_safety_settings",
            output=s.SafetySettingsOutput,
            parameters=(
                OpenApiParameter("location", UUID, description="What holds there; left out: in general."),
            ),
            response_example=examples.SETTINGS,
        ),
        "POST": Operation(
            id="set_safety_settings",
            input=s.SafetySettingsInput,
            output=s.SafetySettingsOutput,
            status=201,
            request_example=examples.SETTINGS_INPUT,
            response_example=examples.SETTINGS,
        ),
    }
    access = {"GET": READ, "POST": Access(COACHES, Scope.ATHLETES_WRITE)}

    def get(self, request: Request, organisation: UUID) -> Response:
        """Whether a missing screening holds, what is said in an emergency, and who hears of it first."""
        return self.reply(effective_settings(self._location()))

    def post(self, request: Request, organisation: UUID) -> Response:
        """Set all of it anew, for the organisation or one location; every change stays with its author."""
        row = set_safety(actor=self.actor, new=NewSettings(**self.read_input()))
        return self.reply(effective_settings(row.location_id), location=request.path)

    def _location(self) -> UUID | None:
        told = self.request.query_params.get("location")
        if told is None:
            return None
        try:
            location_id = UUID(told) if len(told) == 36 else None
        except ValueError:
            location_id = None
        if location_id is None or not locations_visible_to(self.actor).filter(id=location_id).exists():
            raise Invalid(errors=[FieldProblem("", "invalid", "There is no such location.", "location")])
        return location_id


class HeldAthletesView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_holds", output=s.HeldAthleteOutput, paged=True, response_example=examples.HELD
        )
    }
    access = {"GET": Access(STAFF, Scope.ATHLETES_READ)}
    held: Held

    def get(self, request: Request, organisation: UUID) -> Response:
        """Athletes who are held today, with what is offered meanwhile and who may release them."""
        self.held = held_visible_to(self.actor, timezone.now().date())
        return self.page(self.held.athletes, order=("name", "id"))


class AthleteHoldsView(AthleteScopedView):
    operation = {
        "GET": Operation(id="read_athlete_holds", output=s.SafetyOutput, response_example=examples.SAFETY),
        "POST": Operation(
            id="set_hold",
            input=s.HoldInput,
            output=s.StaffHoldOutput,
            status=201,
            stored_before=True,
            errors=(ClientIdReused, NotYourLocation),
            request_example={"reason": "Fever yesterday."},
            response_example=examples.STAFF_HOLD,
        ),
    }
    access = {"GET": READ, "POST": STAFF_WRITES}

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """What restrains the athlete today: holds, the week of a return, sentences for the athlete."""
        today = local_date(timezone.now(), self.athlete.zone)
        safety = safeties([self.athlete.id], today)[self.athlete.id]
        caps = [
            {"movement": movement, "most_repetitions": most}
            for movement, most in sorted(safety.volume_caps.items())
        ]
        shown: dict[str, Any] = {
            "athlete": self.athlete.id,
            "on_date": today,
            "holds": safety.holds,
            "to_failure": safety.to_failure,
            "volume_share": safety.volume_share,
            "returning_week": safety.returning_week,
            "volume_caps": caps,
            "notes": safety.notes,
            "method": RETURN_METHOD,
        }
        return self.reply(shown)

    def post(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Hold the athlete for a reason of the staff's own, until somebody of the staff releases it."""
        hold, created = set_hold(
            actor=self.actor, athlete=self.athlete, now=timezone.now(), **self.read_input()
        )
        return self.reply(hold, location=request.path, created=created)


class HoldReleasesView(AthleteScopedView):
    operation = {
        "GET": Operation(
            id="list_hold_releases", output=s.ReleaseOutput, paged=True, response_example=examples.RELEASE
        ),
        "POST": Operation(
            id="release_hold",
            input=s.ReleaseInput,
            output=s.ReleaseOutput,
            status=201,
            errors=(OwnHold, NotYourHold, NotYourLocation, ReportNotAcknowledged),
            request_example=examples.RELEASE_INPUT,
            response_example=examples.RELEASE,
        ),
    }
    access = {"GET": READ, "POST": STAFF_WRITES}

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Who let the athlete go on, when and why; newest first."""
        rows = releases_visible_to(self.actor).filter(athlete=self.athlete)
        return self.page(rows, order=("-created_at", "-id"))

    def post(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Release a hold, with the reason: never the athlete themselves, and nothing that has come since.

        A red_flag asks for more: its reports acknowledged, a reason that says something, and who has cleared it.
        """
        row, _ = release_hold(actor=self.actor, athlete=self.athlete, now=timezone.now(), **self.read_input())
        return self.reply(row, location=request.path)
