"""The forecast frozen in a prescription, block by block."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from programming.calc.revision import RevisionDoc
from scoring.calc.forecast import BlockForecast
from scoring.models import Prescription


def frozen_json(given: Prescription, doc: RevisionDoc, block: str) -> Mapping[str, Any] | None:
    """As stored: of the ranked block at the top, of every other one under its key in `by_block`."""
    stored = given.forecast
    if stored is None:
        return None
    by_block: Mapping[str, Any] = stored.get("by_block") or {}
    if block in by_block:
        found: Mapping[str, Any] | None = by_block[block]
        return found
    if block != doc.ranked_block.key or "score_quantiles" not in stored:
        return None
    return {name: value for name, value in stored.items() if name != "by_block"}


def frozen_forecast(given: Prescription, doc: RevisionDoc, block: str) -> BlockForecast | None:
    """The forecast of a block, None where none was made."""
    stored = frozen_json(given, doc, block)
    return None if stored is None else BlockForecast.from_json(stored)
