"""What a prescription says, field by field. Names carry the unit; an amount stands under the name of its unit."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from programming.calc.revision import UNITS
from scoring.api.forecast_serializers import (
    ExpectedOutput,
    OtherPacingOutput,
    PrescribedConditionOutput,
    StopperOutput,
)
from scoring.api.load_text import LoadedOutput
from scoring.stored_content import as_current
from services.api.serializers import OutputSerializer

CAPACITY_KINDS = ["load_repetition", "hold", "cyclical", "none"]


class PrescribedOptionOutput(LoadedOutput):
    """A version that can be set up; a setting that is not used is null. Loads in kg, heights in cm."""

    variation = serializers.CharField()
    variation_name = serializers.CharField()
    variation_version = serializers.IntegerField()
    assistance_kg = serializers.FloatField(allow_null=True)
    height_cm = serializers.FloatField(allow_null=True)
    effective_kg = serializers.FloatField(allow_null=True, help_text="What is really moved, in kg.")
    effective_kg_reason = serializers.CharField(allow_null=True)


class AmountsOutput(OutputSerializer):
    """Exactly one is given, the others are null; all null: as much as possible."""

    repetitions = serializers.IntegerField(allow_null=True)
    hold_s = serializers.FloatField(allow_null=True, help_text="Seconds held.")
    distance_m = serializers.FloatField(allow_null=True, help_text="Metres.")
    energy_kcal = serializers.FloatField(allow_null=True, help_text="Kilocalories as the machine shows them.")


class PrescribedWorkOutput(PrescribedOptionOutput, AmountsOutput):
    """The amount is that of one round. `version_as_written`: the variation with its setting is the coach's;
    `amount_as_written`: the amount of a round is; `as_written`: both are.
    """

    block = serializers.CharField()
    work = serializers.CharField()
    movement = serializers.CharField()
    unit = serializers.ChoiceField(choices=UNITS)
    amount_as_written = serializers.BooleanField()
    standard = serializers.CharField()
    version_as_written = serializers.BooleanField()
    as_written = serializers.BooleanField()
    capacity_kind = serializers.ChoiceField(choices=CAPACITY_KINDS)


class WarmUpSetOutput(PrescribedOptionOutput):
    """One set of the ramp to the working version (common practice, no source)."""

    block = serializers.CharField()
    work = serializers.CharField()
    repetitions = serializers.IntegerField()


class AttemptLoadOutput(PrescribedOptionOutput):
    """One of several attempts with rising loads, its number from 1. Where the block is not feasible because attempts
    at a maximum need a coach, these are what a coach may confirm by an override without `work`.
    """

    block = serializers.CharField()
    work = serializers.CharField()
    number = serializers.IntegerField()
    repetitions = serializers.IntegerField()
    probability = serializers.FloatField(help_text="That it succeeds, whatever came of those before, 0 to 1.")


class PlannedSetOutput(AmountsOutput):
    """One set of the plan, in order."""

    block = serializers.CharField()
    work = serializers.CharField()
    rest_before_s = serializers.IntegerField(help_text="Seconds since the set before it ended.")
    duration_s = serializers.IntegerField(allow_null=True, help_text="Seconds; of cyclical work only.")
    duration_s_reason = serializers.CharField(allow_null=True)


class CheckSetAskedOutput(PrescribedOptionOutput):
    """Do this first: stop at `stop_at`, or earlier where no more than `reserve_at_least` are left. Where `stop_at`
    is 1 do one, and tell how many were left.

    Done and left together below `able_at_least` asks for an easier version, above `able_at_most` for a harder one:
    about the one named here; the answer to the check set, or the next prescription, says which.
    """

    block = serializers.CharField()
    work = serializers.CharField()
    unit = serializers.ChoiceField(choices=UNITS)
    stop_at = serializers.IntegerField(help_text="In `unit`.")
    reserve_at_least = serializers.IntegerField(help_text="In `unit`.")
    reserve_at_most = serializers.IntegerField(
        allow_null=True,
        help_text="In `unit`, at `stop_at`; never more than can be told. null: no upper bound.",
    )
    able_at_least = serializers.IntegerField(help_text="Done and left together, in `unit`.")
    able_at_most = serializers.IntegerField(
        allow_null=True, help_text="Done and left together, in `unit`; null: no upper bound."
    )
    rest_after_s = serializers.IntegerField(help_text="Seconds.")
    if_easier_needed = PrescribedOptionOutput(allow_null=True)
    if_harder_possible = PrescribedOptionOutput(allow_null=True)


class PrescribedReasonOutput(OutputSerializer):
    block = serializers.CharField(allow_null=True)
    code = serializers.CharField()
    work = serializers.CharField(allow_null=True)


class RuledOutOutput(OutputSerializer):
    block = serializers.CharField()
    work = serializers.CharField()
    variation = serializers.CharField()
    reason = serializers.CharField()


class PrescribedHoldOutput(OutputSerializer):
    """Nothing is prescribed as written until a named person releases it."""

    code = serializers.CharField()
    since = serializers.CharField()
    released_by = serializers.CharField()
    safe_alternative = serializers.CharField()


class PrescribedSafetyOutput(OutputSerializer):
    """What restrains the session for the athlete's safety."""

    holds = serializers.ListField(child=serializers.CharField())
    returning_week = serializers.IntegerField(allow_null=True)
    volume_share = serializers.FloatField(help_text="Of the highest volume before an absence, 0 to 1.")
    to_failure = serializers.BooleanField()


