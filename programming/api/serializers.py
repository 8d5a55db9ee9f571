"""Kits of locations and sessions in the calendar, in and out; fields for what the pure core reads."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from programming.equipment import unknown_items
from programming.horizon import PRESCRIBED_AHEAD
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

_FREE_OBJECT = {"type": "object", "additionalProperties": True}


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
