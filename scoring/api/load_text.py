"""A load as people set it up, beside its number."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from programming.calc.load import load_said
from services.api.serializers import OutputSerializer


class LoadedOutput(OutputSerializer):
    """A version with its external load."""

    load_kg = serializers.FloatField(allow_null=True, help_text="All of the load together, in kg.")
    load_text = serializers.SerializerMethodField()

    def get_load_text(self, option: Mapping[str, Any]) -> str | None:
        """The load as it is set up, of two dumbbells or kettlebells "2 × 16 kg", of a vest "body weight + vest of 10
        kg"; null without a load.
        """
        load_kg = option["load_kg"]
        if load_kg is None:
            return None
        # Stored before pairs, and vests, were told apart: the load in one piece.
        told = load_said(load_kg, option.get("implements", 1))
        return f"body weight + vest of {told}" if option.get("worn") else told