class CautionOutput(OutputSerializer):
    """Advisory, never a diagnosis."""

    code = serializers.CharField()
    text = serializers.CharField()
    source = serializers.CharField(allow_blank=True)  # type: ignore[assignment]  # the field is called so
    movements = serializers.ListField(child=serializers.CharField())


class PrescribedDayOutput(OutputSerializer):
    """What is different for this session only."""

    kit_in_use = serializers.ListField(child=serializers.CharField())
    sore_hazards = serializers.ListField(child=serializers.CharField())
    sore_muscle_groups = serializers.ListField(child=serializers.CharField())
    drop_in = serializers.BooleanField()


class OverriddenByOutput(OutputSerializer):
    """Who prescribed this instead of what was worked out, and why."""

    override = serializers.UUIDField()
    person = serializers.UUIDField()
    reason = serializers.CharField()
    acknowledged = serializers.ListField(child=serializers.CharField())


class BlockAnswerOutput(OutputSerializer):
    """`feasible`: this can be prescribed, with own amounts as with those written. No condition that stands is hardly
    ever met with it; where less is done for safety, lower bounds of time and score do not stand, and the reason
    `aim_given_up_for_safety` says which are missed. `rounds`: at most so many rounds, rungs, intervals or attempts
    for this athlete; null: as written.
    """

    block = serializers.CharField()
    feasible = serializers.BooleanField()
    rounds = serializers.IntegerField(allow_null=True)


class ContentOutput(OutputSerializer):
    """The prescription as its athlete reads it, rounded to what can be acted on.

    `feasible`: every block can be prescribed. `as_written`: versions, amounts and rounds are all the coach's.
    """

    title = serializers.CharField()
    quality = serializers.CharField()
    feasible = serializers.BooleanField()
    as_written = serializers.BooleanField()
    blocks = BlockAnswerOutput(many=True)
    work = PrescribedWorkOutput(many=True)
    closest = PrescribedWorkOutput(many=True)
    warm_up = WarmUpSetOutput(many=True)
    attempts = AttemptLoadOutput(many=True)
    plan = PlannedSetOutput(many=True)
    plan_reason = serializers.CharField(allow_null=True)
    expected = ExpectedOutput(allow_null=True, help_text="Of the block that the session is ranked by.")
    expected_reason = serializers.SerializerMethodField()
    expected_by_block = serializers.DictField(child=ExpectedOutput(allow_null=True))
    stopped_by = StopperOutput(many=True)
    other_pacings = OtherPacingOutput(many=True)
    conditions = PrescribedConditionOutput(many=True)
    check_sets = CheckSetAskedOutput(many=True)
    reasons = PrescribedReasonOutput(many=True)
    alternatives = serializers.ListField(child=serializers.CharField())
    ruled_out = RuledOutOutput(many=True)
    hold = PrescribedHoldOutput(allow_null=True)
    safety = PrescribedSafetyOutput()
    cautions = serializers.ListField(child=serializers.CharField())
    caution_details = CautionOutput(many=True)
    day = PrescribedDayOutput()
    overridden_by = OverriddenByOutput(allow_null=True)

    def get_expected_reason(self, row: Any) -> str | None:
        if row["expected"] is not None:
            return None
        return "held" if row["hold"] is not None else "infeasible"


class PrescriptionOutput(OutputSerializer):
    id = serializers.UUIDField()
    session = serializers.UUIDField(source="session_id")
    athlete = serializers.UUIDField(source="athlete_id")
    athlete_name = serializers.CharField(source="athlete.name")
    number = serializers.IntegerField()
    feasible = serializers.BooleanField()
    content = ContentOutput(source="current_content")
    forecast = serializers.DictField(allow_null=True)
    forecast_reason = serializers.SerializerMethodField()
    basis = serializers.DictField()
    method_version = serializers.IntegerField()
    issued_at = serializers.DateTimeField()
    superseded_by = serializers.SerializerMethodField()

    def to_representation(self, instance: Any) -> Any:
        instance.current_content = as_current(instance.content)
        return super().to_representation(instance)

    def get_superseded_by(self, row: Any) -> str | None:
        later = getattr(row, "superseded_by", None)
        return None if later is None else str(later)

    def get_forecast_reason(self, row: Any) -> str | None:
        if row.forecast is not None:
            return None
        return "held" if row.content.get("hold") else "infeasible"
