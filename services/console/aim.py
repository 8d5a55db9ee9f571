"""A session in words, as it was written: its work, how it runs, and the aim."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from programming.calc.difference_words import condition_named, plain, window_said
from programming.calc.revision import Block, Condition, WorkItem
from programming.plans import SessionPlan
from scoring.brief_rules import run_line
from scoring.brief_words import clock
from scoring.names import Names, names_of
from scoring.words import noun, units_said

STOPPED_BY: Final = {
    "local_muscle": "the muscles",
    "breathing": "the breath",
    "strength": "strength",
    "skill": "skill",
    "unknown": "not known",
}


@dataclass(frozen=True)
class BlockSaid:
    """name: "" where there is one block alone."""

    name: str
    work: Sequence[str]
    runs: str
    aim: Sequence[str]


def blocks_said(plan: SessionPlan) -> list[BlockSaid]:
    names, several = names_of(plan), len(plan.doc.blocks) > 1
    return [
        BlockSaid(
            name=f"{names.block(block.key)[:1].upper()}{names.block(block.key)[1:]}" if several else "",
            work=[work_said(item, names) for item in block.work],
            runs=run_line(block, ""),
            aim=[condition_said(one, block, names) for one in block.aim.conditions],
        )
        for block in plan.doc.blocks
    ]


def work_said(item: WorkItem, names: Names) -> str:
    """ "60 repetitions of Horizontal row, as written: Row at 45 degrees"."""
    much = (
        f"as many {units_said(item.unit)} as possible"
        if item.amount is None
        else f"{item.amount:g} {noun(item.amount, units_said(item.unit))}"
    )
    return f"{names.works[item.key]}, {much}; as written: {_as_written(item, names)}"


def _as_written(item: WorkItem, names: Names) -> str:
    written = item.as_written
    load = "" if written.load_kg is None else f" with {names.load(written.variation, written.load_kg)}"
    height = "" if written.height_cm is None else f" at {written.height_cm:g} cm"
    eased = "" if written.assistance_kg is None else f" with {written.assistance_kg:g} kg of assistance"
    return f"{names.variation(written.variation)}{height}{load}{eased}"


def condition_said(one: Condition, block: Block, names: Names) -> str:
    """A condition of the aim with its window, in the unit that it is told in."""
    if one.kind == "stopped_by":
        return f"What stops the athlete: {STOPPED_BY.get(one.by or '', plain(one.by or ''))}"
    unit = "" if one.work is None else units_said(names.units[one.work])
    if one.kind == "first_set":
        return f"{names.work(one.work or '')}, in one go when rested: {window_said(one)} {unit}"
    if one.kind == "later_sets":
        return f"{names.work(one.work or '')}, each later set: {window_said(one)} {unit}"
    window = timed_window(one) if _is_timed(one.kind, block) else window_said(one)
    if one.kind == "effort":
        window += ", of 10"
    named = condition_named(one, names.works)
    return f"{named[:1].upper()}{named[1:]}: {window}"


def timed_window(one: Condition) -> str:
    """A window of seconds, in minutes and seconds."""
    if one.lower is not None and one.upper is not None:
        return f"{clock(one.lower)} to {clock(one.upper)}"
    if one.lower is not None:
        return f"at least {clock(one.lower)}"
    return "open" if one.upper is None else f"at most {clock(one.upper)}"


def shown_said(one: Mapping[str, Any], block: Block) -> str:
    """What a result shows of a condition, as the interface answers it: an interval, an end of it, or nothing."""
    tell = _telling(one["kind"], block)
    low, high = (None if end is None else tell(end) for end in (one["low"], one["high"]))
    if low is not None and high is not None:
        return low if low == high else f"{low} to {high}"
    if low is not None:
        return f"at least {low}"
    return "" if high is None else f"at most {high}"


def _telling(kind: str, block: Block) -> Callable[[float], str]:
    """Seconds on a clock, sets in whole units: nobody does a part of a repetition."""
    if _is_timed(kind, block):
        return clock
    return "{:.0f}".format if kind in ("first_set", "later_sets") else lambda value: f"{round(value, 1):g}"


def _is_timed(kind: str, block: Block) -> bool:
    return kind == "time" or (kind == "score" and block.rules.scored == "time")
