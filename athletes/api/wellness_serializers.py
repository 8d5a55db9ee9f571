"""Bodies of wellness forms, answers and flags."""

from __future__ import annotations

from rest_framework import serializers

from athletes.api.serializers import client_id_field
from athletes.wellness import BETTER
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

MOST_ITEMS = 12
FURTHEST = 1000.0


class WellnessItemInput(InputSerializer):
    """A question on a scale; `better` names the good end of it, which no number tells by itself."""

    key = fields.SlugField(max_length=40)
    text = fields.CharField(max_length=200)
    least = fields.FloatField(min_value=-FURTHEST, max_value=FURTHEST)
    most = fields.FloatField(min_value=-FURTHEST, max_value=FURTHEST)
    step = fields.FloatField(min_value=0.01, max_value=FURTHEST)
    better = fields.ChoiceField(choices=BETTER)


class WellnessFormInput(InputSerializer):
    key = fields.SlugField(max_length=40, help_text="Of a form that is there already: its next version.")
    name = fields.CharField(max_length=120)
    items = fields.ListField(child=WellnessItemInput(), min_length=1, max_length=MOST_ITEMS)


class WellnessItemOutput(OutputSerializer):
    key = serializers.CharField()
    text = serializers.CharField()
    least = serializers.FloatField()
    most = serializers.FloatField()
    step = serializers.FloatField()
    better = serializers.ChoiceField(choices=BETTER)


class WellnessFormOutput(OutputSerializer):
    id = serializers.UUIDField()
    key = serializers.CharField()
    number = serializers.IntegerField()
    name = serializers.CharField()
    items = WellnessItemOutput(many=True)
    set_by = serializers.UUIDField(source="set_by_id")
    created_at = serializers.DateTimeField()


class WellnessAnswerInput(InputSerializer):
    """Any of the items, by their keys: nobody has to answer, and nothing else depends on it."""

    form = fields.SlugField(max_length=40, help_text="The key of the form; its newest version is answered.")
    local_date = fields.DateField()
    answers = fields.JSONField()
    client_id = client_id_field()


class WellnessAnswerChange(InputSerializer):
    answers = fields.JSONField(help_text="All answers of the day, in place of what there was.")


class WellnessAnswerOutput(OutputSerializer):
    id = serializers.UUIDField()
    version = serializers.IntegerField()
    athlete = serializers.UUIDField(source="athlete_id")
    form = serializers.CharField(source="form_key")
    form_number = serializers.IntegerField(source="form.number")
    local_date = serializers.DateField()
    answers = serializers.DictField(child=serializers.FloatField())
    client_id = serializers.CharField(allow_null=True)
    recorded_by = serializers.UUIDField(source="recorded_by_id")


class NewestAnswerOutput(OutputSerializer):
    local_date = serializers.DateField()
    value = serializers.FloatField()


class OwnBaselineOutput(OutputSerializer):
    """What is usual of the athlete, and where the last seven answers stand.

    weighted: their weighted mean, unusual outside lower to upper; sums: how far they have gone off together, unusual
    above sum_limit. false_flags_per_week: how often either says so when nothing has happened.
    """

    centre = serializers.FloatField()
    weighted = serializers.FloatField()
    lower = serializers.FloatField()
    upper = serializers.FloatField()
    sum_high = serializers.FloatField()
    sum_low = serializers.FloatField()
    sum_limit = serializers.FloatField()
    false_flags_per_week = serializers.FloatField()


class WellnessFlagOutput(OutputSerializer):
    """side: to which end of the scale the answers are unusual; null where they are not, or nothing is told."""

    item = serializers.CharField()
    text = serializers.CharField()
    better = serializers.ChoiceField(choices=BETTER)
    answers = serializers.IntegerField()
    newest_answer = NewestAnswerOutput(allow_null=True)
    baseline = OwnBaselineOutput(allow_null=True)
    baseline_reason = serializers.CharField(allow_null=True)
    side = serializers.ChoiceField(choices=BETTER, allow_null=True)
    unusually_bad = serializers.BooleanField(allow_null=True)


class WellnessOutput(OutputSerializer):
    """Item by item and never as one sum. false_flags_per_week: of all items together."""

    athlete = serializers.UUIDField()
    form = serializers.CharField()
    form_number = serializers.IntegerField()
    on = serializers.DateField()
    items = WellnessFlagOutput(many=True)
    false_flags_per_week = serializers.FloatField()
    method = serializers.CharField()
    method_version = serializers.IntegerField()
    meaning = serializers.CharField()
