"""What a session is for one athlete."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from scoring.api.forecast_serializers import STOPPERS, SpreadOutput
from scoring.calc.profile import BY_LENGTH, ENDURANCE_FROM, NEAR, STRENGTH_UP_TO
from scoring.profiled import LOG, PLAN
from services.api.serializers import OutputSerializer

TRAINED = [*BY_LENGTH, "anaerobic_capacity", "aerobic_power", "aerobic_endurance"]


class LengthsOutput(OutputSerializer):
    """Sets and repetitions by the length of the set."""

    short_sets = serializers.IntegerField(help_text=f"Up to {STRENGTH_UP_TO:.0f} repetitions.")
    short_repetitions = serializers.FloatField()
    middle_sets = serializers.IntegerField()
    middle_repetitions = serializers.FloatField()
    long_sets = serializers.IntegerField(help_text=f"From {ENDURANCE_FROM:.0f} repetitions.")
    long_repetitions = serializers.FloatField()


class ProfiledAmountOutput(OutputSerializer):
    """So much under one name; of a muscle group weighted as each movement loads it, the most loaded group by 1."""

    name = serializers.CharField()
    amount = serializers.FloatField()
    unit = serializers.CharField()


class BlockProfileOutput(OutputSerializer):
    """Counted over sets; a null has its reason beside it."""

    block = serializers.CharField(allow_null=True, help_text="Null: the whole session.")
    sets = serializers.IntegerField(source="profile.sets")
    work_s = serializers.FloatField(source="profile.work_s", allow_null=True)
    work_s_reason = serializers.SerializerMethodField()
    rest_s = serializers.FloatField(source="profile.rest_s", allow_null=True)
    rest_s_reason = serializers.SerializerMethodField()
    density = serializers.FloatField(
        source="profile.density", allow_null=True, help_text="Work of work and rest, 0 to 1."
    )
    density_reason = serializers.SerializerMethodField()
    lengths = LengthsOutput(source="profile.lengths")
    patterns = ProfiledAmountOutput(source="profile.patterns", many=True)
    muscle_groups = ProfiledAmountOutput(source="profile.muscles", many=True)
    near_failure_repetitions = serializers.FloatField(
        source="profile.near_failure", help_text=f"Done with fewer than {NEAR:.0f} left."
    )
    reserve_known_share = serializers.FloatField(
        source="profile.reserve_known",
        help_text="Share of the repetitions whose distance to failure is known, 0 to 1.",
    )
    trains = serializers.ChoiceField(source="profile.trains", choices=TRAINED, allow_null=True)
    trains_reason = serializers.CharField(source="profile.trains_reason", allow_null=True)
    trains_share = serializers.FloatField(
        source="profile.share", allow_null=True, help_text="Of the work that says so, 0 to 1."
    )
    trains_share_reason = serializers.SerializerMethodField()
    stopped_by = serializers.ChoiceField(source="profile.stopped_by", choices=STOPPERS, allow_null=True)
    stopped_by_reason = serializers.SerializerMethodField()
    meant_for = serializers.CharField(
        source="label", help_text="The quality that the coach wrote the session for."
    )
    differs = serializers.BooleanField(allow_null=True, help_text="Null: the length of sets does not tell.")
    sentence = serializers.CharField()

    def get_work_s_reason(self, row: Any) -> str | None:
        return None if row.profile.work_s is not None else "durations_not_known"

    def get_rest_s_reason(self, row: Any) -> str | None:
        return None if row.profile.rest_s is not None else "rests_not_known"

    def get_trains_share_reason(self, row: Any) -> str | None:
        if row.profile.share is not None:
            return None
        return str(row.profile.trains_reason or "told_by_what_stops")

    def get_stopped_by_reason(self, row: Any) -> str | None:
        return None if row.profile.stopped_by is not None else "not_shown"

    def get_density_reason(self, row: Any) -> str | None:
        return None if row.profile.density is not None else "times_not_known"


class EnergyOutput(OutputSerializer):
    """A rough range, by published averages of whole activities."""

    from_kcal = serializers.FloatField(allow_null=True)
    from_kcal_reason = serializers.CharField(source="reason", allow_null=True)
    to_kcal = serializers.FloatField(allow_null=True)
    to_kcal_reason = serializers.CharField(source="reason", allow_null=True)
    note = serializers.CharField()


class SetShareOutput(OutputSerializer):
    """Of one logged set, in its unit: what was available before it, by all that is known of the athlete now, and the
    share of the middle of it that was taken. Never less is told to be available than was done.
    """

    number = serializers.IntegerField()
    work = serializers.CharField()
    unit = serializers.CharField()
    amount = serializers.FloatField()
    available = SpreadOutput(allow_null=True)
    available_reason = serializers.CharField(source="reason", allow_null=True)
    share_percent = serializers.FloatField(allow_null=True)
    share_percent_reason = serializers.CharField(source="reason", allow_null=True)


class SessionProfileOutput(OutputSerializer):
    """counted_from: the plan of a prescription or the log of a result; reason: why there are no sets.

    shares: of each set of a log.
    """

    session = serializers.UUIDField()
    athlete = serializers.UUIDField()
    counted_from = serializers.ChoiceField(choices=[PLAN, LOG])
    reason = serializers.CharField(allow_null=True)
    whole = BlockProfileOutput()
    blocks = BlockProfileOutput(many=True)
    energy = EnergyOutput()
    shares = SetShareOutput(many=True)
    superseded_by = serializers.SerializerMethodField(
        help_text="The prescription that holds, where this plan does no more; read that one's profile."
    )
    replaced_by = serializers.SerializerMethodField(
        help_text="The corrected result, where this log was corrected; read that one's profile."
    )
    method_version = serializers.IntegerField()

    @extend_schema_field(serializers.UUIDField(allow_null=True))
    def get_superseded_by(self, row: Any) -> str | None:
        return str(row.later) if row.later is not None and row.counted_from == PLAN else None

    @extend_schema_field(serializers.UUIDField(allow_null=True))
    def get_replaced_by(self, row: Any) -> str | None:
        return str(row.later) if row.later is not None and row.counted_from == LOG else None
