"""How far forecasts can be trusted, and the results that were held against them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from scoring.calc.trust import INTERVALS, METHOD_VERSION, Estimate
from scoring.trust_words import LEFT_OUT, left_out_said, sentence
from scoring.words import SCORE_UNITS, UNITS
from services.api.serializers import OutputSerializer

SHARE_DIGITS = 3
AMOUNT_DIGITS = 2
KINDS = ["shown", "told", "at_least"]


class CoveredOutput(OutputSerializer):
    """A share with the interval that holds it with 95 %."""

    share = serializers.FloatField()
    lower = serializers.FloatField()
    upper = serializers.FloatField()


class CoverageOutput(OutputSerializer):
    """How many results lay inside an interval of the forecast.

    It comes from all results, of a set that was stopped as planned with what it leaves open; `as_many_as` says how
    many results to failure would tell as much.
    """

    intended = serializers.FloatField(help_text="The share that the interval is to hold, 0 to 1.")
    held = CoveredOutput(allow_null=True, help_text="The share that it held.")
    held_reason = serializers.CharField(allow_null=True)
    as_many_as = serializers.FloatField(allow_null=True)
    as_many_as_reason = serializers.CharField(allow_null=True)


class MeanOutput(OutputSerializer):
    """A mean with the interval that holds it with 95 %."""

    mean = serializers.FloatField()
    lower = serializers.FloatField()
    upper = serializers.FloatField()


class TrustOutput(OutputSerializer):
    """How far to trust the forecasts of a movement, or of one kind of score."""

    sentence = serializers.CharField()
    sureness = serializers.ChoiceField(choices=["too_few", "as_said", "too_narrow", "too_wide"])
    side = serializers.ChoiceField(
        choices=["too_low", "too_high"],
        allow_null=True,
        help_text="null: neither, as far as the results tell.",
    )
    unit = serializers.ChoiceField(choices=[*UNITS, *SCORE_UNITS])
    results = serializers.IntegerField(help_text="First sets or scores that were held against a forecast.")
    at_least = serializers.IntegerField(help_text="Of them, sets that were stopped and show a least only.")
    coverage = CoverageOutput(many=True)
    bias = MeanOutput(allow_null=True, help_text="What was done less the middle of the forecast, in `unit`.")
    bias_reason = serializers.CharField(allow_null=True)
    position = MeanOutput(
        allow_null=True,
        help_text="Share of the forecast below the result: 0.5 where it is neither high nor low.",
    )
    position_reason = serializers.CharField(allow_null=True)


class MovementTrustOutput(TrustOutput):
    """Of first sets: what is available fresh."""

    movement = serializers.UUIDField()
    name = serializers.CharField()


class ScoreTrustOutput(TrustOutput):
    """Of scores of blocks."""

    scored = serializers.CharField(help_text="What is scored, as the rules of the block name it.")


class LeftOutOutput(OutputSerializer):
    """What tells nothing of forecasts, whichever way it came out."""

    reason = serializers.ChoiceField(choices=list(LEFT_OUT))
    sentence = serializers.CharField()
    number = serializers.IntegerField(help_text="First sets and scores.")
    results = serializers.IntegerField(help_text="Of how many results these are.")


class ForecastChecksOutput(OutputSerializer):
    method_version = serializers.IntegerField()
    movements = MovementTrustOutput(many=True)
    scores = ScoreTrustOutput(many=True)
    left_out = LeftOutOutput(many=True)

    def to_representation(self, instance: Any) -> Any:
        """instance: (subjects, by reason how many are left out)."""
        subjects, left_out = instance
        rows = [(one, _trust(one)) for one in subjects]
        told = {
            "method_version": METHOD_VERSION,
            "movements": [
                {**row, "movement": one.subject.movement_id, "name": one.name}
                for one, row in rows
                if one.name is not None
            ],
            "scores": [{**row, "scored": one.subject.scored} for one, row in rows if one.name is None],
            "left_out": [
                {
                    "reason": reason,
                    "sentence": left_out_said(reason, left),
                    "number": left.parts,
                    "results": left.results,
                }
                for reason, left in left_out.items()
            ],
        }
        return super().to_representation(told)


def _trust(one: Any) -> dict[str, Any]:
    trust, tally = one.trust, one.tally
    return {
        "sentence": sentence(one),
        "sureness": trust.sureness,
        "side": trust.side,
        "unit": one.subject.unit,
        "results": tally.number,
        "at_least": tally.at_least,
        "coverage": [_coverage(share, trust.coverage[share]) for share in INTERVALS],
        "bias": _mean(trust.bias, AMOUNT_DIGITS),
        "bias_reason": trust.bias_reason,
        "position": _mean(trust.position, SHARE_DIGITS),
        "position_reason": None if trust.position is not None else "too_few",
    }


def _coverage(share: int, found: Any) -> dict[str, Any]:
    reason = None if found is not None else "too_few_go_so_far"
    held = None
    if found is not None:
        value, lower, upper = _rounded(found.share, SHARE_DIGITS)
        held = {"share": value, "lower": lower, "upper": upper}
    return {
        "intended": share / 100,
        "held": held,
        "held_reason": reason,
        "as_many_as": None if found is None else round(found.results, 1),
        "as_many_as_reason": reason,
    }


def _mean(found: Estimate | None, digits: int) -> dict[str, float] | None:
    if found is None:
        return None
    mean, lower, upper = _rounded(found, digits)
    return {"mean": mean, "lower": lower, "upper": upper}


def _rounded(found: Estimate, digits: int) -> tuple[float, float, float]:
    return round(found.value, digits), round(found.lower, digits), round(found.upper, digits)


class ForecastCheckOutput(OutputSerializer):
    """A first set or a score, held against the forecast that was frozen before it."""

    id = serializers.UUIDField()
    attempt = serializers.UUIDField(source="attempt_id")
    session = serializers.UUIDField(source="session_id")
    local_date = serializers.DateField()
    block = serializers.CharField()
    work = serializers.CharField(allow_null=True, help_text="null: the score of the block.")
    movement = serializers.UUIDField(source="movement_id", allow_null=True)
    scored = serializers.CharField(allow_null=True, help_text="null: a first set.")
    unit = serializers.ChoiceField(choices=[*UNITS, *SCORE_UNITS])
    kind = serializers.ChoiceField(
        choices=KINDS, help_text="shown; told by a reserve; at_least: stopped, so that more was possible."
    )
    done = serializers.FloatField(
        allow_null=True, help_text="What was shown, in `unit`; with a reserve the sum that it comes to."
    )
    done_reason = serializers.SerializerMethodField()
    foreseen = serializers.FloatField(
        source="median", allow_null=True, help_text="The middle of the forecast, in `unit`."
    )
    foreseen_reason = serializers.SerializerMethodField()
    difference = serializers.FloatField(
        allow_null=True, help_text="Done less foreseen; a count to failure stands for half a repetition more."
    )
    difference_reason = serializers.SerializerMethodField()
    position = serializers.FloatField(
        help_text="Share of the forecast below it, 0 to 1: drawn between `low` and `high`, of at_least `low`."
    )
    low = serializers.FloatField()
    high = serializers.FloatField()
    left_out = serializers.ChoiceField(
        choices=list(LEFT_OUT), allow_null=True, help_text="Why it tells nothing of forecasts; null: it does."
    )
    overridden = serializers.BooleanField(help_text="The forecast is of what a coach prescribed instead.")
    forecast_version = serializers.IntegerField()

    def to_representation(self, instance: Any) -> Any:
        row = super().to_representation(instance)
        for name in ("position", "low", "high"):
            row[name] = round(row[name], SHARE_DIGITS)
        for name in ("foreseen", "difference"):
            if row[name] is not None:
                row[name] = round(row[name], AMOUNT_DIGITS)
        return {**row, **{name: row[name] or None for name in ("work", "scored", "left_out")}}

    def get_done_reason(self, row: Any) -> str | None:
        return None if row.done is not None else "no_amount"

    def get_foreseen_reason(self, row: Any) -> str | None:
        return None if row.median is not None else "may_not_finish_in_time"

    def get_difference_reason(self, row: Any) -> str | None:
        if row.difference is not None:
            return None
        return "shows_a_least_only" if row.kind == "at_least" else "a_part_of_the_forecast_has_no_amount"
