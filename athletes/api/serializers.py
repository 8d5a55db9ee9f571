"""Bodies of the athletes' routes, in and out."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from athletes.actions.tested import KINDS, LARGEST, WEAK_ENDINGS
from athletes.described import Figures
from athletes.models import Assessment, Athlete, Capacity
from athletes.performed import LARGEST_RIR, LARGEST_SETTING_KG, MOST_REPETITIONS
from programming.api.serializers import UnknownItemOutput
from programming.calc.catalogue import HAZARDS
from programming.equipment import unknown_items
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

SEXES = ("female", "male")
ENDINGS = sorted({"planned", "failure", *WEAK_ENDINGS})


def client_id_field() -> fields.CharField:
    return fields.CharField(
        max_length=80, required=False, allow_null=True, help_text="Yours; the same one is stored once only."
    )


_KIT_HELP = (
    "The athlete's own equipment, all of it, in the form of a location's kit: it stands in place of the location's "
    "in every session but those at which the athlete is a guest of the day in a gym. null: the location's."
)


class AthleteInput(InputSerializer):
    name = fields.CharField(max_length=120)
    location = fields.UUIDField(source="location_id")
    sex = fields.ChoiceField(choices=SEXES, required=False, allow_blank=True)
    born_on = fields.BirthDateField(required=False, allow_null=True)
    zone = fields.CharField(max_length=64, required=False, help_text="IANA name; else the location's.")
    kit = fields.JSONField(
        required=False,
        allow_null=True,
        help_text=_KIT_HELP,
    )
    trains_alone = fields.BooleanField(required=False)
    client_id = client_id_field()


class AthleteChange(InputSerializer):
    name = fields.CharField(max_length=120)
    location = fields.UUIDField(source="location_id")
    sex = fields.ChoiceField(choices=SEXES, allow_blank=True)
    born_on = fields.BirthDateField(allow_null=True)
    zone = fields.CharField(max_length=64)
    kit = fields.JSONField(allow_null=True, help_text=_KIT_HELP)
    trains_alone = fields.BooleanField()
    is_active = fields.BooleanField()
    person = fields.UUIDField(
        source="person_id", allow_null=True, help_text="A member, who then is this athlete."
    )


class AthleteOutput(OutputSerializer):
    id = serializers.UUIDField()
    version = serializers.IntegerField()
    name = serializers.CharField()
    location = serializers.UUIDField(source="location_id")
    person = serializers.UUIDField(source="person_id", allow_null=True)
    sex = serializers.CharField()
    born_on = serializers.DateField(allow_null=True)
    zone = serializers.CharField()
    kit = serializers.DictField(allow_null=True)
    replaces_location_kit = serializers.SerializerMethodField(
        help_text="Whether the athlete's own kit is used and the location's is not: true for every kit that is not "
        "null, an empty one too, save where the athlete is a guest of the day in a gym."
    )
    trains_alone = serializers.BooleanField()
    is_active = serializers.BooleanField()
    client_id = serializers.CharField(allow_null=True)
    created_at = serializers.DateTimeField()

    def get_replaces_location_kit(self, row: Athlete) -> bool:
        return row.kit is not None


class AthleteDetailOutput(AthleteOutput):
    """One athlete, with what their kit names in vain."""

    beside_version = ("unknown_items",)
    unknown_items = serializers.SerializerMethodField()

    @extend_schema_field(UnknownItemOutput(many=True))
    def get_unknown_items(self, row: Athlete) -> Any:
        return UnknownItemOutput(unknown_items(row.kit), many=True).data


class BodyMassInput(InputSerializer):
    body_mass_kg = fields.FloatField(min_value=20.0, max_value=400.0)
    measured_at = fields.DateTimeField()
    client_id = client_id_field()


class BodyMassOutput(OutputSerializer):
    id = serializers.UUIDField()
    athlete = serializers.UUIDField(source="athlete_id")
    body_mass_kg = serializers.FloatField()
    measured_at = serializers.DateTimeField()
    zone = serializers.CharField()
    local_date = serializers.DateField()
    client_id = serializers.CharField(allow_null=True)
    recorded_by = serializers.UUIDField(source="recorded_by_id")


class LimitationInput(InputSerializer):
    hazard = fields.ChoiceField(choices=sorted(HAZARDS))
    from_date = fields.DateField()
    until_date = fields.DateField(required=False, allow_null=True, help_text="Null: until it is lifted.")
    note = fields.CharField(max_length=500, required=False, allow_blank=True)


class LimitationChange(InputSerializer):
    from_date = fields.DateField()
    until_date = fields.DateField(allow_null=True)
    note = fields.CharField(max_length=500, allow_blank=True)


class LimitationOutput(OutputSerializer):
    id = serializers.UUIDField()
    version = serializers.IntegerField()
    athlete = serializers.UUIDField(source="athlete_id")
    hazard = serializers.CharField()
    from_date = serializers.DateField()
    until_date = serializers.DateField(allow_null=True)
    note = serializers.CharField()
    set_by = serializers.UUIDField(source="set_by_id")


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


class RepetitionsOutput(OutputSerializer):
    """Repetitions available: mean, and the numbers that 10, 50 and 90 % lie below."""

    mean = serializers.FloatField()
    p10 = serializers.FloatField()
    p50 = serializers.FloatField()
    p90 = serializers.FloatField()


class MaximumOutput(OutputSerializer):
    """Effective load in kg, body mass included where it is moved; 80 % lie between lower and upper."""

    effective_kg = serializers.FloatField()
    lower_kg = serializers.FloatField()
    upper_kg = serializers.FloatField()


class SecondsOutput(OutputSerializer):
    """Seconds: the numbers that 10, 50 and 90 % lie below."""

    p10 = serializers.FloatField()
    p50 = serializers.FloatField()
    p90 = serializers.FloatField()


class IntervalOutput(OutputSerializer):
    """Median; 80 % lie between lower and upper."""

    median = serializers.FloatField()
    lower = serializers.FloatField()
    upper = serializers.FloatField()


def doubts_field() -> serializers.ListField:
    return serializers.ListField(
        child=serializers.CharField(), help_text="Why the numbers are wide or rough, when they are."
    )


class HoldFiguresOutput(OutputSerializer):
    """Seconds that are held at this load, and the effective load in kg that is held for a minute."""

    seconds = SecondsOutput(allow_null=True)
    seconds_reason = serializers.CharField(allow_null=True)
    minute_kg = IntervalOutput()
    doubts = doubts_field()


class CyclicalFiguresOutput(OutputSerializer):
    """What can be kept up and what can be spent above it, and the time of one amount, all out.

    measure power: W and J; measure speed: m/s and m.
    """

    measure = serializers.CharField()
    critical = IntervalOutput()
    reserve = IntervalOutput()
    unit = serializers.CharField(allow_null=True)
    amount = serializers.FloatField(allow_null=True)
    seconds = SecondsOutput(allow_null=True)
    seconds_reason = serializers.CharField(allow_null=True)
    doubts = doubts_field()


class ContradictionOutput(OutputSerializer):
    """Two days on which what was seen cannot well be true of one person: ask about load, unit and count."""

    earlier = serializers.DateField()
    later = serializers.DateField()


class FiguresOutput(OutputSerializer):
    movement = serializers.UUIDField(source="movement_id")
    movement_key = serializers.CharField(source="movement")
    variation = serializers.UUIDField(source="variation_id")
    variation_key = serializers.CharField(source="variation")
    load_kg = serializers.FloatField(allow_null=True)
    assistance_kg = serializers.FloatField(allow_null=True)
    height_cm = serializers.FloatField(allow_null=True)
    effective_kg = serializers.FloatField(allow_null=True)
    effective_kg_reason = serializers.CharField(allow_null=True)
    repetitions = RepetitionsOutput(allow_null=True)
    repetitions_reason = serializers.CharField(allow_null=True)
    one_rm = MaximumOutput(allow_null=True)
    one_rm_reason = serializers.CharField(allow_null=True)
    capacity_kind = serializers.CharField()
    hold = HoldFiguresOutput(allow_null=True)
    hold_reason = serializers.CharField(allow_null=True)
    cyclical = CyclicalFiguresOutput(allow_null=True)
    cyclical_reason = serializers.CharField(allow_null=True)
    method = serializers.CharField()
    prior_number = serializers.IntegerField(
        allow_null=True, help_text="Of the snapshot of population priors."
    )
    inputs = serializers.CharField(allow_null=True, help_text="SHA-256 of what it was computed from.")
    observations = serializers.IntegerField(help_text="How many tests and sets went in; 0: the prior alone.")
    as_of = serializers.DateField(allow_null=True, help_text="Day of the last observation.")
    computed_at = serializers.DateTimeField(allow_null=True)
    test_due = serializers.BooleanField(help_text="Whether a test would tell much; test_due_reason says why.")
    test_due_reason = serializers.CharField(
        allow_null=True, help_text="never_observed, only_lower_bounds or interval_grown."
    )
    contradictory_tests = ContradictionOutput(many=True)
    notes = serializers.ListField(
        child=serializers.CharField(),
        help_text="What else to know: contradictory_tests, body_mass_changed, sore_day, variation_unseen.",
    )


class HistoryPointOutput(OutputSerializer):
    """A day on which something was seen, or today, as all sights together tell it: the effective load in kg that is
    moved ten times, rested, in the variation that was seen most."""

    local_date = serializers.DateField()
    ten_repetition_kg = IntervalOutput()


class CapacityHistoryOutput(OutputSerializer):
    movement = serializers.UUIDField(source="movement_id")
    movement_key = serializers.CharField(source="movement")
    points = HistoryPointOutput(many=True)
    points_reason = serializers.CharField(allow_null=True)
    method = serializers.CharField()
    prior_number = serializers.IntegerField(allow_null=True)
    inputs = serializers.CharField(allow_null=True, help_text="SHA-256 of what it was computed from.")


class CapacityOutput(FiguresOutput):
    """A row of the list: described by the view's reader, which has loaded what all rows need."""

    def to_representation(self, instance: Capacity) -> dict[str, Any]:
        described: Figures = self.context["view"].reader.figures(instance)
        value: dict[str, Any] = super().to_representation(described)
        return value
