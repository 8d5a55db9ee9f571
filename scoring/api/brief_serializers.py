"""What an athlete reads before a session."""

from __future__ import annotations

from rest_framework import serializers

from scoring.brief import TITLES
from services.api.serializers import OutputSerializer


class BriefPartOutput(OutputSerializer):
    key = serializers.ChoiceField(choices=sorted(TITLES))
    title = serializers.CharField()
    lines = serializers.ListField(child=serializers.CharField())


class BriefOutput(OutputSerializer):
    """The same three ways: part by part, as plain text, and as a fragment of HTML in which every text is escaped.

    Where `superseded_by` names a newer prescription, the brief says so and holds no numbers: read that one's.
    """

    prescription = serializers.UUIDField(source="prescription.id")
    session = serializers.UUIDField(source="prescription.session_id")
    athlete = serializers.UUIDField(source="prescription.athlete_id")
    number = serializers.IntegerField(source="prescription.number")
    superseded_by = serializers.UUIDField(
        allow_null=True, help_text="The prescription that holds now; null: this one."
    )
    title = serializers.CharField()
    parts = BriefPartOutput(many=True)
    text = serializers.CharField()
    html = serializers.CharField()
