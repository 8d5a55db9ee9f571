"""What is concluded for an aim from a result that somebody has yet to look at, or has refused. No database."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from scoring.believed import is_judged
from scoring.calc.aim_causes import CAUSES

_UNKNOWN: Final = {"state": "unknown", "low": None, "high": None, "missed_by": None}
NOT_BELIEVED: Final = {**_UNKNOWN, "cause": "not_believed", "sentence": CAUSES["not_believed"]}
"""Of each condition of a result that is not believed: from that nothing is concluded."""
UNDER_REVIEW: Final = {**_UNKNOWN, "cause": "under_review", "sentence": CAUSES["under_review"]}
"""Of each condition that would be judged by what somebody has yet to look at."""


def concluded(
    aim: Sequence[Mapping[str, Any]], codes: Iterable[str], accepted: bool | None, *, believed: bool
) -> list[dict[str, Any]]:
    """The outcomes of a block's conditions as they may be told; codes: what was found in the block; accepted: what a
    review came to. What is unknown for another reason keeps that.
    """
    if not believed:
        return [{**outcome, **NOT_BELIEVED} for outcome in aim]
    if is_judged(accepted, codes):
        return [dict(outcome) for outcome in aim]
    return [{**outcome, **({} if outcome["state"] == "unknown" else UNDER_REVIEW)} for outcome in aim]
