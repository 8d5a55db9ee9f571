"""What was done beyond whole rounds, as scores and rankings tell it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any


def last_round_of(amounts: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Item by item, of the stored amounts of a score; empty where the score is not told in rounds."""
    return [
        {"work": one["work"], "amount": one["last_round"], "unit": one["unit"]}
        for one in amounts
        if one.get("last_round") is not None
    ]
