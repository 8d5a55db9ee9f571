"""Bodies of calendar feeds."""

from __future__ import annotations

from rest_framework import serializers

from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

USUAL_MINUTES = 60


class FeedInput(InputSerializer):
    athlete = fields.UUIDField(required=False, allow_null=True, help_text="Either this or a location.")
    location = fields.UUIDField(required=False, allow_null=True)
    label = fields.CharField(  # type: ignore[assignment]  # the field is called so
        max_length=80, help_text="What programs show as the calendar's name."
    )
    entry_minutes = fields.IntegerField(
        min_value=5,
        max_value=480,
        required=False,
        help_text=f"How long an entry is drawn, {USUAL_MINUTES} unless said: a session says when it begins only.",
    )


class FeedOutput(OutputSerializer):
    id = serializers.UUIDField()
    athlete = serializers.UUIDField(source="athlete_id", allow_null=True)
    location = serializers.UUIDField(source="location_id", allow_null=True)
    label = serializers.CharField()  # type: ignore[assignment]  # the field is called so
    entry_minutes = serializers.IntegerField()
    made_by = serializers.UUIDField(source="made_by_id")
    created_at = serializers.DateTimeField()
    last_read_at = serializers.DateTimeField(allow_null=True)


class NewFeedOutput(FeedOutput):
    url = serializers.CharField(help_text="Shown once; whoever has it can read the calendar.")
