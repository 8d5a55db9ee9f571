from __future__ import annotations

from typing import Any

from rest_framework import serializers

from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

ENDED_BY = ["planned", "failure", "pain", "no_rep", "clock", "other"]
MOST_SETS = 300
LONGEST_S = 86_400.0


class SetInput(InputSerializer):
    work = fields.CharField(max_length=40)
    variation = fields.SlugField(max_length=60)
    load_kg = fields.FloatField(min_value=0.0, max_value=500.0, required=False, allow_null=True)
    assistance_kg = fields.FloatField(min_value=0.0, max_value=500.0, required=False, allow_null=True)
    height_cm = fields.FloatField(min_value=0.0, max_value=300.0, required=False, allow_null=True)
    repetitions = fields.IntegerField(min_value=0, max_value=2000)
    rest_before_s = fields.FloatField(min_value=0.0, max_value=LONGEST_S, required=False, allow_null=True)
    duration_s = fields.FloatField(min_value=0.0, max_value=LONGEST_S, required=False, allow_null=True)
    rir = fields.IntegerField(min_value=0, max_value=10, required=False, allow_null=True)
    ended_by = fields.ChoiceField(choices=ENDED_BY)


class SetLogInput(InputSerializer):
    sets = fields.ListField(child=SetInput(), max_length=MOST_SETS, allow_empty=False)
    elapsed_s = fields.FloatField(min_value=0.0, max_value=LONGEST_S, required=False, allow_null=True)


class WorkTotalInput(InputSerializer):
    work = fields.CharField(max_length=40)
    repetitions = fields.IntegerField(min_value=0, max_value=2000)


class TotalsInput(InputSerializer):
    elapsed_s = fields.FloatField(min_value=0.0, max_value=LONGEST_S, required=False, allow_null=True)
    breaks = fields.IntegerField(min_value=0, max_value=2000, required=False, allow_null=True)
    work = fields.ListField(child=WorkTotalInput(), max_length=20, allow_empty=False)


