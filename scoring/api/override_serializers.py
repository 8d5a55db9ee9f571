"""Overrides and what they cost, in and out."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from programming.calc.document_rules import MAX_ATTEMPTS
from programming.calc.revision import UNITS
from scoring.api.floor_serializers import LARGEST_AMOUNT, MOST_WORK, SettingsInput
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer


class OverrideWorkInput(SettingsInput):
    """The version of one work item, exactly as it is to be done; no amount: as written.

    `attempt_loads_kg`: the load of each attempt of a block that scores the heaviest, in place of `load_kg`.
    """

    work = fields.CharField(max_length=40)
    variation = fields.SlugField(max_length=60)
    attempt_loads_kg = fields.ListField(
        child=fields.FloatField(min_value=0.0, max_value=500.0),
        max_length=MAX_ATTEMPTS,
        allow_empty=False,
        required=False,
        help_text="All of the load together, in kg, attempt by attempt, none lighter than the one before.",
    )
    repetitions = fields.IntegerField(min_value=1, max_value=2000, required=False)
    hold_s = fields.FloatField(min_value=1.0, max_value=86_400.0, required=False)
    distance_m = fields.FloatField(min_value=1.0, max_value=LARGEST_AMOUNT, required=False)
    energy_kcal = fields.FloatField(min_value=1.0, max_value=10_000.0, required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if sum(unit in attrs for unit in UNITS) > 1:
            raise serializers.ValidationError(f"Send at most one of {', '.join(UNITS)}.", code="one_of")
        if "attempt_loads_kg" in attrs and attrs.get("load_kg") is not None:
            raise serializers.ValidationError("Send load_kg or attempt_loads_kg, not both.", code="one_of")
        return attrs


class OverrideInput(InputSerializer):
    """Work that is not named stays as the prescription has it, attempts that it proposes included: `work` may be
    empty to confirm all of it.
    """

    work = fields.ListField(child=OverrideWorkInput(), max_length=MOST_WORK)
    reason = fields.CharField(max_length=500)
    acknowledged = fields.ListField(
        child=fields.CharField(max_length=80),
        max_length=MOST_WORK,
        required=False,
        default=list,
        help_text="Codes of what speaks against it, each by its name, for example `limit:shoulder`; what is"
        " probably more than the athlete can do at all is `beyond_capacity:` and the work. More than was worked out"
        " of a block that ends early for safety (`rounds_cap:`), for somebody who `trains_alone`, is a `minor` or was"
        " `never_seen:` in the work's movement, and what somebody of"
        " 66 or more does not finish (`unlikely_at_age`), is asked about anew with each override.",
    )
    client_id = fields.CharField(max_length=80, required=False, allow_null=True)


class WithdrawalInput(InputSerializer):
    reason = fields.CharField(max_length=500)


class OverrideWorkOutput(OutputSerializer):
    """amount: in the unit of the work; null: as written. attempt_loads_kg: the load of each attempt, empty where all
    have one.
    """

    work = serializers.CharField()
    variation = serializers.CharField()
    load_kg = serializers.FloatField(allow_null=True)
    assistance_kg = serializers.FloatField(allow_null=True)
    height_cm = serializers.FloatField(allow_null=True)
    amount = serializers.FloatField(allow_null=True)
    attempt_loads_kg = serializers.SerializerMethodField()

    @extend_schema_field({"type": "array", "items": {"type": "number"}})
    def get_attempt_loads_kg(self, row: Any) -> list[float]:
        return list(row.get("loads_kg", ()))


class CostOutput(OutputSerializer):
    """A condition of the aim: its probability with the override, and with what it replaced (0 to 1)."""

    block = serializers.CharField()
    kind = serializers.CharField()
    work = serializers.CharField(allow_null=True)
    lower = serializers.FloatField(allow_null=True, help_text="In the unit of the kind; null: open.")
    upper = serializers.FloatField(allow_null=True, help_text="In the unit of the kind; null: open.")
    by = serializers.CharField(allow_null=True)
    with_override = serializers.FloatField(allow_null=True)
    with_override_reason = serializers.CharField(source="reason", allow_null=True)
    without = serializers.FloatField(allow_null=True)
    without_reason = serializers.SerializerMethodField()

    def get_without_reason(self, row: Any) -> str | None:
        return None if row["without"] is not None else row["reason"] or "nothing_could_be_prescribed"


class OverrideEndOutput(OutputSerializer):
    """withdrawn by a person with a reason, replaced by a later one, or fell: `codes` say what has changed."""

    kind = serializers.ChoiceField(choices=["withdrawn", "replaced", "fell"])
    codes = serializers.ListField(child=serializers.CharField())
    reason = serializers.CharField(allow_blank=True)
    ended_by = serializers.UUIDField(source="ended_by_id", allow_null=True)
    ended_at = serializers.DateTimeField(source="created_at")


class OverrideOutput(OutputSerializer):
    id = serializers.UUIDField()
    session = serializers.UUIDField(source="session_id")
    athlete = serializers.UUIDField(source="athlete_id")
    against = serializers.UUIDField(source="against_id", help_text="The prescription that was overridden.")
    work = OverrideWorkOutput(many=True)
    acknowledged = serializers.ListField(child=serializers.CharField())
    reason = serializers.CharField()
    cost = CostOutput(source="cost.conditions", many=True)
    made_by = serializers.UUIDField(source="made_by_id")
    made_at = serializers.DateTimeField(source="created_at")
    client_id = serializers.CharField(allow_null=True)
    ended = serializers.SerializerMethodField()

    @extend_schema_field(OverrideEndOutput(allow_null=True))
    def get_ended(self, row: Any) -> Any:
        end = next(iter(row.ends.all()), None)
        return None if end is None else OverrideEndOutput(end).data


class OverrideMadeOutput(OverrideOutput):
    prescription = serializers.UUIDField(help_text="The prescription that holds now.")
    check_sets_dropped = serializers.ListField(
        child=serializers.CharField(),
        help_text="Work of which a check set was asked for, named in the override or not, and is no longer: what a"
        " person prescribed stays, whatever a set shows.",
    )
