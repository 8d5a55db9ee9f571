"""How a difference between two revisions is said: numbers with units, windows, amounts, labels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any, Final

from programming.calc.revision import DISTANCE, ENERGY, HOLD, REPETITIONS, AsWritten, Condition, WorkItem

LABELS: Final = {
    "break_rule": "the break rule",
    "counts": "what counts as a break",
    "penalty_s": "the penalty of a break",
    "penalty": "how a penalty is paid",
    "penalty_repetitions": "the penalty of a break in repetitions",
    "penalty_work": "the penalty work",
    "rest_over_s": "the pause that counts as a break",
    "kind": "the end",
    "cap_s": "the time cap",
    "time_s": "the fixed time",
    "scored": "what is scored",
    "tie_break": "the tie-break",
    "rounds": "the number of rounds",
    "rest_between_s": "the rest between rounds",
    "amounts": "the rungs of the ladder",
    "then_step": "what each further rung adds",
    "every_s": "the time from interval to interval",
    "count": "the number of intervals",
    "work_s": "the working time of an interval",
    "in_turn": "one work item in each interval, by turns",
    "split": "the work at which ties are split",
    "by": "what decides the ranking of the session",
}
_UNITS: Final = {"_s": "s", "_kg": "kg", "_cm": "cm", "_m": "m"}
_AMOUNTS: Final = {REPETITIONS: "repetitions", HOLD: "s held", DISTANCE: "m", ENERGY: "kcal"}
_CONDITIONS: Final = {
    "first_set": "the first set",
    "later_sets": "each later set",
    "time": "the time",
    "score": "the score",
    "share_of_available": "the share of what is available in a set",
    "stopped_by": "what stops the athlete",
    "effort": "the effort",
}
_WINDOW_UNITS: Final = {"time": " s", "share_of_available": " %"}
EXCERPT_WORDS: Final = 12


def plain(key: str) -> str:
    """A key or a word of the grammar as it is read."""
    return key.replace("_", " ")


def label(name: str) -> str:
    return LABELS.get(name, f"the {plain(name)}")


def number(value: float) -> str:
    """Never rounded: two different numbers are said differently."""
    return str(int(value)) if float(value).is_integer() else repr(float(value))


def said(value: Any, name: str = "") -> str:
    """Any value of a revision in words; the field's name tells its unit."""
    if value is None:
        return "not set"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        unit = next((unit for ending, unit in _UNITS.items() if name.endswith(ending)), "")
        return f"{number(value)} {unit}".rstrip()
    if isinstance(value, str):
        return plain(value) if value else "empty"
    if isinstance(value, WorkItem):
        return item_said(value)
    if isinstance(value, tuple):
        return ", ".join(said(entry) for entry in value) if value else "none"
    if is_dataclass(value):
        held = ((f.name, getattr(value, f.name)) for f in fields(value))
        return "; ".join(f"{label(name)} {said(one, name)}" for name, one in held if one is not None)
    return str(value)


def amount_said(amount: float | None, unit: str) -> str:
    words = _AMOUNTS[unit]
    return f"as many {words} as possible" if amount is None else f"{number(amount)} {words}"


def as_written_said(written: AsWritten) -> str:
    settings = {
        "load": written.load_kg,
        "assistance": written.assistance_kg,
        "height": written.height_cm,
    }
    units = {"load": "kg", "assistance": "kg", "height": "cm"}
    told = [f"{name} {number(v)} {units[name]}" for name, v in settings.items() if v is not None]
    return ", ".join([plain(written.variation), *told])


def item_said(item: WorkItem) -> str:
    allowed = "" if not item.variations else f", allowed: {said(item.variations)}"
    written = as_written_said(item.as_written)
    return f"{amount_said(item.amount, item.unit)} of {plain(item.movement)} ({written}{allowed})"


def condition_named(condition: Condition, works: Mapping[str, str] | None = None) -> str:
    """What it is on; works: what work is called, by key."""
    words = _CONDITIONS.get(condition.kind, plain(condition.kind))
    work = condition.work
    return words if work is None else f"{words} of {(works or {}).get(work, work)}"


def window_said(condition: Condition) -> str:
    if condition.by is not None:
        return plain(condition.by)
    low, high = condition.lower, condition.upper
    unit = _WINDOW_UNITS.get(condition.kind, "")
    if low is not None and high is not None:
        return f"{number(low)} to {number(high)}{unit}"
    if low is not None:
        return f"at least {number(low)}{unit}"
    return "open" if high is None else f"at most {number(high)}{unit}"


def excerpts(before: str, after: str) -> tuple[str, str]:
    """A few words of each text from where the two part."""
    old, new = before.split(), after.split()
    if old == new:
        return "the same with other spaces", "the same"
    same = next(
        (i for i, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), min(len(old), len(new))
    )
    return _excerpt(old, same), _excerpt(new, same)


def _excerpt(words: list[str], start: int) -> str:
    shown = " ".join(words[start : start + EXCERPT_WORDS])
    if not shown:
        return "nothing" if not words else "nothing more"
    tail = " …" if len(words) > start + EXCERPT_WORDS else ""
    return f"“{'… ' if start else ''}{shown}{tail}”"
