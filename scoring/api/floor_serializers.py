"""What comes from the floor: check sets, and changes for the day."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail

from athletes.day import KINDS
from programming.calc.revision import UNITS
from scoring.api.load_text import LoadedOutput, load_text_of
from scoring.check_words import STEPS
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

ENDED_BY = ["planned", "failure", "pain", "no_rep", "clock", "other"]
MOST_WORK = 40
MOST_WORDS = 20
LARGEST_AMOUNT = 100_000.0


class SettingsInput(InputSerializer):
    """How a variation is done; what is not adjusted is left out."""

    load_kg = fields.FloatField(min_value=0.0, max_value=500.0, required=False, allow_null=True)
    assistance_kg = fields.FloatField(min_value=0.0, max_value=500.0, required=False, allow_null=True)
    height_cm = fields.FloatField(min_value=0.0, max_value=300.0, required=False, allow_null=True)


class CheckSetInput(SettingsInput):
    """One amount in the unit of the work. Without a variation it was done as the prescription asks, a correction as
    the set that it replaces.
    """

    work = fields.CharField(max_length=40)
    variation = fields.SlugField(max_length=60, required=False, allow_null=True)
    repetitions = fields.IntegerField(min_value=0, max_value=2000, required=False)
    hold_s = fields.FloatField(min_value=0.0, max_value=86_400.0, required=False)
    distance_m = fields.FloatField(min_value=0.0, max_value=LARGEST_AMOUNT, required=False)
    energy_kcal = fields.FloatField(min_value=0.0, max_value=10_000.0, required=False)
    rir = fields.IntegerField(min_value=0, max_value=10, required=False, allow_null=True)
    ended_by = fields.ChoiceField(choices=ENDED_BY)
    performed_at = fields.DateTimeField(required=False)
    replaces = fields.UUIDField(required=False, allow_null=True)
    confirmed = fields.BooleanField(
        required=False,
        help_text="It is right, although the load is not in the kit or far above the one asked for; of what is beyond"
        " belief the word of the staff who have seen it. Else it is refused.",
    )
    client_id = fields.CharField(max_length=80, required=False, allow_null=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if sum(unit in attrs for unit in UNITS) != 1:
            raise serializers.ValidationError(f"Send exactly one of {', '.join(UNITS)}.", code="one_of")
        if attrs["ended_by"] == "failure" and attrs.get("rir"):
            detail = "A set to failure leaves nothing: send no rir, or `planned` where it was ended with some left."
            raise serializers.ValidationError({"rir": [ErrorDetail(detail, code="reserve_after_failure")]})
        return attrs


class OptionOutput(OutputSerializer):
    """One way to do a work item; a setting that is not used is null."""

    variation = serializers.CharField(source="variation_version.variation.key")
    variation_name = serializers.CharField(source="variation_version.variation.name")
    load_kg = serializers.FloatField(allow_null=True, help_text="All of the load together, in kg.")
    load_text = serializers.SerializerMethodField(
        help_text='The load as it was taken, of two dumbbells or kettlebells "2 × 16 kg"; null without a load.'
    )
    assistance_kg = serializers.FloatField(allow_null=True)
    height_cm = serializers.FloatField(allow_null=True)

    def get_load_text(self, row: Any) -> str | None:
        return load_text_of(row)


class CheckSetOutput(OptionOutput):
    id = serializers.UUIDField()
    prescription = serializers.UUIDField(source="prescription_id")
    session = serializers.UUIDField(source="session_id")
    athlete = serializers.UUIDField(source="athlete_id")
    work = serializers.CharField()
    amount = serializers.FloatField(help_text="In `unit`.")
    unit = serializers.ChoiceField(choices=UNITS)
    rir = serializers.IntegerField(allow_null=True, help_text="Repetitions in reserve.")
    rir_reason = serializers.SerializerMethodField()
    ended_by = serializers.ChoiceField(choices=ENDED_BY)
    performed_at = serializers.DateTimeField()
    local_date = serializers.DateField()
    replaces = serializers.UUIDField(source="replaces_id", allow_null=True)
    client_id = serializers.CharField(allow_null=True)

    def get_rir_reason(self, row: Any) -> str | None:
        return None if row.rir is not None else "not_reported"


class VersionOutput(LoadedOutput):
    """The version to take, as a prescription names it."""

    variation = serializers.CharField()
    variation_name = serializers.CharField()
    assistance_kg = serializers.FloatField(allow_null=True)
    height_cm = serializers.FloatField(allow_null=True)
    effective_kg = serializers.FloatField()


class AdviceOutput(OutputSerializer):
    """What to do at once.

    `option` is the version of the prescription that follows, where it is another one than was done and can be told at
    once. `keep`: begin with what was done. `take_easier`, `take_harder`: with `option`; where that is null, with what
    the next prescription says. `ask_coach`: no version that fits can be given, or a coach
    prescribed this. `unclear`: wait for that prescription.
    """

    step = serializers.ChoiceField(choices=STEPS)
    text = serializers.CharField()
    option = VersionOutput(allow_null=True)
    rest_s = serializers.IntegerField(allow_null=True)
    rest_s_reason = serializers.SerializerMethodField()

    def get_rest_s_reason(self, row: Any) -> str | None:
        return None if row.rest_s is not None else "no_check_set_asked"


class CheckSetSentOutput(CheckSetOutput):
    next = AdviceOutput()


class DayChangeInput(InputSerializer):
    """kit_in_use names `items`; sore names `hazards` or `muscle_groups`; drop_in neither."""

    athlete = fields.UUIDField()
    kind = fields.ChoiceField(choices=KINDS)
    items = fields.ListField(
        child=fields.CharField(max_length=60), max_length=MOST_WORDS, required=False, default=list
    )
    hazards = fields.ListField(
        child=fields.CharField(max_length=40), max_length=MOST_WORDS, required=False, default=list
    )
    muscle_groups = fields.ListField(
        child=fields.CharField(max_length=40), max_length=MOST_WORDS, required=False, default=list
    )
    note = fields.CharField(max_length=500, required=False, allow_blank=True, default="")
    client_id = fields.CharField(max_length=80, required=False, allow_null=True)


class DayChangeOutput(OutputSerializer):
    id = serializers.UUIDField()
    session = serializers.UUIDField(source="session_id")
    athlete = serializers.UUIDField(source="athlete_id")
    kind = serializers.ChoiceField(choices=KINDS)
    items = serializers.ListField(child=serializers.CharField())
    hazards = serializers.ListField(child=serializers.CharField())
    muscle_groups = serializers.ListField(child=serializers.CharField())
    note = serializers.CharField(allow_blank=True)
    until = serializers.DateField(
        allow_null=True,
        help_text="Other sessions of the athlete on or before this date have it too; null: `session` alone.",
    )
    client_id = serializers.CharField(allow_null=True)
    made_at = serializers.DateTimeField(source="created_at")
    ended = serializers.SerializerMethodField()

    def get_ended(self, row: Any) -> bool:
        return bool(getattr(row, "ended", False))
