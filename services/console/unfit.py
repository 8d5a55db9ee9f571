"""Why somebody has no version, in one line."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from scoring.brief_words import hold_lines, why_not_facts
from scoring.names import Names


def why_unfit(content: Mapping[str, Any], names: Names) -> str:
    """The words of the brief, for the staff; content: of a prescription with a block that is not feasible."""
    if content["hold"] is not None:
        return " ".join(hold_lines(content["hold"]))
    return " ".join(why_not_facts(content, names))
