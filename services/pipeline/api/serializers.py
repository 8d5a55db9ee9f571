from rest_framework import serializers

from services.api.serializers import OutputSerializer


class ChangeOutput(OutputSerializer):
    """What is still to be recomputed: of which athlete, session or ranking, since when, and why it hangs."""

    id = serializers.UUIDField()
    kind = serializers.CharField(help_text="athlete, session, ranking, …: more may come")
    subject = serializers.UUIDField()
    tries = serializers.IntegerField()
    error = serializers.CharField(allow_blank=True)
    since = serializers.DateTimeField(source="marked_at")
    due_at = serializers.DateTimeField()
    parked_at = serializers.DateTimeField(allow_null=True)
