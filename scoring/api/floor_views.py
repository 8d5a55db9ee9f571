"""On the floor: check sets, and what is different for the day."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.errors import ClientIdReused, NotYourLocation
from athletes.models import DayChange
from athletes.participation import day_changes_visible_to
from athletes.performed import Settings
from programming.calc.revision import UNITS
from programming.models import ScheduledSession
from programming.queries import scheduled_sessions_visible_to
from scoring import queries
from scoring.actions.after_check import foresee, still_follows
from scoring.actions.check_sets import send_check_set
from scoring.actions.day_changes import Change, end_day_change, make_day_change
from scoring.api import examples
from scoring.api import floor_serializers as s
from scoring.api.filters import DayChangeFilter
from scoring.api.load_text import load_text_of
from scoring.check_advice import Advice, advice_on, of_what_was_sent_before
from scoring.checked import Checked
from scoring.errors import CheckSetReplaced, ImplausibleSet, NotTakingPart, ResultStored, SessionOver
from scoring.models import CheckSet, Prescription
from services.api.operation import Access, Operation
from services.api.parsers import StrictJSONRenderer
from services.api.views import OrganisationView
from services.tenancy.actor import EVERYONE, Scope

READ = Access(EVERYONE, Scope.RESULTS_READ)
WRITE = Access(EVERYONE, Scope.RESULTS_WRITE)


class PrescriptionScopedView(OrganisationView):
    def prepare(self, organisation: UUID, prescription: UUID) -> None:
        rows = queries.prescriptions_visible_to(self.actor).select_related("athlete", "session")
        self.prescription: Prescription = self.get_object_or_404(rows, prescription)


class CheckSetsView(PrescriptionScopedView):
    operation = {
        "GET": Operation(id="list_check_sets", output=s.CheckSetOutput, paged=True),
        "POST": Operation(
            id="send_check_set",
            input=s.CheckSetInput,
            output=s.CheckSetSentOutput,
            status=201,
            stored_before=True,
            errors=(
                CheckSetReplaced,
                ClientIdReused,
                ImplausibleSet,
                NotTakingPart,
                NotYourLocation,
                ResultStored,
                SessionOver,
            ),
            request_example=examples.CHECK_SET_INPUT,
        ),
    }
    access = {"GET": READ, "POST": WRITE}

    def get(self, request: Request, organisation: UUID, prescription: UUID) -> Response:
        """The athlete's check sets of this session, whichever prescription they were done with, latest first."""
        rows = queries.check_sets_visible_to(self.actor).filter(
            session=self.prescription.session_id, athlete=self.prescription.athlete_id
        )
        return self.page(rows, order=("-performed_at", "-id"))

    def post(self, request: Request, organisation: UUID, prescription: UUID) -> Response:
        """Send a set that shows what the athlete can do today; the answer says what to do next.

        The prescription is worked out again from it within moments, also shortly before the class and in it. Who is
        held is told to stop and what the hold says, whatever the set shows; whoever has an override, to ask the
        coach.
        """
        data = self.read_input()
        unit = next(unit for unit in UNITS if unit in data)
        checked = Checked(
            work=data["work"],
            amount=float(data[unit]),
            unit=unit,
            rir=data.get("rir"),
            ended_by=data["ended_by"],
            performed_at=data.get("performed_at"),
            variation=data.get("variation"),
            settings=Settings(data.get("load_kg"), data.get("assistance_kg"), data.get("height_cm")),
            replaces=data.get("replaces"),
            confirmed=data.get("confirmed", False),
        )
        row: Any
        now = timezone.now()
        told: Any = {
            "actor": self.actor,
            "prescription": self.prescription,
            "checked": checked,
            "now": now,
            "client_id": data.get("client_id"),
        }
        foreseen = foresee(**told)  # before anybody has to wait for the athlete's row
        row, stored = send_check_set(**told)
        following = still_follows(foreseen, self.prescription, stored=stored)
        told_next = None if stored else of_what_was_sent_before(self.prescription, row.ended_by, row.id)
        if told_next is None:
            told_next = _with_what_was_taken(advice_on(self.prescription, row, following), row, checked)
        row.next = told_next
        return self.reply(row, created=stored)

    def replayed(self, response: HttpResponse) -> HttpResponse:
        """What to do next is of the moment: who is held by now, has another prescription of a coach, or has corrected
        the set, is not told again to begin.
        """
        body = json.loads(response.content)
        first = of_what_was_sent_before(self.prescription, body["ended_by"], UUID(body["id"]))
        if first is not None:
            response.content = StrictJSONRenderer().render(body | {"next": s.AdviceOutput(first).data})
        return response


def _with_what_was_taken(told: Advice, row: CheckSet, checked: Checked) -> Advice:
    """Of a load without a version, which was taken for the one asked for: of a pair the weight of one is easily told
    for that of both.
    """
    if checked.variation is not None or checked.settings.load_kg is None or told.step == "stop":
        return told
    taken = f"{row.variation_version.variation.name}, {load_text_of(row)}"
    return replace(told, text=f"{told.text} Stored as {taken}: if you did another, replace the set.")


class DayChangesView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_day_changes", output=s.DayChangeOutput, paged=True, filters=DayChangeFilter
        ),
        "POST": Operation(
            id="make_day_change",
            input=s.DayChangeInput,
            output=s.DayChangeOutput,
            status=201,
            stored_before=True,
            errors=(ClientIdReused, NotYourLocation, ResultStored, SessionOver),
            request_example=examples.DAY_CHANGE_INPUT,
        ),
    }
    access = {"GET": READ, "POST": WRITE}

    def prepare(self, organisation: UUID, session: UUID) -> None:
        rows = scheduled_sessions_visible_to(self.actor)
        self.session: ScheduledSession = self.get_object_or_404(rows, session)

    def get(self, request: Request, organisation: UUID, session: UUID) -> Response:
        """What is different for whom in this session, newest first, with what holds no longer."""
        rows = day_changes_visible_to(self.actor).filter(session=self.session)
        return self.page(rows, order=("-created_at", "-id"))

    def post(self, request: Request, organisation: UUID, session: UUID) -> Response:
        """Change an athlete's session for the day: kit in use, something sore, or a drop-in from elsewhere.

        It holds for this session only. The athlete's prescription follows within moments, also in the class.
        """
        data = self.read_input()
        names = ("kind", "items", "hazards", "muscle_groups", "note")
        row, created = make_day_change(
            actor=self.actor,
            session=self.session,
            athlete_id=data["athlete"],
            change=Change(**{name: data[name] for name in names}),
            now=timezone.now(),
            client_id=data.get("client_id"),
        )
        return self.reply(row, created=created)


class DayChangeView(OrganisationView):
    operation = {"DELETE": Operation(id="end_day_change", status=204, errors=(NotYourLocation,))}
    access = {"DELETE": WRITE}

    def prepare(self, organisation: UUID, day_change: UUID) -> None:
        rows = day_changes_visible_to(self.actor).select_related("athlete", "session")
        self.change: DayChange = self.get_object_or_404(rows, day_change)

    def delete(self, request: Request, organisation: UUID, day_change: UUID) -> Response:
        """Let a change hold no longer: the kit is free again, or it was a mistake. The row itself is kept."""
        end_day_change(actor=self.actor, change=self.change)
        return self.no_content()
