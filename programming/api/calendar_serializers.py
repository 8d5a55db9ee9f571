"""Bodies of groups, of copied weeks and of placements."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from programming.actions.placements import MOST_PLACES
from programming.actions.weeks import DETAILS, MOST_COPIED
from programming.api.serializers import SessionOutput
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer


class GroupInput(InputSerializer):
    name = fields.CharField(max_length=120)
    location = fields.UUIDField(
        source="location_id", required=False, allow_null=True, help_text="Where its sessions usually are."
    )


class GroupChange(InputSerializer):
    name = fields.CharField(max_length=120)
    location = fields.UUIDField(source="location_id", allow_null=True)
    is_active = fields.BooleanField(help_text="A group that is not active gets no new sessions.")


class GroupOutput(OutputSerializer):
    id = serializers.UUIDField()
    version = serializers.IntegerField()
    name = serializers.CharField()
    location = serializers.UUIDField(source="location_id", allow_null=True)
    is_active = serializers.BooleanField()
    created_at = serializers.DateTimeField()


class PlaceInput(InputSerializer):
    location = fields.UUIDField(
        required=False, allow_null=True, help_text="Needed unless the group has a location."
    )
    group = fields.UUIDField(required=False, allow_null=True)
    starts_at = fields.DateTimeField()


class PlacementsInput(InputSerializer):
    revision = fields.UUIDField()
    places = fields.ListField(child=PlaceInput(), min_length=1, max_length=MOST_PLACES)
    use_local_versions = fields.BooleanField(
        required=False, help_text="true: a location that has a version of its own uses that."
    )


class PlacedOutput(OutputSerializer):
    """A session that was made; `origin_has_moved`: the own version was made from another revision than this."""

    session = SessionOutput()
    local_version = serializers.UUIDField(allow_null=True)
    origin_has_moved = serializers.BooleanField(
        allow_null=True, help_text="Null where no own version is used."
    )


class PlacementsOutput(OutputSerializer):
    items = PlacedOutput(many=True)


class WeekCopyInput(InputSerializer):
    from_week = fields.DateField(help_text="Any day of the week that is copied.")
    to_week = fields.DateField(help_text="Any day of a later week.")
    location = fields.UUIDField(required=False, allow_null=True, help_text="What is placed there.")
    group = fields.UUIDField(required=False, allow_null=True, help_text="What is placed for it.")
    sessions = fields.ListField(
        child=fields.UUIDField(),
        max_length=MOST_COPIED,
        required=False,
        allow_null=True,
        help_text="Only these of the week; left out: all.",
    )
    dry_run = fields.BooleanField(required=False, help_text="true: say what would be made, and make nothing.")


class CopyOutput(OutputSerializer):
    """What became, or in a dry run would become, of one session of the week."""

    from_session = serializers.UUIDField(source="source.id")
    session = serializers.UUIDField(source="session_id", allow_null=True)
    outcome = serializers.CharField(help_text="`made`, `there_already`, `conflict` or `left_out`.")
    reason = serializers.SerializerMethodField()
    detail = serializers.SerializerMethodField()
    starts_at = serializers.DateTimeField()
    zone = serializers.CharField()
    local_date = serializers.DateField()

    def get_reason(self, row: Any) -> str | None:
        return row.reason or None

    def get_detail(self, row: Any) -> str | None:
        return DETAILS[row.reason] if row.reason else None


class WeekCopyOutput(OutputSerializer):
    """Mondays of the two weeks, and each session of the first one."""

    from_week = serializers.DateField()
    to_week = serializers.DateField()
    dry_run = serializers.BooleanField()
    items = CopyOutput(many=True)
