"""A load as people set it up, beside its number."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from programming import parsed
from programming.calc.load import load_said
from scoring.models import CheckSet
from scoring.names import VEST
from services.api.serializers import OutputSerializer


class LoadedOutput(OutputSerializer):
    """A version with its external load."""

    load_kg = serializers.FloatField(allow_null=True, help_text="All of the load together, in kg.")
    load_text = serializers.SerializerMethodField()

    def get_load_text(self, option: Mapping[str, Any]) -> str | None:
        """The load as it is set up, of two dumbbells or kettlebells "2 × 16 kg", of a vest "body weight + vest of 10
        kg"; null without a load.
        """
        # Stored before pairs, and vests, were told apart: the load in one piece.
        return load_text(option["load_kg"], option.get("implements", 1), bool(option.get("worn")))


def load_text(load_kg: float | None, implements: int, worn: bool) -> str | None:
    """An external load [kg] as it is set up; None without one."""
    if load_kg is None:
        return None
    told = load_said(load_kg, implements)
    return f"body weight + vest of {told}" if worn else told


def load_text_of(row: CheckSet) -> str | None:
    """The load of a set as it was taken, by the version that was done."""
    version = row.variation_version
    variation = parsed.variations.of(version.id, version.document).variation
    return load_text(row.load_kg, variation.implements, variation.load_item == VEST)
