"""Rosters in CSV."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter
from rest_framework import serializers
from rest_framework.exceptions import ParseError
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.imports import ImportReport, import_athletes
from athletes.api import examples
from athletes.api.athlete_views import STAFF_WRITES
from athletes.roster import MOST_BYTES, MOST_COLUMNS
from services.api import fields
from services.api.operation import Operation
from services.api.parsers import StrictJSONParser, WholeBodyParser
from services.api.serializers import InputSerializer, OutputSerializer
from services.api.views import OrganisationView
from services.problems import FieldProblem, Invalid


class CsvParser(WholeBodyParser):
    """A whole body of UTF-8 CSV, as {"csv": text}."""

    media_type = "text/csv"
    max_bytes = MOST_BYTES
    remedy = "split it"

    def told(self, raw: bytes, context: Mapping[str, Any]) -> dict[str, str]:
        try:
            return {"csv": raw.decode("utf-8-sig")}
        except UnicodeDecodeError:
            raise ParseError("The file is not UTF-8; save it as CSV UTF-8.") from None


class ColumnInput(InputSerializer):
    column = fields.CharField(max_length=200, help_text="As it stands in the header.")
    means = fields.CharField(
        max_length=200,
        help_text="name, location, client_id, date, body_mass_kg, body_mass_lb, to_failure:<variation>, "
        "to_failure:<variation>:<load>kg, one_rm:<variation>:kg; lb in place of kg.",
    )


class ImportInput(InputSerializer):
    csv = fields.CharField(max_length=MOST_BYTES, trim_whitespace=False)
    columns = fields.ListField(child=ColumnInput(), max_length=MOST_COLUMNS, required=False)


class ImportProblemOutput(OutputSerializer):
    column = serializers.CharField(allow_blank=True)
    detail = serializers.CharField()


class ImportRowOutput(OutputSerializer):
    number = serializers.IntegerField(help_text="Line below the header, from 1.")
    name = serializers.CharField(allow_blank=True)
    outcome = serializers.ChoiceField(choices=["created", "duplicate", "invalid"])
    athlete = serializers.UUIDField(allow_null=True, help_text="Null in a dry run of a new athlete.")
    created = serializers.ListField(child=serializers.CharField())
    problems = ImportProblemOutput(many=True)


class ImportOutput(OutputSerializer):
    dry_run = serializers.BooleanField()
    created = serializers.IntegerField(help_text="Rows of which something was stored.")
    duplicate = serializers.IntegerField(help_text="Rows of which everything was stored before.")
    invalid = serializers.IntegerField(help_text="Rows of which nothing was stored.")
    ignored_columns = serializers.ListField(child=serializers.CharField())
    rows = ImportRowOutput(many=True)


class AthleteImportView(OrganisationView):
    operation = {
        "POST": Operation(
            id="import_athletes",
            input=ImportInput,
            output=ImportOutput,
            text_types=("text/csv",),
            parameters=(
                OpenApiParameter("dry_run", bool, description="true: report, and store nothing."),
                OpenApiParameter("location", UUID, description="Location of rows that name none."),
            ),
            request_example=examples.IMPORT_INPUT,
            response_example=examples.IMPORT,
        )
    }
    access = {"POST": STAFF_WRITES}
    parser_classes = (StrictJSONParser, CsvParser)  # type: ignore[assignment]  # narrower in the base

    def post(self, request: Request, organisation: UUID) -> Response:
        """Take in a roster of at most 2000 rows and 1 MiB: athletes, weighings and tests, each once.

        What a column means is its name, or what `columns` says. The same file again finds what it made; a row
        with a problem stores nothing and does not hold up the others.
        """
        told = self.read_input()
        columns = told.get("columns", [])
        report = import_athletes(
            actor=self.actor,
            text=told["csv"],
            mapping={entry["column"]: entry["means"] for entry in columns},
            location_id=self._location_id(),
            now=timezone.now(),
            dry_run=self._dry_run(),
        )
        return self.reply(_presented(report))

    def _dry_run(self) -> bool:
        text = self.request.query_params.get("dry_run", "false")
        if text not in ("true", "false"):
            raise Invalid(errors=[FieldProblem("", "invalid", "Must be true or false.", parameter="dry_run")])
        return text == "true"

    def _location_id(self) -> UUID | None:
        text = self.request.query_params.get("location")
        try:
            return None if text is None else UUID(text)
        except ValueError:
            fault = FieldProblem("", "invalid", "Must be a UUID.", parameter="location")
            raise Invalid(errors=[fault]) from None


def _presented(report: ImportReport) -> dict[str, Any]:
    return {
        "dry_run": report.dry_run,
        "created": report.count("created"),
        "duplicate": report.count("duplicate"),
        "invalid": report.count("invalid"),
        "ignored_columns": report.ignored_columns,
        "rows": [
            {
                "number": row.number,
                "name": row.name,
                "outcome": row.outcome,
                "athlete": None if report.dry_run and "athlete" in row.created else row.athlete_id,
                "created": row.created,
                "problems": [{"column": column, "detail": detail} for column, detail in row.problems],
            }
            for row in report.rows
        ],
    }
