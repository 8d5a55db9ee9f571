"""Whether a session can do what it should, before it is published or placed."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from programming.api.serializers import ObjectField
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

MOST_NAMED = 200


class ReachCheckInput(InputSerializer):
    """A document, or a revision that is published. Athletes: of the location, or those named here."""

    document = ObjectField(required=False, help_text="A revision document.")
    revision = fields.UUIDField(required=False)
    location = fields.UUIDField()
    on_date = fields.DateField(
        required=False, help_text="The day that it would be done on; today if left out."
    )
    with_athletes = fields.BooleanField(required=False, default=False)
    athletes = fields.ListField(child=fields.UUIDField(), max_length=MOST_NAMED, required=False, default=list)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if ("document" in attrs) == ("revision" in attrs):
            raise serializers.ValidationError("Send either document or revision.", code="one_of")
        return attrs


class ReachConditionOutput(OutputSerializer):
    """A condition of the aim, and how likely this person meets it (0 to 1)."""

    kind = serializers.CharField()
    work = serializers.CharField(allow_null=True)
    lower = serializers.FloatField(allow_null=True, help_text="In the unit of the kind; null: open.")
    upper = serializers.FloatField(allow_null=True, help_text="In the unit of the kind; null: open.")
    by = serializers.CharField(allow_null=True)
    probability = serializers.FloatField(allow_null=True)
    probability_reason = serializers.CharField(source="reason", allow_null=True)


class ReachVersionOutput(OutputSerializer):
    """The version that would be prescribed, or that comes closest."""

    work = serializers.CharField()
    variation = serializers.CharField(source="option.variation_key")
    load_kg = serializers.FloatField(source="option.load_kg", allow_null=True)
    assistance_kg = serializers.FloatField(source="option.assistance_kg", allow_null=True)
    height_cm = serializers.FloatField(source="option.height_cm", allow_null=True)
    amount = serializers.FloatField(allow_null=True, help_text="In `unit`; null: as much as possible.")
    unit = serializers.CharField()
    as_written = serializers.BooleanField(source="is_as_written")


class ReachBlockOutput(OutputSerializer):
    block = serializers.CharField()
    feasible = serializers.BooleanField()
    work = ReachVersionOutput(many=True)
    conditions = ReachConditionOutput(many=True)
    reasons = serializers.ListField(child=serializers.CharField())


class ReachPersonOutput(OutputSerializer):
    """A typical athlete (`athlete` null) or one of the location; hold: nothing would be prescribed."""

    name = serializers.CharField()
    athlete = serializers.UUIDField(allow_null=True)
    body_mass_kg = serializers.FloatField(allow_null=True)
    feasible = serializers.BooleanField()
    hold = serializers.CharField(allow_null=True)
    blocks = ReachBlockOutput(many=True)


class ReachOutput(OutputSerializer):
    """sentences: what a coach should know of it. Nothing of this is stored."""

    sentences = serializers.ListField(child=serializers.CharField())
    people = ReachPersonOutput(many=True)
    scenarios = serializers.IntegerField()
    method_version = serializers.IntegerField()
    inputs = serializers.CharField(help_text="SHA-256 of the document that was tried.")
