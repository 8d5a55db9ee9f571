"""How quickly the athlete works, in a sentence."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any


def tempo_told(tempo: Mapping[str, Any] | None) -> Iterator[str]:
    """Of what the basis says of a work item; nothing where nothing was timed, or before it was learned."""
    if tempo is None:
        return
    own, usual, sets = f"{tempo['own_s']:.1f}", f"{tempo['usual_s']:.1f}", tempo["sets"]
    beside = "as is usual" if own == usual else f"{usual} s is usual"
    by = "sets of other movements" if not sets else "a set" if sets == 1 else f"{sets} sets"
    yield f"A repetition takes the athlete about {own} s, {beside}; told by {by} with seconds."
