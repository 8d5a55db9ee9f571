"""What is expected of an athlete in a prescribed session, and what stops them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from scoring.api.serializers import DoneOutput
from scoring.calc.pacing_price import CHANGES
from services.api.serializers import OutputSerializer

BETTER = ["lower", "higher"]
STOPPERS = ["local_muscle", "breathing", "strength", "skill", "unknown"]


class SpreadOutput(OutputSerializer):
    """The values that 10, 50 and 90 % of the scenarios lie below."""

    p10 = serializers.FloatField()
    p50 = serializers.FloatField()
    p90 = serializers.FloatField()


class WholeSpreadOutput(OutputSerializer):
    """The whole numbers that 10, 50 and 90 % of the scenarios lie below."""

    p10 = serializers.IntegerField()
    p50 = serializers.IntegerField()
    p90 = serializers.IntegerField()


class RoundsOutput(OutputSerializer):
    """Whole rounds, and what is done of the next one, item by item."""

    rounds = serializers.IntegerField()
    rest = DoneOutput(many=True)


class RoundsSpreadOutput(OutputSerializer):
    """The scores, told in rounds, that 10, 50 and 90 % of the scenarios lie below."""

    p10 = RoundsOutput()
    p50 = RoundsOutput()
    p90 = RoundsOutput()


class ExpectedOutput(OutputSerializer):
    """Of one block. score: p10, p50, p90 of the official score in `unit`; a null among them has its reason.

    In `rounds`, work of several units, its fraction is the share of the next round, in which each item counts alike.
    """

    score = serializers.DictField(child=serializers.FloatField(allow_null=True))
    score_reason = serializers.CharField(allow_null=True)
    unit = serializers.CharField(
        allow_null=True, help_text="s, repetitions, m, kcal, kg, kg_repetitions, intervals, rounds"
    )
    better = serializers.ChoiceField(choices=BETTER)
    rounds = RoundsSpreadOutput(
        allow_null=True, help_text="The score as rounds and rest, where rounds are scored."
    )
    rounds_reason = serializers.SerializerMethodField()
    score_s = serializers.DictField(
        child=serializers.IntegerField(allow_null=True), help_text="The score where it is a time, in seconds."
    )
    score_s_reason = serializers.CharField(allow_null=True)
    finish_probability = serializers.FloatField(help_text="That all work is done in time, 0 to 1.")
    breaks = WholeSpreadOutput()
    misses = WholeSpreadOutput(allow_null=True, help_text="Intervals missed or attempts that fail.")
    misses_reason = serializers.SerializerMethodField()
    elapsed_s = WholeSpreadOutput(allow_null=True, help_text="The clock at the end, in seconds.")
    elapsed_s_reason = serializers.SerializerMethodField()
    first_set = serializers.DictField(
        child=WholeSpreadOutput(), help_text="By work: what is possible fresh, in its unit."
    )
    smallest_later_set = serializers.DictField(
        child=WholeSpreadOutput(), help_text="By work: the smallest later set, in its unit."
    )

    def get_rounds_reason(self, row: Any) -> str | None:
        return None if row["rounds"] is not None else "rounds_not_scored"

    def get_misses_reason(self, row: Any) -> str | None:
        return None if row["misses"] is not None else "not_worked_out"

    def get_elapsed_s_reason(self, row: Any) -> str | None:
        return None if row["elapsed_s"] is not None else "not_worked_out"


class StopperOutput(OutputSerializer):
    """What stops the athlete; gain: what a tenth more of it is worth, in the unit of the score."""

    block = serializers.CharField()
    by = serializers.ChoiceField(choices=STOPPERS)
    work = serializers.CharField(allow_null=True)
    reason = serializers.CharField(allow_null=True)
    gain = serializers.FloatField(allow_null=True)
    gain_reason = serializers.CharField(allow_null=True)
    unit = serializers.CharField(allow_null=True)


class OtherPacingOutput(OutputSerializer):
    """A change of the pacing. `costs`: in the unit of the score, above 0: worse; `more_breaks`: below 0: fewer."""

    block = serializers.CharField()
    change = serializers.ChoiceField(choices=list(CHANGES))
    rest_s = serializers.IntegerField(help_text="At least, between two sets of the same work.")
    rest_now_s = serializers.IntegerField(help_text="The same of the pacing as it is planned.")
    share = serializers.FloatField(help_text="Of what is available at each set, 0 to 1.")
    share_now = serializers.FloatField()
    patience = serializers.FloatField(allow_null=True, help_text="Of both, as `patience` of a what-if.")
    patience_reason = serializers.SerializerMethodField()
    pace = serializers.FloatField(allow_null=True, help_text="Of both, as `pace` of a what-if.")
    pace_reason = serializers.SerializerMethodField()
    costs = serializers.FloatField()
    unit = serializers.CharField()
    more_breaks = serializers.IntegerField()

    def get_patience_reason(self, row: Any) -> str | None:
        return None if row["patience"] is not None else "not_kept_then"

    def get_pace_reason(self, row: Any) -> str | None:
        return None if row["pace"] is not None else "not_kept_then"


class PrescribedConditionOutput(OutputSerializer):
    """A condition of the aim, and the probability that this athlete meets it."""

    block = serializers.CharField()
    kind = serializers.CharField()
    work = serializers.CharField(allow_null=True)
    lower = serializers.FloatField(allow_null=True, help_text="In the unit of the kind; null: open.")
    upper = serializers.FloatField(allow_null=True, help_text="In the unit of the kind; null: open.")
    by = serializers.CharField(allow_null=True)
    probability = serializers.FloatField(allow_null=True, help_text="0 to 1.")
    probability_reason = serializers.CharField(allow_null=True)
