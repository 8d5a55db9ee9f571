"""What an athlete is able to do, as it is told: figures with their spread, and their history."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from athletes.described import Figures
from athletes.models import Capacity
from services.api.serializers import OutputSerializer


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
        help_text="What else to know: contradictory_tests, body_mass_changed, sore_day, variation_unseen, "
        "gain_expected (since the last set that told something, what the organisation's athletes gain on average; "
        "six weeks at most).",
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
