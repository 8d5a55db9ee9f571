"""Movements and their variations, in and out."""

from __future__ import annotations

from typing import Any

from django.core.validators import RegexValidator
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from programming.api.serializers import ObjectField, ObjectOutput
from programming.calc.catalogue import CAPACITY_KINDS, PATTERNS
from programming.models import Variation
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

_KEY = RegexValidator(
    r"\A[a-z][a-z0-9_]*\Z", "Use small letters, digits and _, a letter first.", code="not_a_key"
)


class KeyField(fields.CharField):
    """A machine-readable key, the same form that documents use."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=60, **kwargs)
        self.validators.append(_KEY)


class MovementInput(InputSerializer):
    key = KeyField()
    name = fields.CharField(max_length=120)
    pattern = fields.ChoiceField(choices=sorted(PATTERNS))
    capacity_kind = fields.ChoiceField(
        choices=CAPACITY_KINDS,
        help_text="What capacity is kept: repetitions that follow from the load, seconds of a hold, critical "
        "power or speed of cyclical work, or none (jumps, skills, Olympic lifts).",
    )
    prior = ObjectField(
        required=False,
        allow_null=True,
        help_text="By `capacity_kind`, with a `source`, SDs of natural logarithms. load_repetition: "
        "`l10_per_body_mass` or `l10_kg` (load for ten repetitions), `l10_sd`, `k` (fall-off per repetition), "
        "`k_cv`, `asymptote_share`. hold: `kind`, `l60_per_body_mass` or `l60_kg` (load held for 60 s), "
        "`l60_sd`, `exponent`, `exponent_cv`. cyclical: `kind`, `measure` (power or speed), `critical` or "
        "`critical_per_body_mass`, `critical_sd`, `reserve` or `reserve_per_body_mass`, `reserve_sd`.",
    )


class MovementOutput(OutputSerializer):
    id = serializers.UUIDField()
    version = serializers.IntegerField()
    key = serializers.CharField()
    name = serializers.CharField()
    pattern = serializers.CharField()
    capacity_kind = serializers.ChoiceField(choices=CAPACITY_KINDS)
    curve_applies = serializers.BooleanField(help_text="Whether capacity_kind is load_repetition.")
    prior = serializers.SerializerMethodField()
    origin = serializers.CharField(help_text="Entry of the shipped catalogue it was copied from, or empty.")

    @extend_schema_field({"type": ["object", "null"], "additionalProperties": True})
    def get_prior(self, row: Any) -> dict[str, Any] | None:
        return row.prior or None


class VariationInput(InputSerializer):
    movement = fields.UUIDField()
    key = KeyField()
    name = fields.CharField(max_length=120)
    document = ObjectField()


class VariationVersionInput(InputSerializer):
    document = ObjectField()


class VariationVersionOutput(OutputSerializer):
    """A numbered version; it never changes."""

    id = serializers.UUIDField()
    number = serializers.IntegerField()
    document = ObjectOutput()
    sha256 = serializers.CharField()
    created_at = serializers.DateTimeField()


class VariationOutput(OutputSerializer):
    """A variation with its present version."""

    id = serializers.UUIDField()
    version = serializers.IntegerField()
    movement = serializers.UUIDField(source="movement_id")
    key = serializers.CharField()
    name = serializers.CharField()
    present = serializers.SerializerMethodField()

    @extend_schema_field(VariationVersionOutput)
    def get_present(self, row: Variation) -> Any:
        return VariationVersionOutput(row.current_versions[0]).data  # type: ignore[attr-defined]
