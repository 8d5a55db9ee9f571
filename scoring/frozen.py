"""The forecast frozen in a prescription, block by block."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from programming.calc.revision import RevisionDoc
from scoring.calc.forecast import BlockForecast
from scoring.models import Prescription


def frozen_json(given: Prescription, doc: RevisionDoc, block: str) -> Mapping[str, Any] | None:
    """As stored: of the ranked block in `forecast`, of every other one under its key in the basis."""
    if block == doc.ranked_block.key:
        ranked: Mapping[str, Any] | None = given.forecast
        return ranked
    others: Mapping[str, Mapping[str, Any]] = given.basis.get("forecasts", {})
    return others.get(block)


def frozen_forecast(given: Prescription, doc: RevisionDoc, block: str) -> BlockForecast | None:
    """The forecast of a block, None where none was made."""
    stored = frozen_json(given, doc, block)
    return None if stored is None else BlockForecast.from_json(stored)
