"""Training balance and its targets as they are told and sent."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from athletes.calc.external_load import HARD_RESERVE
from programming.calc.catalogue import PATTERNS
from programming.calc.document import QUALITIES
from scoring.balance import OF_GROUP, OF_ORGANISATION
from scoring.calc.balance import misses_one
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

BOOKED = sorted({*QUALITIES, "strength_and_growth"})
DIVIDED = ("sets_by_quality", "sets_by_pattern", "cyclical_by_quality")


class QualityShareInput(InputSerializer):
    name = fields.ChoiceField(choices=BOOKED)
    share = fields.FloatField(min_value=0.0, max_value=1.0)


class PatternShareInput(InputSerializer):
    name = fields.ChoiceField(choices=sorted(PATTERNS))
    share = fields.FloatField(min_value=0.0, max_value=1.0)


def _shares(kind: type[InputSerializer]) -> Any:
    help_text = "Adding to 1 but for rounding (0.005); empty: no target."
    return fields.ListField(child=kind(), max_length=40, help_text=help_text)


class BalanceTargetInput(InputSerializer):
    sets_by_quality = _shares(QualityShareInput)
    sets_by_pattern = _shares(PatternShareInput)
    cyclical_by_quality = _shares(QualityShareInput)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """By name; each name once, and each division adding to 1."""
        faults, shares = {}, {}
        for divided in DIVIDED:
            listed = attrs[divided]
            shares[divided] = {one["name"]: one["share"] for one in listed}
            if len(shares[divided]) < len(listed):
                faults[divided] = [serializers.ErrorDetail("Name each once.", code="duplicate")]
            elif listed and misses_one(shares[divided].values()):
                faults[divided] = [serializers.ErrorDetail("The shares must add to 1.", code="sum_not_one")]
        if faults:
            raise serializers.ValidationError(faults)
        return shares


class ShareOutput(OutputSerializer):
    name = serializers.CharField()
    share = serializers.FloatField()


class _Shares(serializers.ListField):
    """Rows of a mapping, in the order of the names."""

    child = ShareOutput()

    def to_representation(self, data: Any) -> list[Any]:
        rows = [{"name": name, "share": share} for name, share in sorted(data.items())]
        told: list[Any] = super().to_representation(rows)
        return told


class BalanceTargetOutput(OutputSerializer):
    """The shares that a coach wants, of a group or (null) of the organisation."""

    id = serializers.UUIDField()
    version = serializers.IntegerField()
    group = serializers.UUIDField(source="group_id", allow_null=True)
    sets_by_quality = _Shares(source="shares.sets_by_quality")
    sets_by_pattern = _Shares(source="shares.sets_by_pattern")
    cyclical_by_quality = _Shares(source="shares.cyclical_by_quality")
    set_by = serializers.UUIDField(source="set_by_id")


class SumOutput(OutputSerializer):
    sets = serializers.IntegerField()
    hard_sets = serializers.IntegerField(
        help_text=f"With at most {HARD_RESERVE:g} repetitions left; a hold with at most a quarter left."
    )
    unknown_sets = serializers.IntegerField(help_text="Of which nobody knows how much was left.")
    work_s = serializers.FloatField(allow_null=True)
    work_s_reason = serializers.SerializerMethodField()

    def get_work_s_reason(self, row: Any) -> str | None:
        return None if row.work_s is not None else "durations_not_known"


class BalanceLineOutput(OutputSerializer):
    """One quality or pattern. Shares, 0 to 1, are of hard sets, or of the seconds of cyclical work; ahead: the share
    of what was done less the target."""

    name = serializers.CharField(help_text="unclear: the sets do not tell.")
    planned = SumOutput()
    done = SumOutput()
    planned_share = serializers.FloatField(allow_null=True)
    planned_share_reason = serializers.CharField(allow_null=True)
    done_share = serializers.FloatField(allow_null=True)
    done_share_reason = serializers.CharField(allow_null=True)
    target_share = serializers.FloatField(allow_null=True)
    ahead = serializers.FloatField(allow_null=True)
    ahead_reason = serializers.CharField(allow_null=True)


class WithoutSetsOutput(OutputSerializer):
    reason = serializers.CharField()
    sessions = serializers.IntegerField()


class CountedOutput(OutputSerializer):
    """Sessions, each of one athlete, and those of which no sets are known."""

    sessions = serializers.IntegerField()
    without_sets = WithoutSetsOutput(many=True)


class BalanceOutput(OutputSerializer):
    """Work is booked under what the sets train for the athlete, whatever the session is called. Hard sets and seconds
    of cyclical work are never added."""

    from_date = serializers.DateField()
    until_date = serializers.DateField()
    athletes = serializers.IntegerField(source="told.athletes", help_text="Who have anything booked.")
    planned = CountedOutput(source="told.planned")
    done = CountedOutput(source="told.done")
    sets_by_quality = BalanceLineOutput(source="told.balance.sets_by_quality", many=True)
    sets_by_pattern = BalanceLineOutput(source="told.balance.sets_by_pattern", many=True)
    cyclical_by_quality = BalanceLineOutput(source="told.balance.cyclical_by_quality", many=True)
    target_of = serializers.ChoiceField(
        source="told.target_of", choices=[OF_GROUP, OF_ORGANISATION], allow_null=True
    )
    target_version = serializers.IntegerField(source="told.target_version", allow_null=True)
    method_version = serializers.IntegerField(source="told.method_version")
