"""Rankings of a session, by official scores and by each athlete's own forecast."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from scoring.api.absent import no_sum, not_a_time, reason_unless
from scoring.api.serializers import SCORE_UNITS, STATES, DoneOutput
from services.api.serializers import OutputSerializer


class OfficialRowOutput(OutputSerializer):
    """A place in a ranking. `value` is in `unit`: a score, or places or points added up over several blocks."""

    rank = serializers.IntegerField(allow_null=True)
    rank_reason = serializers.CharField(allow_null=True)
    division = serializers.ChoiceField(choices=["as_written", "own_version"])
    athlete = serializers.UUIDField()
    name = serializers.CharField()
    attempt = serializers.UUIDField()
    state = serializers.ChoiceField(choices=STATES)
    value = serializers.FloatField(allow_null=True)
    value_reason = serializers.SerializerMethodField()
    unit = serializers.ChoiceField(choices=[*SCORE_UNITS, "places", "points"], allow_null=True)
    better = serializers.ChoiceField(choices=["lower", "higher"], allow_null=True)
    score_s = serializers.FloatField(allow_null=True)
    score_s_reason = serializers.SerializerMethodField()
    repetitions = serializers.IntegerField()
    rounds_completed = serializers.IntegerField(allow_null=True)
    rounds_completed_reason = serializers.SerializerMethodField()
    last_round_amount = serializers.FloatField(allow_null=True)
    last_round_amount_reason = serializers.SerializerMethodField()
    last_round = DoneOutput(many=True, help_text="What was done beyond whole rounds, item by item.")
    breaks = serializers.IntegerField(allow_null=True)
    breaks_reason = serializers.SerializerMethodField()
    misses = serializers.IntegerField(allow_null=True)
    misses_reason = serializers.SerializerMethodField()
    split_s = serializers.FloatField(allow_null=True)
    split_s_reason = serializers.SerializerMethodField()
    points = serializers.IntegerField(allow_null=True)
    points_reason = serializers.SerializerMethodField()
    under_review = serializers.BooleanField()

    def to_representation(self, instance: Any) -> Any:
        """Rows that were stored before there were other scores than times show what they have."""
        return super().to_representation(
            {**_OLD_ROW, "last_round": [], "value": instance["score_s"], **instance}
        )

    def get_value_reason(self, row: Any) -> str | None:
        return reason_unless(row["value"], row["rank_reason"] or row["state"])

    def get_score_s_reason(self, row: Any) -> str | None:
        return reason_unless(row["score_s"], not_a_time(row["state"]))

    def get_breaks_reason(self, row: Any) -> str | None:
        return reason_unless(row["breaks"], "not_reported")

    def get_rounds_completed_reason(self, row: Any) -> str | None:
        return reason_unless(row["rounds_completed"], "no_rounds_or_not_reported")

    def get_last_round_amount_reason(self, row: Any) -> str | None:
        return reason_unless(row["last_round_amount"], no_sum(row["unit"]))

    def get_misses_reason(self, row: Any) -> str | None:
        return reason_unless(row["misses"], "nothing_to_miss_or_not_reported")

    def get_split_s_reason(self, row: Any) -> str | None:
        return reason_unless(row["split_s"], "no_split_or_not_reported")

    def get_points_reason(self, row: Any) -> str | None:
        return reason_unless(row["points"], "not_ranked_by_points")


_OLD_ROW: dict[str, Any] = dict.fromkeys(
    ("unit", "better", "rounds_completed", "last_round_amount", "misses", "split_s", "points")
)


class BlockRankingOutput(OutputSerializer):
    block = serializers.CharField()
    rows = OfficialRowOutput(many=True)


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
    overall = serializers.ChoiceField(choices=["block", "places", "points"])
    official = OfficialRowOutput(many=True)
    by_block = BlockRankingOutput(many=True, help_text="Of each block, where a session has several.")
    by_forecast = ForecastRankingOutput()
    computed_at = serializers.DateTimeField(allow_null=True)
