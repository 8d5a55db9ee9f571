"""Attempts with rising loads as a lifter would say them, from what is stored."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from scoring.names import Names


def attempts_told(content: Mapping[str, Any], names: Names) -> Iterator[str]:
    """A sentence for the attempts of each work item, whether they are prescribed or for a coach to confirm."""
    attempts = content.get("attempts", [])
    prescribed = {one["work"] for one in content["work"]}
    for work in dict.fromkeys(one["work"] for one in attempts):
        mine = [one for one in attempts if one["work"] == work]
        each = "; ".join(_attempt(one, names) for one in mine)
        whose = "" if work in prescribed else ", for a coach to confirm"
        yield f"{names.work(work)}{whose}: {each}."
        yield _when_to_stop(mine, content)


def _attempt(one: Mapping[str, Any], names: Names) -> str:
    times = "" if one["repetitions"] == 1 else f" × {one['repetitions']}"
    load = names.load(one["variation"], one["load_kg"])
    return f"attempt {one['number']}: {load}{times} (made in {100 * one['probability']:.0f} of 100 such days)"


def _when_to_stop(mine: list[Mapping[str, Any]], content: Mapping[str, Any]) -> str:
    """What ends the attempts: common practice, no source."""
    if any(
        one["code"] == "works_up_lightly" and one["work"] == mine[0]["work"] for one in content["reasons"]
    ):
        return "Go up only while the last one was smooth; stop with the first that was not: it is no maximum yet."
    return (
        "Go up only after one that was made; after a miss take the same load once more or stop. Stop after two"
        " misses, or when the form goes."
    )
