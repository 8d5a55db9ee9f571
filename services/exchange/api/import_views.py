"""Imports of tables: sending one, seeing how far it is, and what became of each row."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django_filters import ChoiceFilter, FilterSet
from drf_spectacular.utils import OpenApiParameter
from rest_framework.exceptions import ParseError
from rest_framework.request import Request
from rest_framework.response import Response

from services.api.operation import Access, Operation
from services.api.parsers import StrictJSONParser, WholeBodyParser
from services.api.views import OrganisationView
from services.exchange.actions.imports import make_import
from services.exchange.api import import_serializers as s
from services.exchange.kinds import KINDS, Column
from services.exchange.models import Import, ImportRow
from services.exchange.queries import import_rows_of, imports_visible_to
from services.exchange.states import OUTCOMES
from services.exchange.table import MOST_BYTES, MOST_ROWS, TableError, text_of
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import STAFF, Scope

IMPORT_EXAMPLE: dict[str, Any] = {
    "id": "8a4d2c1e-6b3f-4d7a-9c55-0e1f2a3b4c5d",
    "kind": "tests",
    "dry_run": False,
    "state": "working",
    "reason": "",
    "rows_total": 1200,
    "rows_done": 500,
    "created_rows": 496,
    "duplicate_rows": 0,
    "invalid_rows": 4,
    "ignored_columns": ["Weather"],
    "made_by": "5d1a2b3c-4e5f-4a6b-8c7d-9e0f1a2b3c4d",
    "created_at": "2026-10-19T06:10:00Z",
    "finished_at": None,
}
TABLE_EXAMPLE: dict[str, Any] = {
    "kind": "tests",
    "csv": "Who,Day,What,How,Time,Metres\nRuta Penn,19.10.2026,row_machine,time_trial,7:21:00,2000\n",
    "columns": [
        {"column": "Who", "means": "athlete"},
        {"column": "Day", "means": "date", "order": "day_month_year"},
        {"column": "What", "means": "variation"},
        {"column": "How", "means": "kind"},
        {"column": "Time", "means": "elapsed", "unit": "min:s"},
        {"column": "Metres", "means": "distance", "unit": "m"},
    ],
    "dry_run": True,
}


class LargeJSONParser(StrictJSONParser):
    """A table in JSON is as large as one in CSV; quotes and line ends take two characters each."""

    max_bytes = 2 * MOST_BYTES
    remedy = f"send the table in several files, each of at most {MOST_ROWS} rows"


class TableParser(WholeBodyParser):
    """A whole body of CSV; what else there is to say stands in the query."""

    media_type = "text/csv"
    max_bytes = MOST_BYTES
    remedy = f"send it in several files, each of at most {MOST_ROWS} rows"

    def told(self, raw: bytes, context: Mapping[str, Any]) -> dict[str, Any]:
        try:
            text = text_of(raw)
        except TableError as error:
            raise ParseError(str(error)) from None
        query = context["request"].query_params
        told: dict[str, Any] = {
            "csv": text,
            **{name: query[name] for name in ("kind", "location") if name in query},
        }
        if "dry_run" in query:
            told["dry_run"] = {"true": True, "false": False}.get(query["dry_run"], query["dry_run"])
        return told


class ImportsView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_imports", output=s.ImportStateOutput, paged=True, response_example=IMPORT_EXAMPLE
        ),
        "POST": Operation(
            id="create_import",
            input=s.TableInput,
            output=s.ImportStateOutput,
            status=201,
            stored_before=True,
            text_types=("text/csv",),
            parameters=(
                OpenApiParameter("kind", str, enum=list(KINDS), description="Of a body in CSV."),
                OpenApiParameter("location", UUID, description="Of a body in CSV."),
                OpenApiParameter("dry_run", bool, description="Of a body in CSV."),
            ),
            request_example=TABLE_EXAMPLE,
            response_example={**IMPORT_EXAMPLE, "state": "waiting", "rows_done": 0, "created_rows": 0},
        ),
    }
    access = {
        "GET": Access(STAFF, Scope.ATHLETES_READ),
        "POST": Access(STAFF, Scope.ATHLETES_WRITE),
    }
    parser_classes = (LargeJSONParser, TableParser)  # type: ignore[assignment]  # narrower in the base

    def get(self, request: Request, organisation: UUID) -> Response:
        """Imports, newest first: one's own; coaches see all."""
        return self.page(imports_visible_to(self.actor), order=("-created_at", "-id"))

    def post(self, request: Request, organisation: UUID) -> Response:
        """Send a table of athletes, weighings, tests, results or training logs in CSV: at most 20 000 rows and 8 MiB.

        It is looked over at once: what cannot be read, or may be meant in two ways (the order of a date, a time such
        as 38:31:00), is refused with what to say in `columns`. The rows follow within minutes, each by the same rules
        as a request, in the order of the file; `read_import` tells how far it is. A row that was stored before, by
        its client_id, by an id of this organisation, or by its content, is stored no second time. A column means its
        name: that of an export of the same kind.
        """
        self._refuse_said_elsewhere()
        data = self.read_input()
        made, is_new = make_import(
            actor=self.actor,
            kind=data["kind"],
            text=data["csv"],
            columns=[
                Column(one["column"], one["means"], one.get("unit", ""), one.get("order", ""))
                for one in data.get("columns", [])
            ],
            location_id=data.get("location"),
            dry_run=data.get("dry_run", False),
        )
        return self.reply(made, created=is_new)

    def _refuse_said_elsewhere(self) -> None:
        """Of a body in JSON nothing stands in the query: a dry run that is passed over there would store rows."""
        if (self.request.content_type or "").partition(";")[0].strip().lower() == "text/csv":
            return
        detail = "Beside a body in JSON say this in the body."
        faults = [FieldProblem("", "in_the_body", detail, name) for name in sorted(self.request.query_params)]
        if faults:
            raise Invalid(errors=faults)


class ImportView(OrganisationView):
    operation = {
        "GET": Operation(id="read_import", output=s.ImportStateOutput, response_example=IMPORT_EXAMPLE)
    }
    access = {"GET": Access(STAFF, Scope.ATHLETES_READ)}

    def prepare(self, organisation: UUID, **kwargs: UUID) -> None:
        self.imported: Import = self.get_object_or_404(imports_visible_to(self.actor), kwargs["import"])

    def get(self, request: Request, organisation: UUID, **kwargs: UUID) -> Response:
        """How far an import is, and how many rows became what."""
        return self.reply(self.imported)


class ImportRowFilter(FilterSet):
    outcome = ChoiceFilter(choices=[(one, one) for one in OUTCOMES])

    class Meta:
        model = ImportRow
        fields: list[str] = []


class ImportRowsView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_import_rows", output=s.ImportedRowOutput, paged=True, filters=ImportRowFilter
        )
    }
    access = {"GET": Access(STAFF, Scope.ATHLETES_READ)}

    def prepare(self, organisation: UUID, **kwargs: UUID) -> None:
        self.imported: Import = self.get_object_or_404(imports_visible_to(self.actor), kwargs["import"])

    def get(self, request: Request, organisation: UUID, **kwargs: UUID) -> Response:
        """What became of each row that is done, in the order of the file, and what to do about it."""
        return self.page(import_rows_of(self.imported), order=("number", "id"))
