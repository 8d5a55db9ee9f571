"""The calendar, and what each location can load."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.urls import reverse
from drf_spectacular.utils import OpenApiParameter
from rest_framework.request import Request
from rest_framework.response import Response

from programming import queries
from programming.actions import sessions as actions
from programming.api import examples
from programming.api import serializers as s
from programming.api.filters import SessionFilter
from programming.errors import SessionCancelled
from programming.models import LocationKit, ScheduledSession
from services.api.conditional import replaced_version
from services.api.operation import Access, Operation
from services.api.views import OrganisationView
from services.problems import NotFound, PreconditionFailed, PreconditionRequired
from services.tenancy.actor import COACHES, EVERYONE, Scope
from services.tenancy.models import Location
from services.tenancy.queries import locations_visible_to

READ = Access(EVERYONE, Scope.PROGRAMME_READ)
WRITE = Access(COACHES, Scope.PROGRAMME_WRITE)


class SessionsView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_scheduled_sessions",
            output=s.SessionOutput,
            paged=True,
            filters=SessionFilter,
            response_example=examples.SESSION,
        ),
        "POST": Operation(
            id="schedule_session",
            input=s.SessionInput,
            output=s.SessionOutput,
            status=201,
            etag=True,
            request_example=examples.NEW_SESSION,
            response_example=examples.SESSION,
        ),
    }
    access = {"GET": READ, "POST": WRITE}

    def get(self, request: Request, organisation: UUID) -> Response:
        """The calendar, earliest first; ask for a range of dates."""
        return self.page(queries.scheduled_sessions_visible_to(self.actor), order=("starts_at", "id"))

    def post(self, request: Request, organisation: UUID) -> Response:
        """Place a revision at a location, for a group or for whoever trains there; they get their prescriptions."""
        data = self.read_input()
        row = actions.schedule_session(
            actor=self.actor,
            revision_id=data["revision"],
            location_id=data.get("location"),
            group_id=data.get("group"),
            starts_at=data["starts_at"],
        )
        stored = queries.scheduled_sessions_visible_to(self.actor).get(id=row.id)
        return self.reply(stored, location=reverse("scheduled-session", args=[organisation, row.id]))


class _OneSession(OrganisationView):
    """A route below a scheduled session."""

    def prepare(self, **kwargs: Any) -> None:
        rows = queries.scheduled_sessions_visible_to(self.actor)
        self.session: ScheduledSession = self.get_object_or_404(rows, kwargs["session"])


class SessionView(_OneSession):
    operation = {
        "GET": Operation(
            id="read_scheduled_session",
            output=s.SessionOutput,
            etag=True,
            response_example=examples.SESSION,
        ),
        "PATCH": Operation(
            id="move_session",
            input=s.SessionMoveInput,
            output=s.SessionOutput,
            etag=True,
            if_match=True,
            errors=(SessionCancelled,),
            request_example={"starts_at": "2030-03-08T18:00:00+00:00"},
            response_example=examples.SESSION,
        ),
    }
    access = {"GET": READ, "PATCH": WRITE}

    def get(self, request: Request, organisation: UUID, session: UUID) -> Response:
        """One scheduled session; its revision holds the work."""
        return self.reply(self.session)

    def patch(self, request: Request, organisation: UUID, session: UUID) -> Response:
        """Move the session to another time or location."""
        data = self.read_input()
        moved = actions.move_session(
            actor=self.actor,
            session=self.session,
            version=self.expected_version(self.session),
            starts_at=data.get("starts_at"),
            location_id=data.get("location"),
        )
        return self.reply(moved)


class SessionCancelView(_OneSession):
    operation = {
        "POST": Operation(
            id="cancel_session",
            output=s.SessionOutput,
            etag=True,
            response_example={**examples.SESSION, "version": 2, "cancelled_at": "2030-03-05T09:00:00Z"},
        )
    }
    access = {"POST": WRITE}

    def post(self, request: Request, organisation: UUID, session: UUID) -> Response:
        """Cancel the session; it stays on the calendar as cancelled. Cancelling twice is cancelling once."""
        return self.reply(actions.cancel_session(actor=self.actor, session=self.session))


class KitView(OrganisationView):
    operation = {
        "GET": Operation(id="read_kit", output=s.KitOutput, etag=True, response_example=examples.KIT),
        "PUT": Operation(
            id="put_kit",
            input=s.KitInput,
            output=s.KitOutput,
            status=201,
            stored_before=True,
            etag=True,
            parameters=(
                OpenApiParameter(
                    "If-Match",
                    str,
                    OpenApiParameter.HEADER,
                    description="ETag of the kit that this one replaces.",
                ),
                OpenApiParameter(
                    "If-None-Match", str, OpenApiParameter.HEADER, description="`*` for the first kit."
                ),
            ),
            errors=(PreconditionFailed, PreconditionRequired),
            request_example={"items": examples.KIT["items"]},
            response_example=examples.KIT,
        ),
    }
    access = {"GET": READ, "PUT": WRITE}

    def prepare(self, **kwargs: Any) -> None:
        self.location: Location = self.get_object_or_404(locations_visible_to(self.actor), kwargs["location"])
        rows = queries.location_kits_visible_to(self.actor).filter(location=self.location)
        self.kit: LocationKit | None = rows.first()

    def get(self, request: Request, organisation: UUID, location: UUID) -> Response:
        """What the location has, and the increments that can really be loaded there."""
        if self.kit is None:
            raise NotFound("Nobody has written down what this location has; send it with PUT.")
        return self.reply(self.kit)

    def put(self, request: Request, organisation: UUID, location: UUID) -> Response:
        """Write down what the location has: 201 for the first time, 200 later.

        Sessions there of the next seven days are prescribed again. Items that no variation of the catalogue
        asks for are kept, and listed in `unknown_items` with the known names that are most like them.
        """
        kit = actions.put_location_kit(
            actor=self.actor,
            location=self.location,
            document=self.read_input(),
            version=replaced_version(self.request.headers, self.kit),
        )
        return self.reply(kit, created=self.kit is None)
