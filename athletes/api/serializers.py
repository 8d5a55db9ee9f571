"""Bodies of athletes, their weighings and their limits, in and out."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from athletes.models import Athlete
from programming.api.serializers import UnknownItemOutput
from programming.calc.catalogue import HAZARDS
from programming.equipment import unknown_items
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

SEXES = ("female", "male")


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
