"""What the programme's routes read and write."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.validators import RegexValidator
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from programming.api import document_schema
from programming.calc.catalogue import CAPACITY_KINDS, PATTERNS
from programming.drafts import draft_problems
from programming.equipment import unknown_items
from programming.errors import field_problems
from programming.horizon import PRESCRIBED_AHEAD
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


class UnknownItemOutput(OutputSerializer):
    """An item that no variation of the catalogue asks for: it is kept, and nothing is offered for it."""

    item = serializers.CharField()
    nearest = serializers.ListField(
        child=serializers.CharField(), help_text="Known names that are most like it, at most three."
    )


class KitInput(InputSerializer):
    items = ObjectField(
        help_text="By item, with the names that the list of equipment knows: {} where it is enough that it is "
        "there (a wall, a track, a climbing rope), or `loads_kg`, `assistances_kg`, `heights_cm`, ascending; "
        "`pairs_kg`: of which weights there are two, where something is done with one in each hand: it then takes a "
        "pair, and what is done with one takes one of `loads_kg` or of a pair; without it `loads_kg` are what is "
        "moved in all; bands may be `measured`: a list of {`from_cm`, `to_cm`, `tensions`: [{`stretch_cm`, "
        "`tension_kg`}]}, one entry "
        "a band."
    )


class KitOutput(OutputSerializer):
    beside_version = ("unknown_items",)
    location = serializers.UUIDField(source="location_id")
    version = serializers.IntegerField()
    items = serializers.SerializerMethodField()
    unknown_items = serializers.SerializerMethodField()

    @extend_schema_field(_FREE_OBJECT)
    def get_items(self, row: Any) -> dict[str, Any]:
        items: dict[str, Any] = row.document["items"]
        return items

    @extend_schema_field(UnknownItemOutput(many=True))
    def get_unknown_items(self, row: Any) -> Any:
        return UnknownItemOutput(unknown_items(row.document), many=True).data


class TemplateInput(InputSerializer):
    name = fields.CharField(max_length=120)
    draft = ObjectField(help_text="A `RevisionDocument`, complete or not.")


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
    archived_at = serializers.DateTimeField(allow_null=True)
    copied_from = serializers.UUIDField(
        source="copied_from_id", allow_null=True, help_text="The template that this one was copied from."
    )
    copied_revision = serializers.UUIDField(
        source="copied_revision_id", allow_null=True, help_text="The revision, where it was one of those."
    )


class TemplateOutput(TemplateListedOutput):
    draft = ObjectOutput()
    problems = serializers.SerializerMethodField()

    @extend_schema_field(DraftProblemOutput(many=True))
    def get_problems(self, row: Template) -> list[dict[str, str]]:
        return [problem.as_json() for problem in field_problems(draft_problems(row.draft), "/draft")]


class TemplateCopyInput(InputSerializer):
    name = fields.CharField(max_length=120)
    revision = fields.UUIDField(
        required=False, allow_null=True, help_text="A revision of the template; left out: its draft."
    )


class TemplateCheckInput(InputSerializer):
    document = ObjectField(help_text="A revision document, complete or not.")


class TemplateCheckOutput(OutputSerializer):
    """Empty `problems`: it could be published as it is."""

    problems = DraftProblemOutput(many=True)


class DifferenceOutput(OutputSerializer):
    """One change, in a sentence."""

    pointer = serializers.CharField(
        allow_null=True, help_text="JSON pointer into the later document; null where something is gone."
    )
    pointer_before = serializers.CharField(
        allow_null=True, help_text="Into the earlier document; null where something is new."
    )
    part = serializers.CharField(
        help_text="`blocks`, `work`, `variations`, `load`, `rules`, `aim`, `texts`, `title`, `quality`, "
        "`overall`."
    )
    sentence = serializers.CharField()


class DifferencesOutput(OutputSerializer):
    """From `against` to `revision`; empty `items`: the two say the same."""

    revision = serializers.UUIDField()
    against = serializers.UUIDField()
    items = DifferenceOutput(many=True)


class PublishInput(InputSerializer):
    version = fields.IntegerField(min_value=1, help_text="The template's version that is to be published.")


class RevisionListedOutput(OutputSerializer):
    """Without the document."""

    id = serializers.UUIDField()
    template = serializers.UUIDField(source="template_id")
    location = serializers.UUIDField(
        source="location_id",
        allow_null=True,
        help_text="Whose own version it is; it has numbers of its own there. Null: every location may use it.",
    )
    number = serializers.IntegerField()
    title = serializers.CharField()
    sha256 = serializers.CharField()
    rules_version = serializers.IntegerField()
    published_by = serializers.UUIDField(source="published_by_id")
    created_at = serializers.DateTimeField()


@extend_schema_field(document_schema.REFERENCE)
class RevisionDocumentOutput(ObjectOutput):
    """The document as it was published."""


class RevisionOutput(RevisionListedOutput):
    document = RevisionDocumentOutput()


class SessionInput(InputSerializer):
    revision = fields.UUIDField()
    location = fields.UUIDField(
        required=False, allow_null=True, help_text="Where; needed unless the group has a location."
    )
    group = fields.UUIDField(
        required=False, allow_null=True, help_text="For whom; left out: for whoever trains at the location."
    )
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
    is_local_version = serializers.BooleanField(help_text="Whether the revision is the location's own.")
    location = serializers.UUIDField(source="location_id")
    group = serializers.UUIDField(
        source="group_id", allow_null=True, help_text="For whom; null: for whoever trains at the location."
    )
    starts_at = serializers.DateTimeField()
    zone = serializers.CharField()
    local_date = serializers.DateField()
    cancelled_at = serializers.DateTimeField(allow_null=True)
    prescriptions_from = serializers.SerializerMethodField(
        help_text="When the athletes' prescriptions are worked out, seven days before the start; there are none "
        "until then."
    )
    prescriptions_from_reason = serializers.SerializerMethodField()
    copied_from = serializers.UUIDField(
        source="copied_from_id", allow_null=True, help_text="The session that a copied week has it from."
    )
    placed_by = serializers.UUIDField(source="placed_by_id")

    @extend_schema_field(serializers.DateTimeField(allow_null=True))
    def get_prescriptions_from(self, row: Any) -> str | None:
        if row.cancelled_at is not None:
            return None
        told: str = serializers.DateTimeField().to_representation(row.starts_at - PRESCRIBED_AHEAD)
        return told

    def get_prescriptions_from_reason(self, row: Any) -> str | None:
        return None if row.cancelled_at is None else "session_cancelled"
