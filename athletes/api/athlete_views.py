"""Athletes, their weighings and their limits."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.athletes import create_athlete, update_athlete
from athletes.actions.body_masses import record_body_mass
from athletes.actions.limitations import add_limitation, change_limitation, lift_limitation
from athletes.api import examples
from athletes.api import serializers as s
from athletes.api.health_views import HealthView
from athletes.errors import ClientIdReused, NotYourLocation
from athletes.health_reads import LIMITATIONS
from athletes.models import Athlete, Limitation
from athletes.queries import athletes_visible_to, body_masses_visible_to, limitations_visible_to
from athletes.safety_errors import OwnHold, OwnReport
from services.api.filters import BooleanFilter
from services.api.operation import Access, Operation
from services.api.views import OrganisationView
from services.tenancy.actor import EVERYONE, STAFF, Scope

READ = Access(EVERYONE, Scope.ATHLETES_READ)
WRITE = Access(EVERYONE, Scope.ATHLETES_WRITE)
STAFF_WRITES = Access(STAFF, Scope.ATHLETES_WRITE)


class AthleteFilter(django_filters.FilterSet):
    location = django_filters.UUIDFilter(
        field_name="location_id", help_text="Only athletes of this location."
    )
    is_active = BooleanFilter(help_text="Only athletes who train (true) or who left (false).")


class AthletesView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_athletes",
            output=s.AthleteOutput,
            paged=True,
            filters=AthleteFilter,
            response_example=examples.ATHLETE,
        ),
        "POST": Operation(
            id="create_athlete",
            input=s.AthleteInput,
            output=s.AthleteDetailOutput,
            status=201,
            stored_before=True,
            etag=True,
            errors=(ClientIdReused, NotYourLocation),
            request_example=examples.ATHLETE_INPUT,
            response_example=examples.ATHLETE_DETAIL,
        ),
    }
    access = {"GET": READ, "POST": STAFF_WRITES}

    def get(self, request: Request, organisation: UUID) -> Response:
        """The athletes by name: all for coaches, of their locations for staff, themselves for athletes."""
        return self.page(athletes_visible_to(self.actor), order=("name", "id"))

    def post(self, request: Request, organisation: UUID) -> Response:
        """Take in an athlete; nothing beyond a name and a location is needed.

        An own kit stands in place of the location's (`replaces_location_kit`); what it names in vain is listed
        in `unknown_items`.
        """
        athlete, created = create_athlete(actor=self.actor, **self.read_input())
        return self.reply(athlete, location=f"{request.path}/{athlete.id}", created=created)


class AthleteScopedView(OrganisationView):
    """Everything below one athlete: who may not see the athlete gets 404."""

    athlete: Athlete

    def prepare(self, **kwargs: Any) -> None:
        self.athlete = self.get_object_or_404(athletes_visible_to(self.actor), kwargs["athlete"])


class AthleteView(AthleteScopedView):
    operation = {
        "GET": Operation(
            id="read_athlete",
            output=s.AthleteDetailOutput,
            etag=True,
            response_example=examples.ATHLETE_DETAIL,
        ),
        "PATCH": Operation(
            id="update_athlete",
            input=s.AthleteChange,
            output=s.AthleteDetailOutput,
            if_match=True,
            etag=True,
            errors=(NotYourLocation, OwnHold, OwnReport),
            request_example={"trains_alone": True},
            response_example=examples.ATHLETE_DETAIL,
        ),
    }
    access = {"GET": READ, "PATCH": WRITE}

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """One athlete."""
        return self.reply(self.athlete)

    def patch(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Change an athlete; athletes themselves change their kit, zone and whether they train alone."""
        expected = self.expected_version(self.athlete)
        changed = update_athlete(
            actor=self.actor, athlete=self.athlete, expected=expected, **self.read_input()
        )
        return self.reply(changed)


