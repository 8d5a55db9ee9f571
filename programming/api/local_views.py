"""What locations made of shared revisions, and which revision a session uses."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.urls import reverse
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from programming import queries
from programming.actions import local_versions as actions
from programming.api import examples
from programming.api import serializers as s
from programming.api import template_serializers as ts
from programming.api.filters import LocalVersionFilter
from programming.errors import (
    DraftNotPublishable,
    LocalVersionChanged,
    NotYourPlace,
    SessionCancelled,
    SessionStarted,
)
from programming.local_versions import between, local_versions_visible_to
from programming.models import LocalVersion, Revision, ScheduledSession
from services.api import fields
from services.api.operation import Access, Operation
from services.api.serializers import InputSerializer, OutputSerializer
from services.api.views import OrganisationView
from services.tenancy.actor import STAFF, Scope

READ = Access(STAFF, Scope.PROGRAMME_READ)
WRITE = Access(STAFF, Scope.PROGRAMME_WRITE)


class LocalVersionInput(InputSerializer):
    location = fields.UUIDField()
    origin = fields.UUIDField(help_text="The shared revision that this is a version of.")
    document = s.ObjectField(help_text="A whole revision document.")
    reason = fields.CharField(max_length=500)
    replaces = fields.UUIDField(
        required=False, allow_null=True, help_text="The one in use there until now; left out for the first."
    )


class LocalVersionListedOutput(OutputSerializer):
    """Without documents; who made it, from what, and why."""

    id = serializers.UUIDField()
    location = serializers.UUIDField(source="location_id")
    template = serializers.UUIDField(source="template_id")
    number = serializers.IntegerField()
    revision = serializers.UUIDField(source="revision_id", help_text="The location's own.")
    origin = serializers.UUIDField(source="origin_id", help_text="The shared revision it was made from.")
    origin_number = serializers.IntegerField(source="origin.number")
    reason = serializers.CharField()
    made_by = serializers.UUIDField(source="made_by_id")
    created_at = serializers.DateTimeField()
    is_in_use = serializers.SerializerMethodField(help_text="Whether the location has no later one.")
    newest_origin = serializers.UUIDField(source="newest_origin_id", help_text="The newest shared revision.")
    newest_origin_number = serializers.IntegerField()
    origin_has_moved = serializers.SerializerMethodField(
        help_text="Whether there is a newer shared revision than the one it was made from."
    )

    def get_is_in_use(self, row: Any) -> bool:
        return bool(row.number == row.number_in_use)

    def get_origin_has_moved(self, row: Any) -> bool:
        return bool(row.newest_origin_number > row.origin.number)


class LocalVersionOutput(LocalVersionListedOutput):
    """With its document, and in sentences: what the location changed, and what the origin has changed since."""

    document = s.ObjectOutput(source="revision.document")
    own_changes = serializers.SerializerMethodField()
    origin_changes = serializers.SerializerMethodField()

    @extend_schema_field(ts.DifferenceOutput(many=True))
    def get_own_changes(self, row: LocalVersion) -> Any:
        return ts.DifferenceOutput(between(row.origin, row.revision), many=True).data

    @extend_schema_field(ts.DifferenceOutput(many=True))
    def get_origin_changes(self, row: Any) -> Any:
        newest = Revision.objects.get(id=row.newest_origin_id)
        return ts.DifferenceOutput(between(row.origin, newest), many=True).data


class SessionRevisionInput(InputSerializer):
    revision = fields.UUIDField(help_text="Of the same template: shared, or the location's own.")


class LocalVersionsView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_local_versions",
            output=LocalVersionListedOutput,
            paged=True,
            filters=LocalVersionFilter,
            response_example=examples.LISTED_LOCAL_VERSION,
        ),
        "POST": Operation(
            id="make_local_version",
            input=LocalVersionInput,
            output=LocalVersionOutput,
            status=201,
            stored_before=True,
            errors=(DraftNotPublishable, LocalVersionChanged, NotYourPlace),
            request_example=examples.NEW_LOCAL_VERSION,
            response_example=examples.LOCAL_VERSION,
        ),
    }
    access = {"GET": READ, "POST": WRITE}

    def get(self, request: Request, organisation: UUID) -> Response:
        """Versions of every location, newest first, the replaced ones too."""
        return self.page(local_versions_visible_to(self.actor), order=("-created_at", "-id"))

    def post(self, request: Request, organisation: UUID) -> Response:
        """Publish a location's own version of a shared revision; owners, coaches, staff of the location.

        Answers 200 with the one in use when that is this very document from this origin.
        """
        data = self.read_input()
        made, created = actions.make_local_version(
            actor=self.actor,
            location_id=data["location"],
            origin_id=data["origin"],
            document=data["document"],
            reason=data["reason"],
            replaces_id=data.get("replaces"),
        )
        stored = local_versions_visible_to(self.actor).get(id=made.id)
        return self.reply(
            stored, created=created, location=reverse("local-version", args=[organisation, made.id])
        )


class LocalVersionView(OrganisationView):
    operation = {
        "GET": Operation(
            id="read_local_version", output=LocalVersionOutput, response_example=examples.LOCAL_VERSION
        )
    }
    access = {"GET": READ}

    def prepare(self, **kwargs: Any) -> None:
        rows = local_versions_visible_to(self.actor)
        self.row: LocalVersion = self.get_object_or_404(rows, kwargs["local_version"])

    def get(self, request: Request, organisation: UUID, local_version: UUID) -> Response:
        """One version with what the location changed, and what the origin has changed since."""
        return self.reply(self.row)


class SessionRevisionView(OrganisationView):
    operation = {
        "PUT": Operation(
            id="use_revision",
            input=SessionRevisionInput,
            output=s.SessionOutput,
            etag=True,
            if_match=True,
            errors=(NotYourPlace, SessionCancelled, SessionStarted),
            request_example={"revision": examples.OTHER_ID},
            response_example={**examples.SESSION, "version": 2},
        )
    }
    access = {"PUT": WRITE}

    def prepare(self, **kwargs: Any) -> None:
        rows = queries.scheduled_sessions_visible_to(self.actor).select_related("revision")
        self.session: ScheduledSession = self.get_object_or_404(rows, kwargs["session"])

    def put(self, request: Request, organisation: UUID, session: UUID) -> Response:
        """Let a coming session use another revision of its template, as the location's own version of it.

        Its athletes are prescribed again, also inside the freeze.
        """
        actions.use_revision(
            actor=self.actor,
            session=self.session,
            version=self.expected_version(self.session),
            revision_id=self.read_input()["revision"],
        )
        return self.reply(queries.scheduled_sessions_visible_to(self.actor).get(id=session))
