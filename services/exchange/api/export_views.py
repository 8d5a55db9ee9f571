"""Exports: asking for one, seeing how far it is, fetching it, deleting it."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from services.api import fields
from services.api.operation import Access, Operation
from services.api.serializers import InputSerializer, OutputSerializer
from services.api.views import OrganisationView
from services.exchange.actions.exports import delete_export, file_of, make_export
from services.exchange.errors import ExportNotReady, TooManyExports
from services.exchange.models import Export
from services.exchange.queries import exports_visible_to
from services.exchange.states import OF_EXPORTS
from services.tenancy.actor import EVERYONE, Scope

ARCHIVE = "application/zip"
EXPORT_EXAMPLE: dict[str, Any] = {
    "id": "c2b1a0f9-8e7d-4c6b-9a5f-4e3d2c1b0a99",
    "athlete": "1c9e1f7a-0d3b-4c58-8a55-1f0e5b2c7d44",
    "state": "waiting",
    "reason": "",
    "sheets_total": 46,
    "sheets_done": 0,
    "made_by": "5d1a2b3c-4e5f-4a6b-8c7d-9e0f1a2b3c4d",
    "created_at": "2026-10-19T06:10:00Z",
    "finished_at": None,
    "expires_at": None,
}


class ExportInput(InputSerializer):
    athlete = fields.UUIDField(
        required=False, allow_null=True, help_text="Null: everything of the organisation."
    )


class ExportOutput(OutputSerializer):
    id = serializers.UUIDField()
    athlete = serializers.UUIDField(source="athlete_id", allow_null=True)
    state = serializers.ChoiceField(choices=OF_EXPORTS)
    reason = serializers.CharField(allow_blank=True, help_text="Why it failed.")
    sheets_total = serializers.IntegerField()
    sheets_done = serializers.IntegerField()
    made_by = serializers.UUIDField(source="made_by_id")
    created_at = serializers.DateTimeField()
    finished_at = serializers.DateTimeField(allow_null=True)
    expires_at = serializers.DateTimeField(
        allow_null=True, help_text="When the file goes; null before it is done."
    )


class ExportsView(OrganisationView):
    operation = {
        "GET": Operation(id="list_exports", output=ExportOutput, paged=True, response_example=EXPORT_EXAMPLE),
        "POST": Operation(
            id="create_export",
            input=ExportInput,
            output=ExportOutput,
            status=201,
            errors=(TooManyExports,),
            request_example={"athlete": EXPORT_EXAMPLE["athlete"]},
            response_example=EXPORT_EXAMPLE,
        ),
    }
    access = {
        "GET": Access(EVERYONE, Scope.ATHLETES_READ),
        "POST": Access(EVERYONE, Scope.ATHLETES_READ),
    }

    def get(self, request: Request, organisation: UUID) -> Response:
        """One's own exports, newest first."""
        return self.page(exports_visible_to(self.actor), order=("-created_at", "-id"))

    def post(self, request: Request, organisation: UUID) -> Response:
        """Ask for everything that is kept about an athlete, or of the organisation, as CSV and JSON in one archive.

        Of an athlete: by the athlete, owners and coaches. Of the organisation: by owners, with the scope `admin`. It
        is written within minutes and kept for seven days; four of its sheets can be imported as they are.
        """
        data = self.read_input()
        return self.reply(make_export(actor=self.actor, athlete_id=data.get("athlete")))


class ExportView(OrganisationView):
    operation = {
        "GET": Operation(id="read_export", output=ExportOutput, response_example=EXPORT_EXAMPLE),
        "DELETE": Operation(id="delete_export", status=204),
    }
    access = {
        "GET": Access(EVERYONE, Scope.ATHLETES_READ),
        "DELETE": Access(EVERYONE, Scope.ATHLETES_READ),
    }

    def prepare(self, organisation: UUID, export: UUID) -> None:
        self.export: Export = self.get_object_or_404(exports_visible_to(self.actor), export)

    def get(self, request: Request, organisation: UUID, export: UUID) -> Response:
        """How far an export is."""
        return self.reply(self.export)

    def delete(self, request: Request, organisation: UUID, export: UUID) -> Response:
        """Delete an export and its file at once."""
        delete_export(export=self.export)
        return self.no_content()


class ExportFileView(OrganisationView):
    operation = {"GET": Operation(id="download_export", content_type=ARCHIVE, errors=(ExportNotReady,))}
    access = {"GET": Access(EVERYONE, Scope.ATHLETES_READ)}

    def prepare(self, organisation: UUID, export: UUID) -> None:
        self.export: Export = self.get_object_or_404(exports_visible_to(self.actor), export)

    def get(self, request: Request, organisation: UUID, export: UUID) -> HttpResponse:
        """The archive: contents.json, and each sheet as csv/<sheet>.csv and json/<sheet>.json.

        CSV by RFC 4180 in UTF-8; a text that a spreadsheet would take for a formula has an apostrophe before it.
        """
        content = file_of(self.export, self.actor, timezone.now())
        headers = {"Content-Disposition": f'attachment; filename="export-{self.export.id}.zip"'}
        return HttpResponse(content, content_type=ARCHIVE, headers=headers)