class BodyMassesView(AthleteScopedView):
    operation = {
        "GET": Operation(
            id="list_body_masses", output=s.BodyMassOutput, paged=True, response_example=examples.BODY_MASS
        ),
        "POST": Operation(
            id="record_body_mass",
            input=s.BodyMassInput,
            output=s.BodyMassOutput,
            status=201,
            stored_before=True,
            errors=(ClientIdReused, NotYourLocation),
            request_example=examples.BODY_MASS_INPUT,
            response_example=examples.BODY_MASS,
        ),
    }
    access = {"GET": READ, "POST": WRITE}

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """The athlete's weighings, latest first."""
        rows = body_masses_visible_to(self.actor).filter(athlete=self.athlete)
        return self.page(rows, order=("-measured_at", "-id"))

    def post(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Record a weighing; body-weight work counts with the latest one on or before its day."""
        weighing, created = record_body_mass(
            actor=self.actor, athlete=self.athlete, now=timezone.now(), **self.read_input()
        )
        return self.reply(weighing, location=request.path, created=created)


class LimitationsView(HealthView, AthleteScopedView):
    health = LIMITATIONS
    operation = {
        "GET": Operation(
            id="list_limitations", output=s.LimitationOutput, paged=True, response_example=examples.LIMITATION
        ),
        "POST": Operation(
            id="add_limitation",
            input=s.LimitationInput,
            output=s.LimitationOutput,
            status=201,
            etag=True,
            errors=(NotYourLocation,),
            request_example=examples.LIMITATION_INPUT,
            response_example=examples.LIMITATION,
        ),
    }
    access = {"GET": READ, "POST": WRITE}

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """What the athlete must not be given, with past limits."""
        rows = limitations_visible_to(self.actor).filter(athlete=self.athlete)
        return self.page(rows, order=("from_date", "id"))

    def post(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Keep a hazard away from the athlete for a time; no prescription then contains it."""
        row = add_limitation(actor=self.actor, athlete=self.athlete, **self.read_input())
        return self.reply(row, location=f"{request.path}/{row.id}")


class LimitationView(HealthView, AthleteScopedView):
    health = LIMITATIONS
    operation = {
        "GET": Operation(
            id="read_limitation",
            output=s.LimitationOutput,
            etag=True,
            response_example=examples.LIMITATION,
        ),
        "PATCH": Operation(
            id="change_limitation",
            input=s.LimitationChange,
            output=s.LimitationOutput,
            if_match=True,
            etag=True,
            errors=(NotYourLocation,),
            request_example={"until_date": "2030-03-01"},
            response_example=examples.LIMITATION,
        ),
        "DELETE": Operation(id="lift_limitation", status=204, if_match=True, errors=(NotYourLocation,)),
    }
    access = {"GET": READ, "PATCH": STAFF_WRITES, "DELETE": STAFF_WRITES}

    def prepare(self, **kwargs: Any) -> None:
        super().prepare(**kwargs)
        rows = limitations_visible_to(self.actor).filter(athlete=self.athlete).select_related("athlete")
        self.limitation: Limitation = self.get_object_or_404(rows, kwargs["limitation"])

    def get(self, request: Request, organisation: UUID, athlete: UUID, limitation: UUID) -> Response:
        """One limit."""
        return self.reply(self.limitation)

    def patch(self, request: Request, organisation: UUID, athlete: UUID, limitation: UUID) -> Response:
        """Change the dates or the note of a limit."""
        changed = change_limitation(
            actor=self.actor,
            limitation=self.limitation,
            expected=self.expected_version(self.limitation),
            **self.read_input(),
        )
        return self.reply(changed)

    def delete(self, request: Request, organisation: UUID, athlete: UUID, limitation: UUID) -> Response:
        """Lift a limit that was set by mistake; one that is over gets an `until_date` instead."""
        expected = self.expected_version(self.limitation)
        lift_limitation(actor=self.actor, limitation=self.limitation, expected=expected)
        return self.no_content()
