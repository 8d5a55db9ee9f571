"""What was done: attempts with their scores, notes and reviews."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from programming.calc.revision import UNITS
from scoring.api.absent import no_sum, not_a_time, reason_unless
from scoring.last_round import last_round_of
from scoring.sent import BLOCKS, KINDS
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

STATES = ["finished", "capped", "no_mark", "not_scored", "unscored"]
SCORE_UNITS = ["s", "repetitions", "m", "kcal", "kg", "kg_repetitions", "intervals", "rounds"]


class DoneOutput(OutputSerializer):
    """What counts of a work item, penalty work included, in the unit that it is counted in."""

    work = serializers.CharField()
    amount = serializers.FloatField()
    unit = serializers.ChoiceField(choices=list(UNITS))


class ScoreOutput(OutputSerializer):
    """Of one block by its rules alone, so without an interval; the attempt as it was sent is its input.

    `value` is the official score of every kind, in `unit`; `score_s` the same where it is a time. A capped result
    has the amount done instead. In `rounds`, work of several units, the fraction is the share of the next round, in
    which each item counts alike; `last_round` has that rest item by item.
    """

    block = serializers.CharField()
    state = serializers.ChoiceField(choices=STATES)
    value = serializers.FloatField(allow_null=True)
    value_reason = serializers.SerializerMethodField()
    unit = serializers.ChoiceField(choices=SCORE_UNITS, allow_null=True)
    better = serializers.ChoiceField(choices=["lower", "higher"], allow_null=True)
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
    amounts = DoneOutput(many=True)
    rounds_completed = serializers.IntegerField(allow_null=True)
    rounds_completed_reason = serializers.SerializerMethodField()
    last_round_amount = serializers.FloatField(allow_null=True)
    last_round_amount_reason = serializers.SerializerMethodField()
    last_round = serializers.SerializerMethodField()
    misses = serializers.IntegerField(allow_null=True)
    misses_reason = serializers.SerializerMethodField()
    split_s = serializers.FloatField(allow_null=True)
    split_s_reason = serializers.SerializerMethodField()
    rules_version = serializers.IntegerField()
    aim = serializers.ListField(child=serializers.DictField())

    def get_value_reason(self, row: Any) -> str | None:
        return reason_unless(row.value, row.state)

    def get_score_s_reason(self, row: Any) -> str | None:
        return reason_unless(row.score_s, not_a_time(row.state))

    def get_rounds_completed_reason(self, row: Any) -> str | None:
        return reason_unless(row.rounds_completed, "no_rounds_or_not_reported")

    def get_last_round_amount_reason(self, row: Any) -> str | None:
        return reason_unless(row.last_round_amount, no_sum(row.unit))

    @extend_schema_field(DoneOutput(many=True))
    def get_last_round(self, row: Any) -> list[dict[str, Any]]:
        return last_round_of(row.amounts)

    def get_misses_reason(self, row: Any) -> str | None:
        return reason_unless(row.misses, "nothing_to_miss_or_not_reported")

    def get_split_s_reason(self, row: Any) -> str | None:
        return reason_unless(row.split_s, "no_split_or_not_reported")

    def get_elapsed_s_reason(self, row: Any) -> str | None:
        return reason_unless(row.elapsed_s, "not_reported")

    def get_breaks_reason(self, row: Any) -> str | None:
        return reason_unless(row.breaks, "not_reported")

    def get_penalty_s_reason(self, row: Any) -> str | None:
        return reason_unless(row.penalty_s, "breaks_not_reported")


class AttemptOutput(OutputSerializer):
    id = serializers.UUIDField()
    session = serializers.UUIDField(source="session_id")
    athlete = serializers.UUIDField(source="athlete_id")
    prescription = serializers.UUIDField(source="prescription_id", allow_null=True)
    kind = serializers.ChoiceField(choices=[*KINDS, BLOCKS])
    performed_at = serializers.DateTimeField()
    zone = serializers.CharField()
    local_date = serializers.DateField()
    client_id = serializers.CharField(allow_null=True)
    note = serializers.CharField(allow_blank=True)
    effort = serializers.FloatField(allow_null=True)
    minutes = serializers.FloatField(allow_null=True)
    replaces = serializers.UUIDField(source="replaces_id", allow_null=True)
    replaced_by = serializers.SerializerMethodField()
    reason = serializers.CharField(allow_blank=True)
    received_at = serializers.DateTimeField(source="created_at")

    def get_replaced_by(self, row: Any) -> str | None:
        later = getattr(row, "replaced_by", None)
        return None if later is None else str(later)


class FindingOutput(OutputSerializer):
    code = serializers.CharField()
    detail = serializers.CharField()


class SubmittedAttemptOutput(AttemptOutput):
    """What was stored; that it does not add up is found when it is scored, which the answer does not wait for."""

    follows = serializers.SerializerMethodField(
        help_text="Where to read, in moments, whether it waits for a review."
    )

    def get_follows(self, row: Any) -> str:
        return (
            "Stored as sent, and scored within moments. Whether it counts, or waits for somebody to look at it, says"
            f" `review` of the result: GET …/attempts/{row.id}."
        )


class AttemptReviewOutput(OutputSerializer):
    """Whether somebody is to look at the result. Open, parts of it count for nothing: what, the findings say."""

    id = serializers.UUIDField()
    open = serializers.BooleanField()
    accepted = serializers.BooleanField(allow_null=True, help_text="null: nobody has decided yet.")
    accepted_reason = serializers.SerializerMethodField()
    findings = FindingOutput(many=True)

    def get_accepted_reason(self, row: Any) -> str | None:
        return None if row.accepted is not None else "open"


class AttemptDetailOutput(AttemptOutput):
    as_sent = serializers.DictField()
    review = AttemptReviewOutput(
        allow_null=True, help_text="null: nothing is to be looked at, or it is not scored yet."
    )
    review_reason = serializers.CharField(allow_null=True)
    score = ScoreOutput(allow_null=True, help_text="Of the block that the session is ranked by.")
    scores = ScoreOutput(many=True, help_text="Of every block that was reported.")
    score_reason = serializers.CharField(allow_null=True)


class NoteOutput(OutputSerializer):
    id = serializers.UUIDField()
    attempt = serializers.UUIDField(source="attempt_id")
    author = serializers.UUIDField(source="author_id")
    author_name = serializers.CharField(source="author.name")
    text = serializers.CharField()
    created_at = serializers.DateTimeField()


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
    version = serializers.IntegerField()
    attempt = serializers.UUIDField(source="attempt_id")
    athlete = serializers.UUIDField(source="attempt.athlete_id")
    session = serializers.UUIDField(source="attempt.session_id")
    findings = FindingOutput(many=True)
    accepted = serializers.BooleanField(allow_null=True)
    resolution = serializers.CharField(allow_blank=True)
    resolved_at = serializers.DateTimeField(allow_null=True)
    created_at = serializers.DateTimeField()
