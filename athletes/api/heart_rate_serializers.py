"""Bodies of resting and maximal heart rates."""

from __future__ import annotations

from rest_framework import serializers

from athletes.api.serializers import client_id_field
from athletes.heart_rates import CHOICES, SOURCES
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

RESTING_BPM, MAXIMAL_BPM = (25.0, 130.0), (90.0, 240.0)
"""Ours: beyond what anybody's rates are, so that a figure outside is of something else."""
_COEFFICIENTS = (
    "How the reserve is weighted, by the name of a published set. Found in small groups of men, or of women:"
    " you choose, never the sex that is on file. none: load from heart rate is not told."
)


def _rate(span: tuple[float, float]) -> fields.FloatField:
    return fields.FloatField(min_value=span[0], max_value=span[1], help_text="Beats a minute.")


class HeartRatesInput(InputSerializer):
    from_date = fields.DateField(help_text="The day of the measurement, from which on they hold.")
    resting_bpm = _rate(RESTING_BPM)
    resting_source = fields.ChoiceField(choices=SOURCES)
    maximal_bpm = _rate(MAXIMAL_BPM)
    maximal_source = fields.ChoiceField(choices=SOURCES)
    coefficients = fields.ChoiceField(choices=CHOICES, help_text=_COEFFICIENTS)
    client_id = client_id_field()


class HeartRatesOutput(OutputSerializer):
    id = serializers.UUIDField()
    athlete = serializers.UUIDField(source="athlete_id")
    from_date = serializers.DateField()
    resting_bpm = serializers.FloatField()
    resting_source = serializers.ChoiceField(choices=SOURCES)
    maximal_bpm = serializers.FloatField()
    maximal_source = serializers.ChoiceField(choices=SOURCES)
    coefficients = serializers.ChoiceField(choices=CHOICES)
    client_id = serializers.CharField(allow_null=True)
    recorded_by = serializers.UUIDField(source="recorded_by_id")
    created_at = serializers.DateTimeField()
