"""Why a prescription is what it is, and whether a session can do what it should."""

from __future__ import annotations

from rest_framework import serializers

from scoring.api.forecast_serializers import SpreadOutput
from scoring.api.load_text import LoadedOutput
from scoring.api.prescription_serializers import CautionOutput, RuledOutOutput, WarmUpSetOutput
from services.api.serializers import OutputSerializer


class ComparedOutput(LoadedOutput):
    """A version that was compared: what is possible fresh with it, and how likely the windows of a first set are."""

    variation = serializers.CharField()
    variation_name = serializers.CharField()
    assistance_kg = serializers.FloatField(allow_null=True)
    height_cm = serializers.FloatField(allow_null=True)
    as_written = serializers.BooleanField()
    novel = serializers.BooleanField()
    fresh = SpreadOutput(allow_null=True, help_text="In the unit of the work.")
    fresh_reason = serializers.CharField(allow_null=True)
    probability = serializers.FloatField(allow_null=True, help_text="0 to 1.")
    probability_reason = serializers.CharField(allow_null=True)
    loss = serializers.FloatField(help_text="Expected loss of the item alone; the least is best.")


class WhyRuledOutOutput(RuledOutOutput):
    variation_name = serializers.CharField()
    text = serializers.CharField()


class WorkWhyOutput(OutputSerializer):
    """Of one work item. capacity: its figures with their intervals, method and inputs, as the basis has them. Where
    nothing is prescribed `chosen` is null, and the nearest version is the first of the others.
    """

    block = serializers.CharField()
    work = serializers.CharField()
    capacity = serializers.DictField()
    chosen = ComparedOutput(allow_null=True)
    chosen_reason = serializers.CharField(allow_null=True)
    others = ComparedOutput(many=True)
    ruled_out = WhyRuledOutOutput(many=True)
    sentences = serializers.ListField(child=serializers.CharField())


class ExplanationOutput(OutputSerializer):
    """The same numbers as in the prescription, put into sentences."""

    prescription = serializers.UUIDField(source="prescription.id")
    number = serializers.IntegerField(source="prescription.number")
    method_version = serializers.IntegerField(source="prescription.method_version")
    sentences = serializers.ListField(child=serializers.CharField(), source="why.sentences")
    p_all = serializers.FloatField(
        source="why.p_all",
        allow_null=True,
        help_text="That all conditions hold, 0 to 1; null also where nothing is prescribed.",
    )
    p_all_reason = serializers.CharField(source="why.p_all_reason", allow_null=True)
    work = WorkWhyOutput(source="why.work", many=True)
    warm_up = WarmUpSetOutput(source="warm_up_told", many=True)
    cautions = CautionOutput(source="cautions_told", many=True)
    basis = serializers.DictField(source="prescription.basis")
