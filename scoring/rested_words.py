"""Why a plan begins with less than the window of a first set: other work of the block tires the same muscles."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import takewhile
from typing import Any

from programming.calc.revision import UNITS
from scoring.names import Names


def rested_told(content: Mapping[str, Any], names: Names) -> Iterator[str]:
    """A sentence for each first set of a window that the plan begins with less than, though more is asked for; not
    where the work stands alone, which the plan breaks up for its own sake.
    """
    if not content["feasible"]:
        return
    works = {one["work"]: one for one in content["work"]}
    told: set[str] = set()
    for one in content["conditions"]:
        work, least = one["work"], one["lower"]
        if one["kind"] != "first_set" or work not in works or work in told or least is None:
            continue
        begins, asked = _begins(content, work), _amount(works[work])
        beside = _beside(works, work, _earlier(content, work), names)
        if begins is None or begins >= least or (asked is not None and begins >= asked) or not beside:
            continue
        told.add(work)
        yield (
            f"The first set of {names.work(work)} is meant rested; in the plan it begins with {begins:g}, since"
            f" {' and '.join(beside)} in the same block {'tires' if len(beside) == 1 else 'tire'} the same muscles."
        )


def _begins(content: Mapping[str, Any], work: str) -> float | None:
    first = next((one for one in content["plan"] if one["work"] == work), None)
    return None if first is None else _amount(first)


def _earlier(content: Mapping[str, Any], work: str) -> frozenset[str]:
    """The work that the plan has before the first set of this one: nothing later has tired anybody yet."""
    return frozenset(one["work"] for one in takewhile(lambda one: one["work"] != work, content["plan"]))


def _amount(entry: Mapping[str, Any]) -> float | None:
    return next((float(entry[unit]) for unit in UNITS if entry.get(unit) is not None), None)


def _beside(
    works: Mapping[str, Mapping[str, Any]], work: str, earlier: frozenset[str], names: Names
) -> list[str]:
    """The block's earlier work that shares a muscle group, by its names."""
    mine = works[work]
    groups = names.groups.get(mine["variation"], frozenset())
    return [
        names.work(key)
        for key, one in works.items()
        if key in earlier
        and one.get("block") == mine.get("block")
        and groups & names.groups.get(one["variation"], frozenset())
    ]