class ReportInput(InputSerializer):
    """A set log or totals: exactly one of them."""

    performed_at = fields.DateTimeField()
    client_id = fields.CharField(max_length=80, required=False, allow_null=True)
    prescription = fields.UUIDField(required=False, allow_null=True)
    set_log = SetLogInput(required=False)
    totals = TotalsInput(required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if ("set_log" in attrs) == ("totals" in attrs):
            raise serializers.ValidationError("Send either set_log or totals.", code="one_of")
        return attrs


class AttemptInput(ReportInput):
    session = fields.UUIDField()
    athlete = fields.UUIDField()


class AttemptCorrectionInput(ReportInput):
    reason = fields.CharField(max_length=500)


def _reason(value: Any, why: str) -> str | None:
    """The reason beside a number that may be null: null while there is a number."""
    return None if value is not None else why


class ScoreOutput(OutputSerializer):
    """By the rules of the block alone, so without an interval; the attempt as it was sent is its input."""

    state = serializers.ChoiceField(choices=["finished", "capped", "unscored"])
    score_s = serializers.FloatField(allow_null=True)
    score_s_reason = serializers.SerializerMethodField()
    elapsed_s = serializers.FloatField(allow_null=True)
    elapsed_s_reason = serializers.SerializerMethodField()
    breaks = serializers.IntegerField(allow_null=True)
    breaks_reason = serializers.SerializerMethodField()
    penalty_s = serializers.FloatField(allow_null=True)
    penalty_s_reason = serializers.SerializerMethodField()
    repetitions = serializers.IntegerField()
    repetitions_by_work = serializers.DictField(child=serializers.IntegerField())
    rules_version = serializers.IntegerField()
    aim = serializers.ListField(child=serializers.DictField())

    def get_score_s_reason(self, row: Any) -> str | None:
        return _reason(row.score_s, row.state)

    def get_elapsed_s_reason(self, row: Any) -> str | None:
        return _reason(row.elapsed_s, "not_reported")

    def get_breaks_reason(self, row: Any) -> str | None:
        return _reason(row.breaks, "not_reported")

    def get_penalty_s_reason(self, row: Any) -> str | None:
        return _reason(row.penalty_s, "breaks_not_reported")


class AttemptOutput(OutputSerializer):
    id = serializers.UUIDField()
    session = serializers.UUIDField(source="session_id")
    athlete = serializers.UUIDField(source="athlete_id")
    prescription = serializers.UUIDField(source="prescription_id", allow_null=True)
    kind = serializers.ChoiceField(choices=["set_log", "totals"])
    performed_at = serializers.DateTimeField()
    zone = serializers.CharField()
    local_date = serializers.DateField()
    client_id = serializers.CharField(allow_null=True)
    replaces = serializers.UUIDField(source="replaces_id", allow_null=True)
    replaced_by = serializers.SerializerMethodField()
    reason = serializers.CharField(allow_blank=True)
    received_at = serializers.DateTimeField(source="created_at")

    def get_replaced_by(self, row: Any) -> str | None:
        later = getattr(row, "replaced_by", None)
        return None if later is None else str(later)


class AttemptDetailOutput(AttemptOutput):
    as_sent = serializers.DictField()
    score = ScoreOutput(allow_null=True)
    score_reason = serializers.CharField(allow_null=True)


class PrescriptionOutput(OutputSerializer):
    id = serializers.UUIDField()
    session = serializers.UUIDField(source="session_id")
    athlete = serializers.UUIDField(source="athlete_id")
    number = serializers.IntegerField()
    feasible = serializers.BooleanField()
    content = serializers.DictField()
    forecast = serializers.DictField(allow_null=True)
    forecast_reason = serializers.SerializerMethodField()
    basis = serializers.DictField()
    method_version = serializers.IntegerField()
    issued_at = serializers.DateTimeField()
    superseded_by = serializers.SerializerMethodField()

    def get_superseded_by(self, row: Any) -> str | None:
        later = getattr(row, "superseded_by", None)
        return None if later is None else str(later)

    def get_forecast_reason(self, row: Any) -> str | None:
        return None if row.forecast is not None else "infeasible"


class FindingOutput(OutputSerializer):
    code = serializers.CharField()
    detail = serializers.CharField()


class ReviewInput(InputSerializer):
    """Both, although it comes by PATCH: a verdict without its reason is none."""

    accepted = fields.BooleanField()
    resolution = fields.CharField(max_length=500)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        missing = serializers.ErrorDetail("This field is required.", code="required")
        faults = {name: [missing] for name in ("accepted", "resolution") if name not in attrs}
        if faults:
            raise serializers.ValidationError(faults)
        return attrs


class ReviewOutput(OutputSerializer):
    id = serializers.UUIDField()
    attempt = serializers.UUIDField(source="attempt_id")
    athlete = serializers.UUIDField(source="attempt.athlete_id")
    session = serializers.UUIDField(source="attempt.session_id")
    findings = FindingOutput(many=True)
    accepted = serializers.BooleanField(allow_null=True)
    resolution = serializers.CharField(allow_blank=True)
    resolved_at = serializers.DateTimeField(allow_null=True)
    created_at = serializers.DateTimeField()


class OfficialRowOutput(OutputSerializer):
    rank = serializers.IntegerField(allow_null=True)
    rank_reason = serializers.CharField(allow_null=True)
    division = serializers.ChoiceField(choices=["as_written", "own_version"])
    athlete = serializers.UUIDField()
    name = serializers.CharField()
    attempt = serializers.UUIDField()
    state = serializers.ChoiceField(choices=["finished", "capped", "unscored"])
    score_s = serializers.FloatField(allow_null=True)
    score_s_reason = serializers.SerializerMethodField()
    repetitions = serializers.IntegerField()
    breaks = serializers.IntegerField(allow_null=True)
    breaks_reason = serializers.SerializerMethodField()
    under_review = serializers.BooleanField()

    def get_score_s_reason(self, row: Any) -> str | None:
        return _reason(row["score_s"], row["state"])

    def get_breaks_reason(self, row: Any) -> str | None:
        return _reason(row["breaks"], "not_reported")


class ForecastRowOutput(OutputSerializer):
    """The quantile is the share of one's own forecast that is better; the forecast is the prescription's."""

    rank = serializers.IntegerField(allow_null=True)
    rank_reason = serializers.SerializerMethodField()
    athlete = serializers.UUIDField()
    name = serializers.CharField()
    quantile = serializers.FloatField(allow_null=True)
    quantile_reason = serializers.SerializerMethodField()
    notes = serializers.ListField(child=serializers.CharField())

    def get_rank_reason(self, row: Any) -> str | None:
        return None if row["rank"] is not None else row["notes"][0]

    def get_quantile_reason(self, row: Any) -> str | None:
        return None if row["quantile"] is not None else row["notes"][0]


class ForecastRankingOutput(OutputSerializer):
    note = serializers.CharField()
    rows = ForecastRowOutput(many=True)


class RankingOutput(OutputSerializer):
    session = serializers.UUIDField(source="session_id")
    official = OfficialRowOutput(many=True)
    by_forecast = ForecastRankingOutput()
    computed_at = serializers.DateTimeField(allow_null=True)
