"""Tests of an athlete, in and out."""

from __future__ import annotations

from rest_framework import serializers

from athletes.actions.tested import KINDS, LARGEST, WEAK_ENDINGS
from athletes.api.serializers import client_id_field
from athletes.models import Assessment
from athletes.performed import LARGEST_RIR, LARGEST_SETTING_KG, MOST_REPETITIONS
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

ENDINGS = sorted({"planned", "failure", *WEAK_ENDINGS})


def amount_field(name: str, help_text: str) -> fields.FloatField:
    return fields.FloatField(
        min_value=0.0, max_value=LARGEST[name], required=False, allow_null=True, help_text=help_text
    )


class AssessmentInput(InputSerializer):
    variation = fields.UUIDField(source="variation_id")
    kind = fields.ChoiceField(choices=KINDS)
    repetitions = fields.IntegerField(
        min_value=0,
        max_value=MOST_REPETITIONS,
        required=False,
        allow_null=True,
        help_text="Of the kinds that are counted in repetitions.",
    )
    hold_s = amount_field("hold_s", "Of hold_to_failure: seconds held, and not longer.")
    distance_m = amount_field("distance_m", "Of time_trial: metres, or energy_kcal.")
    energy_kcal = amount_field("energy_kcal", "Of time_trial: kilocalories that the machine shows.")
    elapsed_s = amount_field("elapsed_s", "Of time_trial: seconds that it took.")
    performed_at = fields.DateTimeField()
    load_kg = fields.FloatField(min_value=0.0, max_value=LARGEST_SETTING_KG, required=False, allow_null=True)
    assistance_kg = fields.FloatField(
        min_value=0.0, max_value=LARGEST_SETTING_KG, required=False, allow_null=True
    )
    height_cm = fields.FloatField(min_value=-300.0, max_value=300.0, required=False, allow_null=True)
    rir = fields.IntegerField(min_value=0, max_value=LARGEST_RIR, required=False, allow_null=True)
    ended_by = fields.ChoiceField(
        choices=ENDINGS, required=False, help_text="Left out: failure for to_failure, else planned."
    )
    confirmed = fields.BooleanField(
        required=False,
        help_text="You, of the staff, have seen it, and it is right however unlikely; else it is refused.",
    )
    client_id = client_id_field()


class CorrectionInput(AssessmentInput):
    reason = fields.CharField(max_length=500)


class AssessmentOutput(OutputSerializer):
    id = serializers.UUIDField()
    athlete = serializers.UUIDField(source="athlete_id")
    variation = serializers.UUIDField(source="variation_version.variation_id")
    variation_key = serializers.CharField(source="variation_version.variation.key")
    variation_version = serializers.IntegerField(source="variation_version.number")
    kind = serializers.CharField()
    repetitions = serializers.IntegerField(allow_null=True)
    hold_s = serializers.FloatField(allow_null=True)
    distance_m = serializers.FloatField(allow_null=True)
    energy_kcal = serializers.FloatField(allow_null=True)
    elapsed_s = serializers.FloatField(allow_null=True)
    load_kg = serializers.FloatField(allow_null=True)
    assistance_kg = serializers.FloatField(allow_null=True)
    height_cm = serializers.FloatField(allow_null=True)
    rir = serializers.IntegerField(allow_null=True)
    ended_by = serializers.CharField()
    performed_at = serializers.DateTimeField()
    zone = serializers.CharField()
    local_date = serializers.DateField()
    replaces = serializers.UUIDField(source="replaces_id", allow_null=True)
    replaced_by = serializers.SerializerMethodField()
    reason = serializers.CharField(allow_blank=True)
    client_id = serializers.CharField(allow_null=True)
    recorded_by = serializers.UUIDField(source="recorded_by_id")

    def get_replaced_by(self, row: Assessment) -> str | None:
        """The correction that holds instead of this row; null while this one holds."""
        later = getattr(row, "replaced_by", None)  # only a row that was read can have been replaced
        return None if later is None else str(later)
