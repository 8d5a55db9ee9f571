"""What the programme's routes read and write."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.validators import RegexValidator
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from programming.calc.catalogue import CAPACITY_KINDS, PATTERNS
from programming.drafts import draft_problems
from programming.errors import field_problems
from programming.models import Template, Variation
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

_KEY = RegexValidator(
    r"\A[a-z][a-z0-9_]*\Z", "Use small letters, digits and _, a letter first.", code="not_a_key"
)
_FREE_OBJECT = {"type": "object", "additionalProperties": True}


class KeyField(fields.CharField):
    """A machine-readable key, the same form that documents use."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=60, **kwargs)
        self.validators.append(_KEY)


@extend_schema_field(_FREE_OBJECT)
class ObjectField(fields.JSONField):
    """A JSON object that the pure core reads by its own grammar."""

    def to_internal_value(self, data: Any) -> dict[str, Any]:
        if not isinstance(data, Mapping):
            raise serializers.ValidationError("Must be an object.", code="wrong_type")
        value: dict[str, Any] = super().to_internal_value(data)
        return value


@extend_schema_field(_FREE_OBJECT)
class ObjectOutput(serializers.JSONField):
    """A JSON object as it is stored."""


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


class KitInput(InputSerializer):
    items = ObjectField(help_text="By item: {} or `loads_kg`, `assistances_kg`, `heights_cm`, ascending.")


class KitOutput(OutputSerializer):
    location = serializers.UUIDField(source="location_id")
    version = serializers.IntegerField()
    items = serializers.SerializerMethodField()

    @extend_schema_field(_FREE_OBJECT)
    def get_items(self, row: Any) -> dict[str, Any]:
        items: dict[str, Any] = row.document["items"]
        return items


class TemplateInput(InputSerializer):
    name = fields.CharField(max_length=120)
    draft = ObjectField(help_text="A revision document, complete or not.")


class DraftProblemOutput(OutputSerializer):
    """What keeps the draft from being published; the pointer leads into the template."""

    pointer = serializers.CharField()
    code = serializers.CharField()
    detail = serializers.CharField()


class TemplateListedOutput(OutputSerializer):
    """Without the draft."""

    id = serializers.UUIDField()
    version = serializers.IntegerField()
    name = serializers.CharField()
    created_at = serializers.DateTimeField()


class TemplateOutput(TemplateListedOutput):
    draft = ObjectOutput()
    problems = serializers.SerializerMethodField()

    @extend_schema_field(DraftProblemOutput(many=True))
    def get_problems(self, row: Template) -> list[dict[str, str]]:
        return [problem.as_json() for problem in field_problems(draft_problems(row.draft), "/draft")]


class PublishInput(InputSerializer):
    version = fields.IntegerField(min_value=1, help_text="The template's version that is to be published.")


class RevisionListedOutput(OutputSerializer):
    """Without the document."""

    id = serializers.UUIDField()
    template = serializers.UUIDField(source="template_id")
    number = serializers.IntegerField()
    title = serializers.CharField()
    sha256 = serializers.CharField()
    rules_version = serializers.IntegerField()
    published_by = serializers.UUIDField(source="published_by_id")
    created_at = serializers.DateTimeField()


class RevisionOutput(RevisionListedOutput):
    document = ObjectOutput()


class SessionInput(InputSerializer):
    revision = fields.UUIDField()
    location = fields.UUIDField()
    starts_at = fields.DateTimeField()


class SessionMoveInput(InputSerializer):
    location = fields.UUIDField(required=False)
    starts_at = fields.DateTimeField(required=False)


class SessionOutput(OutputSerializer):
    """`local_date` and `zone` are the location's when the session was placed or moved."""

    id = serializers.UUIDField()
    version = serializers.IntegerField()
    revision = serializers.UUIDField(source="revision_id")
    title = serializers.CharField()
    location = serializers.UUIDField(source="location_id")
    starts_at = serializers.DateTimeField()
    zone = serializers.CharField()
    local_date = serializers.DateField()
    cancelled_at = serializers.DateTimeField(allow_null=True)
    placed_by = serializers.UUIDField(source="placed_by_id")
