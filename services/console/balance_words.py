"""Training balance in words: its divisions, its rows, and how much stands behind them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from programming.calc.difference_words import plain
from scoring.balance import OF_GROUP
from services.console.words import DASH, counted

SAID: Final = {
    "sets_by_quality": "Hard sets, by what they train",
    "sets_by_pattern": "Hard sets, by pattern of movement",
    "cyclical_by_quality": "Running, rowing, cycling and the like: time, by what it trains",
}
UNIT: Final = {
    "sets_by_quality": "hard sets",
    "sets_by_pattern": "hard sets",
    "cyclical_by_quality": "cyclical work",
}
NAMES: Final = {"unclear": "not clear from the sets"}
WITHOUT: Final = {
    "totals_tell_no_sets": "sent in all, not set by set",
    "not_believed": "waiting to be looked at, or not believed",
    "no_sets": "without a version that could be done",
    "too_many_sets": "with more sets than are listed",
}
"""Why nothing is known of the sets of a session."""
NOT_SHARED: Final = {"durations_not_known": "times missing", "nothing_counted": "none counted"}


@dataclass(frozen=True)
class Window:
    """What was chosen, as it stands in the fields, and what is wrong with it."""

    values: Mapping[str, str]
    errors: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Row:
    """One quality or pattern; planned and done: how much, then as a share of all; over: done against wanted."""

    name: str
    planned: str
    planned_share: str
    done: str
    done_share: str
    wanted: str
    over: str


def named(name: str) -> str:
    said = NAMES.get(name) or plain(name)
    return f"{said[:1].upper()}{said[1:]}"


def row_of(line: Mapping[str, Any], key: str) -> Row:
    """Of a line of the division `key` as the interface answers it."""
    said = _time_said if key == "cyclical_by_quality" else _sets_said
    return Row(
        name=named(line["name"]),
        planned=said(line["planned"]),
        planned_share=share_said(line["planned_share"], line["planned_share_reason"]),
        done=said(line["done"]),
        done_share=share_said(line["done_share"], line["done_share_reason"]),
        wanted=DASH if line["target_share"] is None else share_said(line["target_share"], None),
        over=_over(line["ahead"]),
    )


def _sets_said(told: Mapping[str, Any]) -> str:
    """Hard sets, of how many, and of how many nobody knows."""
    if not told["sets"]:
        return "none"
    unknown = f"; {told['unknown_sets']} not known" if told["unknown_sets"] else ""
    return f"{told['hard_sets']} hard of {counted(told['sets'], 'set')}{unknown}"


def _time_said(told: Mapping[str, Any]) -> str:
    if not told["sets"]:
        return "none"
    bouts = counted(told["sets"], "bout")
    return (
        f"{bouts}, time not known" if told["work_s"] is None else f"{told['work_s'] / 60:.0f} min in {bouts}"
    )


def share_said(share: float | None, reason: str | None) -> str:
    return NOT_SHARED[reason or ""] if share is None else f"{100 * share:.0f} %"


def _over(ahead: float | None) -> str:
    if ahead is None:
        return DASH
    points = round(100 * ahead)
    if points == 0:
        return "as wanted"
    return f"{counted(abs(points), 'point')} {'more' if points > 0 else 'less'}"


def chart_said(rows: Sequence[Row]) -> str:
    """The picture in words, for whoever does not see it."""
    return " ".join(
        f"{row.name}: planned {row.planned_share}, done {row.done_share}, wanted {row.wanted}."
        for row in rows
    )


def counted_said(told: Mapping[str, Any]) -> list[str]:
    """How many sessions stand behind it, and of which no sets are known."""
    lines = []
    for origin in ("planned", "done"):
        part = told[origin]
        lines.append(f"{counted(part['sessions'], 'session')} {origin}.")
        lines += [
            f"Of {one['sessions']} {origin} no set is counted: {WITHOUT.get(one['reason']) or plain(one['reason'])}."
            for one in part["without_sets"]
        ]
    return lines


def target_said(told: Mapping[str, Any]) -> str:
    if told["target_of"] is None:
        return "Nobody has written down which shares are wanted."
    of = "the group's own" if told["target_of"] == OF_GROUP else "those of the whole organisation"
    return f"The shares that are wanted are {of}."
