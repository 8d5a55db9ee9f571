"""Bodies of training beside the programme, days of rest, load days and what comes together over them."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from athletes.api.serializers import client_id_field
from athletes.calc.load import DDOFS, MOST_EFFORT, MOST_MINUTES
from athletes.calc.load_means import RATIO_KINDS
from athletes.heart_rates import REASONS, heart_rate_load
from athletes.loads import MODALITIES, STATES
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

LOWEST_RATE, HIGHEST_RATE = 30.0, 250.0
LONGEST_M = 500_000.0
_EFFORT_HELP = "How much all of it asked, 0 to 10; `effort_words` of the summary has words for each."


def _rate(**options: Any) -> fields.FloatField:
    return fields.FloatField(min_value=LOWEST_RATE, max_value=HIGHEST_RATE, allow_null=True, **options)


def _distance(**options: Any) -> fields.FloatField:
    return fields.FloatField(min_value=0.0, max_value=LONGEST_M, allow_null=True, **options)


class TrainingLogInput(InputSerializer):
    modality = fields.ChoiceField(choices=MODALITIES)
    effort = fields.FloatField(min_value=0.0, max_value=MOST_EFFORT, help_text=_EFFORT_HELP)
    minutes = fields.FloatField(min_value=0.0, max_value=MOST_MINUTES)
    started_at = fields.DateTimeField(help_text="Its local day is the day that it counts for.")
    distance_m = _distance(required=False)
    mean_heart_rate = _rate(required=False, help_text="Beats a minute.")
    highest_heart_rate = _rate(required=False, help_text="Beats a minute.")
    note = fields.CharField(max_length=500, required=False, allow_blank=True)
    client_id = client_id_field()


class TrainingLogChange(InputSerializer):
    modality = fields.ChoiceField(choices=MODALITIES)
    effort = fields.FloatField(min_value=0.0, max_value=MOST_EFFORT, help_text=_EFFORT_HELP)
    minutes = fields.FloatField(min_value=0.0, max_value=MOST_MINUTES)
    started_at = fields.DateTimeField()
    distance_m = _distance()
    mean_heart_rate = _rate()
    highest_heart_rate = _rate()
    note = fields.CharField(max_length=500, allow_blank=True)


class TrainingLogOutput(OutputSerializer):
    id = serializers.UUIDField()
    version = serializers.IntegerField()
    athlete = serializers.UUIDField(source="athlete_id")
    modality = serializers.ChoiceField(choices=MODALITIES)
    effort = serializers.FloatField()
    minutes = serializers.FloatField()
    started_at = serializers.DateTimeField()
    zone = serializers.CharField()
    local_date = serializers.DateField()
    distance_m = serializers.FloatField(allow_null=True)
    mean_heart_rate = serializers.FloatField(allow_null=True)
    highest_heart_rate = serializers.FloatField(allow_null=True)
    note = serializers.CharField(allow_blank=True)
    client_id = serializers.CharField(allow_null=True)
    recorded_by = serializers.UUIDField(source="recorded_by_id")


class RestDayInput(InputSerializer):
    local_date = fields.DateField()


class RestDayOutput(OutputSerializer):
    id = serializers.UUIDField()
    athlete = serializers.UUIDField(source="athlete_id")
    local_date = serializers.DateField()
    recorded_by = serializers.UUIDField(source="recorded_by_id")


class ModalityLoadOutput(OutputSerializer):
    """Sessions of one kind that told effort and minutes."""

    modality = serializers.CharField()
    load_au = serializers.FloatField()
    minutes = serializers.FloatField()
    sessions = serializers.IntegerField()


class HeartRateLoadOutput(OutputSerializer):
    """Load of a day from the mean rates of its sessions, in a unit of its own: minutes times the weighted share of
    the reserve between resting and maximal rate. A mean rate tells less than its samples would.
    """

    load_au = serializers.FloatField(source="load.value", allow_null=True)
    load_au_reason = serializers.ChoiceField(source="load.reason", choices=REASONS, allow_null=True)
    reported_load_au = serializers.FloatField(source="reported", allow_null=True)
    reported_load_au_reason = serializers.SerializerMethodField()
    sessions = serializers.IntegerField(help_text="With a mean heart rate.")
    basis = serializers.SerializerMethodField()
    coefficients = serializers.CharField(allow_null=True)
    above_maximal = serializers.BooleanField(
        help_text="A rate lay above the stated maximum: it is out of date, or the sensor was wrong."
    )

    def get_reported_load_au_reason(self, row: Any) -> str | None:
        return None if row.reported is not None else str(row.load.reason)

    def get_basis(self, row: Any) -> str:
        return "mean_rate"


class LoadDayOutput(OutputSerializer):
    """Of an unreported day nobody said anything: its load is not known, which is not 0."""

    local_date = serializers.DateField()
    state = serializers.ChoiceField(choices=STATES)
    load_au = serializers.FloatField(allow_null=True)
    load_au_reason = serializers.SerializerMethodField()
    minutes = serializers.FloatField()
    sessions = serializers.IntegerField()
    sessions_without_load = serializers.IntegerField()
    by_modality = serializers.SerializerMethodField()
    heart_rate = serializers.SerializerMethodField()
    method_version = serializers.IntegerField()

    @extend_schema_field(HeartRateLoadOutput)
    def get_heart_rate(self, row: Any) -> dict[str, Any]:
        return dict(HeartRateLoadOutput(heart_rate_load(row)).data)

    def get_load_au_reason(self, row: Any) -> str | None:
        return None if row.load_au is not None else str(row.state)

    @extend_schema_field(ModalityLoadOutput(many=True))
    def get_by_modality(self, row: Any) -> list[dict[str, Any]]:
        return [
            {"modality": name, "load_au": load, "minutes": minutes, "sessions": int(sessions)}
            for name, (load, minutes, sessions) in sorted(row.by_modality.items())
        ]


class LoadFigureOutput(OutputSerializer):
    """A number, or null and why there is none."""

    value = serializers.FloatField(allow_null=True)
    value_reason = serializers.CharField(source="reason", allow_null=True)


class LoadWeekOutput(OutputSerializer):
    """The seven days up to the day asked for. reported_load_au: of the days that are known, so many of them.

    Monotony is the mean of the daily loads over their SD, strain the load of the week times monotony; `basis` and
    `ddof` say of what, since books differ.
    """

    reported_load_au = serializers.FloatField(source="reported_load")
    reported_days = serializers.IntegerField()
    load_au = LoadFigureOutput(source="load")
    daily_mean_au = LoadFigureOutput(source="daily_mean")
    daily_sd_au = LoadFigureOutput(source="daily_sd")
    monotony = LoadFigureOutput()
    strain_au = LoadFigureOutput(source="strain")
    basis = serializers.CharField()
    ddof = serializers.ChoiceField(choices=DDOFS)


class LoadSumOutput(OutputSerializer):
    """Of the last so many days."""

    days = serializers.IntegerField()
    load_au = LoadFigureOutput(source="load")
    reported_load_au = serializers.FloatField(source="reported_load")
    reported_days = serializers.IntegerField()


class LoadRatioOutput(OutputSerializer):
    """Only where asked for; what it means stands beside it."""

    kind = serializers.ChoiceField(choices=RATIO_KINDS)
    value = serializers.FloatField(allow_null=True)
    value_reason = serializers.CharField(allow_null=True)
    meaning = serializers.CharField()


class LoadMeansOutput(OutputSerializer):
    """Recent and usual load, in AU a day. acute: 7 days; chronic: 28; uncoupled: the 21 before the last 7; weighted:
    exponentially, with the first known day as the seed.
    """

    acute = LoadFigureOutput()
    chronic = LoadFigureOutput()
    uncoupled_chronic = LoadFigureOutput()
    weighted_acute = LoadFigureOutput()
    weighted_chronic = LoadFigureOutput()
    seed = serializers.CharField()


class LoadInputsOutput(OutputSerializer):
    """days: from the first day with a known load; newest_day: the last of which anything was said."""

    days = serializers.IntegerField()
    newest_day = serializers.DateField(allow_null=True)


class LoadSummaryOutput(OutputSerializer):
    """What is told of an athlete's load up to a day; a description, and no estimate of any risk."""

    athlete = serializers.UUIDField()
    on = serializers.DateField()
    week = LoadWeekOutput()
    change = LoadFigureOutput(help_text="This week less the one before, as a share of that one.")
    sums = LoadSumOutput(many=True)
    means = LoadMeansOutput()
    ratio = LoadRatioOutput(allow_null=True)
    method = serializers.CharField()
    method_version = serializers.IntegerField()
    inputs = LoadInputsOutput()
    effort_question = serializers.CharField()
    effort_words = serializers.ListField(child=serializers.CharField(), help_text="For 0, 1 … 10.")


class AthleteLoadOutput(OutputSerializer):
    """One athlete of many."""

    athlete = serializers.UUIDField()
    name = serializers.CharField()
    week_load_au = LoadFigureOutput()
    reported_days = serializers.IntegerField()
    monotony = LoadFigureOutput()
    change = LoadFigureOutput()
    weighted_acute = LoadFigureOutput()
    weighted_chronic = LoadFigureOutput()
    inputs = LoadInputsOutput()


class GroupLoadOutput(OutputSerializer):
    """Several athletes, of whom the caller may know, by name. median_week_load_au is of those whose week is known; of
    fewer than five it would tell of single people, and is not told.
    """

    on = serializers.DateField()
    athletes = AthleteLoadOutput(many=True)
    told = serializers.IntegerField(help_text="Athletes whose week is known.")
    median_week_load_au = LoadFigureOutput()
    basis = serializers.CharField()
    ddof = serializers.ChoiceField(choices=DDOFS)
    method = serializers.CharField()
    method_version = serializers.IntegerField()
