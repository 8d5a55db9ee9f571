"""The sets that a prescription plans, as an athlete logs them: each with its version and what is set up."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from programming.calc.revision import UNITS, Block
from scoring.brief_words import amount_of, option_said
from scoring.names import Names
from scoring.sent import SETTINGS


def planned_sets(block: Block, content: Mapping[str, Any], names: Names) -> Iterator[dict[str, Any]]:
    """The sets of a block as prescribed, each with its version; where none are planned, one open row for each item.

    work, variation, settings, unit, amount or None, rest_before_s, duration_s, said.
    """
    attempts = {(one["work"], one["number"]): one for one in content.get("attempts", [])}
    plan = [one for one in content.get("plan", []) if one["block"] == block.key]
    seen: dict[str, int] = {}
    for one in plan:
        seen[one["work"]] = seen.get(one["work"], 0) + 1
        chosen = attempts.get((one["work"], seen[one["work"]])) or chosen_of(content, one["work"])
        if chosen:
            yield _planned(chosen, one, names)
    if not plan:
        for item in block.work:
            if chosen := chosen_of(content, item.key):
                yield _planned(chosen, {"work": item.key, "rest_before_s": None, "duration_s": None}, names)


def _planned(chosen: Mapping[str, Any], one: Mapping[str, Any], names: Names) -> dict[str, Any]:
    unit = next((name for name in UNITS if one.get(name) is not None), chosen.get("unit", UNITS[0]))
    return {
        "work": one["work"],
        "variation": chosen["variation"],
        **{name: chosen[name] for name in SETTINGS},
        "unit": unit,
        "amount": amount_of(one),
        "rest_before_s": one["rest_before_s"],
        "duration_s": one["duration_s"],
        "said": option_said(chosen, names),
    }


def chosen_of(content: Mapping[str, Any], work: str) -> Mapping[str, Any]:
    return next((one for one in content.get("work", []) if one["work"] == work), {})
