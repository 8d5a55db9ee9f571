"""Whether a session can do what it should for the people it is for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.models import Athlete
from athletes.queries import athletes_visible_to
from programming.actions.templates import storable
from programming.calc.document import parse_revision
from programming.drafts import draft_problems
from programming.errors import field_problems
from programming.plans import SessionPlan
from programming.queries import revisions_visible_to
from scoring.api import examples
from scoring.api import reach_serializers as s
from scoring.calc.prescription import PRESCRIPTION_VERSION
from scoring.errors import ReachCheckRunning, TooManyAthletes
from scoring.reach import (
    MOST_ATHLETES,
    REACH_SCENARIOS,
    Tried,
    most_athletes,
    plan_of,
    real_people,
    room_said,
    try_on,
    typical_people,
)
from scoring.reach_words import NOBODY_THERE, sentences
from scoring.turns import take_turn
from services.api.operation import Access, Idempotency, Operation
from services.api.views import OrganisationView
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import STAFF, Actor, Role, Scope
from services.tenancy.models import Location


class ReachChecksView(OrganisationView):
    operation = {
        "POST": Operation(
            id="check_reach",
            input=s.ReachCheckInput,
            output=s.ReachOutput,
            idempotency=Idempotency.EXEMPT,  # nothing is stored, not even that it was asked
            errors=(ReachCheckRunning, TooManyAthletes),
            request_example=examples.REACH_INPUT,
        )
    }
    access = {"POST": Access(STAFF, Scope.RESULTS_READ)}

    def post(self, request: Request, organisation: UUID) -> Response:
        """Who reaches the aim with which version, before the session is published or placed; nothing is stored.

        Typical athletes are people in general at the 10th, 50th and 90th percentile of strength. With athletes:
        those who train at the location, or those named, with what is known of them. An organisation has one worked
        out at a time.
        """
        data = self.read_input()
        plan = self._plan(data)
        people, nobody = typical_people(plan), []
        if data["with_athletes"] or data["athletes"]:
            athletes = athletes_of(self.actor, plan.location_id, data["athletes"])
            _refuse_too_many(plan, len(athletes))
            nobody = [] if athletes else [NOBODY_THERE]
            people += real_people(plan, athletes)
        take_turn()
        tried = try_on(plan, people)
        return self.reply({
            "sentences": [*sentences(plan, tried), *nobody],
            "people": [_told(one) for one in tried],
            "scenarios": REACH_SCENARIOS,
            "method_version": PRESCRIPTION_VERSION,
            "inputs": plan.sha256,
        })  # fmt: skip

    def _plan(self, data: Mapping[str, Any]) -> SessionPlan:
        """Raises Invalid for what is unknown, and for a document that could not be published."""
        location = Location.objects.filter(id=data["location"]).first()
        if location is None:
            raise _unknown("#/location", "There is no such location in this organisation.")
        document = data.get("document")
        if document is None:
            row = revisions_visible_to(self.actor).filter(id=data["revision"]).first()
            if row is None:
                raise _unknown("#/revision", "There is no such revision in this organisation.")
            document = row.document
        else:
            document = storable(document, "document")
            if problems := draft_problems(document):
                raise Invalid(errors=field_problems(problems, "/document"))
        day = data.get("on_date") or timezone.now().date()
        return plan_of(parse_revision(document), document, location.id, location.zone, day)


def athletes_of(actor: Actor, location_id: UUID, named: Sequence[UUID]) -> list[Athlete]:
    """Whom the session is tried on, by name. Raises TooManyAthletes, and Invalid for somebody unknown."""
    rows = athletes_visible_to(actor).filter(is_active=True).order_by("name", "id")
    if named:
        found = list(rows.filter(id__in=set(named)))
        known = {athlete.id for athlete in found}
        faults = [
            FieldProblem(f"#/athletes/{index}", "unknown_reference", "There is no such athlete here.")
            for index, id_ in enumerate(named)
            if id_ not in known
        ]
        if faults:
            raise Invalid(errors=faults)
        return found
    if actor.role == Role.LOCATION_STAFF and location_id not in actor.location_ids:
        return []
    found = list(rows.filter(location_id=location_id)[: MOST_ATHLETES + 1])
    if len(found) > MOST_ATHLETES:
        raise TooManyAthletes(f"More than {MOST_ATHLETES} athletes train at this location.")
    return found


def _refuse_too_many(plan: SessionPlan, athletes: int) -> None:
    most = most_athletes(plan)
    if athletes > most:
        raise TooManyAthletes(room_said(plan, most))


def _told(tried: Tried) -> dict[str, Any]:
    person, worked = tried.person, tried.worked
    return {
        "name": person.name,
        "athlete": person.athlete,
        "body_mass_kg": person.inputs.body_mass_kg,
        "feasible": worked.feasible,
        "hold": None if worked.hold is None else worked.hold.code,
        "blocks": [
            {
                "block": key,
                "feasible": result.feasible,
                "work": result.chosen or result.closest,
                "conditions": result.conditions,
                "reasons": list(dict.fromkeys(reason.code for reason in result.reasons)),
            }
            for key, result in worked.results.items()
        ],
    }


def _unknown(pointer: str, detail: str) -> Invalid:
    return Invalid(errors=[FieldProblem(pointer, "unknown_reference", detail)])
