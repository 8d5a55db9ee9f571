"""Bodies of the routes of safety, in and out."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from athletes.api.serializers import client_id_field
from athletes.calc.absence import KINDS
from athletes.models import Absence, Screening
from athletes.safety import CODES
from athletes.safety_queries import may_read_answers
from athletes.safety_words import (
    MAY_RELEASE,
    SHORTEST_CLEARANCE,
)
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

HEALTH_DATA = "health_data"


class GuidanceOutput(OutputSerializer):
    key = serializers.CharField()
    text = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]  # the field is called so
    certainty = serializers.CharField(help_text="How the source is known: read, secondary, from memory.")


class GuidanceListOutput(OutputSerializer):
    note = serializers.CharField()
    items = GuidanceOutput(many=True)


class QuestionOutput(OutputSerializer):
    key = serializers.CharField()
    text = serializers.CharField()


class QuestionSetOutput(OutputSerializer):
    version = serializers.IntegerField()
    valid_months = serializers.IntegerField()
    source = serializers.CharField()  # type: ignore[assignment]  # the field is called so
    questions = QuestionOutput(many=True)
    habit = QuestionOutput()


class ScreeningInput(InputSerializer):
    question_set = fields.IntegerField(min_value=1, max_value=10_000, help_text="The version that was asked.")
    answers = fields.JSONField(help_text="By key of the question: true for yes, false for no; all of them.")
    used_to_vigorous_effort = fields.BooleanField()
    client_id = client_id_field()


class ScreeningOutput(OutputSerializer):
    id = serializers.UUIDField()
    athlete = serializers.UUIDField(source="athlete_id")
    question_set = serializers.IntegerField()
    answers = serializers.SerializerMethodField()
    answers_reason = serializers.SerializerMethodField()
    used_to_vigorous_effort = serializers.BooleanField()
    local_date = serializers.DateField()
    expires_on = serializers.DateField(help_text="The first day on which it is not valid any more.")
    voided_on = serializers.SerializerMethodField()
    client_id = serializers.CharField(allow_null=True)
    recorded_by = serializers.UUIDField(source="recorded_by_id")

    def _readable(self, row: Screening) -> bool:
        return may_read_answers(self.context["view"].actor, row.athlete)

    @extend_schema_field({"type": ["object", "null"], "additionalProperties": {"type": "boolean"}})
    def get_answers(self, row: Screening) -> dict[str, bool] | None:
        """For owners, coaches and the athlete; null for location staff, who see the hold that follows."""
        answers: dict[str, bool] = row.answers
        return answers if self._readable(row) else None

    def get_answers_reason(self, row: Screening) -> str | None:
        return None if self._readable(row) else HEALTH_DATA

    @extend_schema_field({"type": ["string", "null"], "format": "date"})
    def get_voided_on(self, row: Screening) -> Any:
        """The day on which somebody said that something has changed; null while it holds."""
        return getattr(row, "voided_on", None)


class VoidInput(InputSerializer):
    note = fields.CharField(max_length=500, required=False, allow_blank=True)


class VoidOutput(OutputSerializer):
    id = serializers.UUIDField()
    screening = serializers.UUIDField(source="screening_id")
    note = serializers.CharField()
    local_date = serializers.DateField()
    recorded_by = serializers.UUIDField(source="recorded_by_id")


class AbsenceInput(InputSerializer):
    from_date = fields.DateField()
    to_date = fields.DateField(help_text="The last day without training.")
    kind = fields.ChoiceField(choices=KINDS, required=False, help_text="Decides how the return goes.")
    note = fields.CharField(max_length=500, required=False, allow_blank=True)
    client_id = client_id_field()


class AnswerInput(InputSerializer):
    trained = fields.BooleanField(
        help_text="false: away until to_date; true: there was training all the same."
    )
    to_date = fields.DateField(help_text="The last day away; where there was training, its last day.")
    kind = fields.ChoiceField(choices=KINDS, required=False)
    what_was_done = fields.CharField(max_length=500, required=False, allow_blank=True)


class AnswerOutput(OutputSerializer):
    id = serializers.UUIDField()
    absence = serializers.UUIDField(source="absence_id")
    trained = serializers.BooleanField()
    kind = serializers.CharField(allow_blank=True)
    to_date = serializers.DateField()
    what_was_done = serializers.CharField(allow_blank=True)
    local_date = serializers.DateField()
    answered_by = serializers.UUIDField(source="answered_by_id")


class PeakOutput(OutputSerializer):
    movement = serializers.UUIDField()
    repetitions = serializers.FloatField()


class AbsenceOutput(OutputSerializer):
    id = serializers.UUIDField()
    athlete = serializers.UUIDField(source="athlete_id")
    origin = serializers.ChoiceField(choices=("silence", "reported"))
    from_date = serializers.DateField()
    to_date = serializers.DateField()
    peak_volumes = serializers.SerializerMethodField()
    answer = serializers.SerializerMethodField()
    client_id = serializers.CharField(allow_null=True)
    created_at = serializers.DateTimeField()

    @extend_schema_field(PeakOutput(many=True))
    def get_peak_volumes(self, row: Absence) -> list[dict[str, Any]]:
        """The most repetitions in one session of the twelve weeks before, by movement."""
        return [{"movement": key, "repetitions": value} for key, value in sorted(row.peak_volumes.items())]

    @extend_schema_field(AnswerOutput(allow_null=True))
    def get_answer(self, row: Absence) -> Any:
        """What somebody said of it; null while it waits for that."""
        answers = list(row.answers.all())
        return AnswerOutput(answers[0]).data if answers else None


class RecipientOutput(OutputSerializer):
    membership = serializers.UUIDField(source="id")
    name = serializers.CharField(source="person.name")


class EmergencyOutput(OutputSerializer):
    number = serializers.CharField()
    text = serializers.CharField()


class HoldOutput(OutputSerializer):
    code = serializers.ChoiceField(choices=CODES)
    since = serializers.DateField()
    released_by = serializers.CharField(help_text="Who may end it, and how.")
    safe_alternative = serializers.CharField(help_text="What is offered meanwhile.")
    cause = serializers.UUIDField(
        allow_null=True, help_text="What a release names; null: a screening ends it."
    )


class CapOutput(OutputSerializer):
    movement = serializers.UUIDField()
    most_repetitions = serializers.IntegerField()


class SafetyOutput(OutputSerializer):
    """Of one athlete today. Advisory; nothing here is a diagnosis or a probability of anything."""

    athlete = serializers.UUIDField()
    on_date = serializers.DateField()
    holds = HoldOutput(many=True)
    to_failure = serializers.BooleanField(help_text="Whether sets may be planned to failure.")
    volume_share = serializers.FloatField(help_text="Of the highest volume before an absence; 1: all of it.")
    returning_week = serializers.IntegerField(allow_null=True, help_text="From 1; null: nobody returns.")
    volume_caps = CapOutput(many=True)
    notes = serializers.ListField(child=serializers.CharField())
    method = serializers.CharField()


class HeldAthleteOutput(OutputSerializer):
    athlete = serializers.UUIDField(source="id")
    name = serializers.CharField()
    location = serializers.UUIDField(source="location_id")
    holds = serializers.SerializerMethodField()

    @extend_schema_field(HoldOutput(many=True))
    def get_holds(self, row: Any) -> Any:
        return HoldOutput(self.context["view"].held.safety[row.id].holds, many=True).data


class HoldInput(InputSerializer):
    reason = fields.CharField(max_length=500)
    client_id = client_id_field()


class StaffHoldOutput(OutputSerializer):
    id = serializers.UUIDField()
    athlete = serializers.UUIDField(source="athlete_id")
    reason = serializers.CharField()
    local_date = serializers.DateField()
    client_id = serializers.CharField(allow_null=True)
    set_by = serializers.UUIDField(source="set_by_id")


class ReleaseInput(InputSerializer):
    code = fields.ChoiceField(
        choices=CODES, help_text=f"Released by a person: {', '.join(sorted(MAY_RELEASE))}."
    )
    cause = fields.UUIDField(help_text="Of the hold, as it was read; what has come since is not released.")
    reason = fields.CharField(
        max_length=500, help_text=f"Of a red_flag in {SHORTEST_CLEARANCE} characters or more."
    )
    cleared_by = fields.CharField(
        max_length=500,
        required=False,
        allow_blank=True,
        help_text="Which physician or other licensed person said what; a red_flag is not released without it.",
    )


class ReleaseOutput(OutputSerializer):
    id = serializers.UUIDField()
    athlete = serializers.UUIDField(source="athlete_id")
    code = serializers.CharField()
    cause = serializers.UUIDField()
    reason = serializers.CharField()
    cleared_by = serializers.CharField(allow_blank=True)
    local_date = serializers.DateField()
    released_by = serializers.UUIDField(source="released_by_id")
    created_at = serializers.DateTimeField()


class SafetySettingsInput(InputSerializer):
    location = fields.UUIDField(
        source="location_id", required=False, allow_null=True, help_text="Null: of the organisation."
    )
    missing_screening_holds = fields.BooleanField(required=False)
    emergency_number = fields.CharField(max_length=40, required=False, allow_blank=True)
    emergency_text = fields.CharField(max_length=1000, required=False, allow_blank=True)
    recipient = fields.UUIDField(
        source="recipient_id", required=False, allow_null=True, help_text="A membership; null: an owner."
    )


class SafetySettingsOutput(OutputSerializer):
    location = serializers.UUIDField(source="location_id", allow_null=True)
    is_default = serializers.BooleanField(help_text="Whether nobody has set anything.")
    missing_screening_holds = serializers.BooleanField()
    emergency = EmergencyOutput()
    recipient = serializers.UUIDField(source="recipient_id", allow_null=True)
