"""Why a prescription is what it is, and whether a session can do what it should."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from scoring.api.prescription_serializers import CautionOutput, RuledOutOutput, SpreadOutput, WarmUpSetOutput
from services.api.serializers import OutputSerializer


class ComparedOutput(OutputSerializer):
    """A version that was compared: what is possible fresh with it, and how likely the windows of a first set are."""

    variation = serializers.CharField()
    load_kg = serializers.FloatField(allow_null=True)
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
    text = serializers.CharField()


class WorkWhyOutput(OutputSerializer):
    """Of one work item. capacity: its figures with their intervals, method and inputs, as the basis has them."""

    block = serializers.CharField()
    work = serializers.CharField()
    capacity = serializers.DictField()
    chosen = ComparedOutput(allow_null=True)
    chosen_reason = serializers.SerializerMethodField()
    others = ComparedOutput(many=True)
    ruled_out = WhyRuledOutOutput(many=True)
    sentences = serializers.ListField(child=serializers.CharField())

    def get_chosen_reason(self, row: Any) -> str | None:
        return None if row.chosen is not None else "none_was_possible"


class ExplanationOutput(OutputSerializer):
    """The same numbers as in the prescription, put into sentences."""

    prescription = serializers.UUIDField(source="prescription.id")
    number = serializers.IntegerField(source="prescription.number")
    method_version = serializers.IntegerField(source="prescription.method_version")
    sentences = serializers.ListField(child=serializers.CharField(), source="why.sentences")
    p_all = serializers.FloatField(
        source="why.p_all", allow_null=True, help_text="That all conditions hold, 0 to 1."
    )
    p_all_reason = serializers.CharField(source="why.p_all_reason", allow_null=True)
    work = WorkWhyOutput(source="why.work", many=True)
    warm_up = WarmUpSetOutput(source="warm_up_told", many=True)
    cautions = CautionOutput(source="cautions_told", many=True)
    basis = serializers.DictField(source="prescription.basis")
