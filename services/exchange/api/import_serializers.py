"""Bodies of imports."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer
from services.exchange.cells import ORDERS
from services.exchange.kinds import KINDS, UNITS
from services.exchange.models import Import, ImportRow
from services.exchange.states import OF_IMPORTS, OUTCOMES
from services.exchange.table import MOST_BYTES, MOST_COLUMNS, MOST_ROWS

_TOO_LONG = (
    f"Longer than {MOST_BYTES} characters: send it in several files, each of at most {MOST_ROWS} rows."
)


class ImportColumnInput(InputSerializer):
    column = fields.CharField(max_length=200, help_text="As it stands in the header.")
    means = fields.CharField(max_length=200, help_text="A column's name as an export has it.")
    unit = fields.ChoiceField(choices=UNITS, required=False, help_text="Of a mass, a distance or a time.")
    order = fields.ChoiceField(choices=ORDERS, required=False, help_text="Of day, month and year in a date.")


class TableInput(InputSerializer):
    kind = fields.ChoiceField(choices=KINDS)
    csv = fields.CharField(
        max_length=MOST_BYTES, trim_whitespace=False, error_messages={"max_length": _TOO_LONG}
    )
    columns = fields.ListField(child=ImportColumnInput(), max_length=MOST_COLUMNS, required=False)
    location = fields.UUIDField(
        required=False, allow_null=True, help_text="Of athletes whose row names none."
    )
    dry_run = fields.BooleanField(
        required=False, help_text="true: say what would become of each row, and store none."
    )


class ImportStateOutput(OutputSerializer):
    id = serializers.UUIDField()
    kind = serializers.ChoiceField(choices=KINDS)
    dry_run = serializers.BooleanField()
    state = serializers.ChoiceField(choices=OF_IMPORTS)
    reason = serializers.CharField(allow_blank=True, help_text="Why it failed.")
    rows_total = serializers.IntegerField()
    rows_done = serializers.IntegerField()
    created_rows = serializers.IntegerField(help_text="Of which something was, or would be, stored.")
    duplicate_rows = serializers.IntegerField(help_text="Which were stored before.")
    invalid_rows = serializers.IntegerField(help_text="Of which nothing is stored; see the rows.")
    ignored_columns = serializers.ListField(child=serializers.CharField())
    made_by = serializers.UUIDField(source="made_by_id")
    created_at = serializers.DateTimeField()
    finished_at = serializers.DateTimeField(allow_null=True)

    class Meta:
        model = Import


class RowProblemOutput(OutputSerializer):
    column = serializers.CharField(allow_blank=True, help_text="Blank: the row as a whole.")
    detail = serializers.CharField(help_text="What to do.")


class ImportedRowOutput(OutputSerializer):
    number = serializers.IntegerField(help_text="Line below the header, from 1.")
    outcome = serializers.ChoiceField(choices=OUTCOMES)
    athlete = serializers.UUIDField(source="athlete_id", allow_null=True)
    record = serializers.UUIDField(allow_null=True, help_text="What was stored; null where nothing was.")
    problems = serializers.SerializerMethodField()

    @extend_schema_field(RowProblemOutput(many=True))
    def get_problems(self, row: ImportRow) -> list[dict[str, str]]:
        return [{"column": column, "detail": detail} for column, detail in row.problems]
