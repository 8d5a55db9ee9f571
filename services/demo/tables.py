"""Rankings and capacities as the demo prints them; pure text, like the sheet."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import zip_longest
from typing import Any, Final

from services.demo.sheet import NAME, WIDTH, clock

HALF: Final = 48
CELL: Final = 42
NOTES: Final = {
    "beyond_forecast_range": (
        "Beyond forecast range: outside of 90 in 100 such days that were foreseen, as one result in ten should be."
        " More of them say that the forecasts were too narrow, or that the day was unlike others."
    )
}
DIVISIONS: Final = {"as_written": "as the coach wrote it", "own_version": "own version"}


def ranking_lines(place: str, ranking: Mapping[str, Any]) -> list[str]:
    """Official ranking by division on the left, by own forecast on the right."""
    left = _official(ranking["official"])
    right = ["by own forecast: share of own days beaten", *_by_forecast(ranking["by_forecast"]["rows"])]
    pairs = zip_longest(left, right, fillvalue="")
    return [place, *(f"  {one:<{HALF}}{other}".rstrip() for one, other in pairs), ""]


def _official(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    lines = []
    for division, name in DIVISIONS.items():
        members = [row for row in rows if row["division"] == division]
        if members:
            lines += [f"official, {name}", *(_official_row(row) for row in members)]
    return lines


def _official_row(row: Mapping[str, Any]) -> str:
    rank = "–" if row["rank"] is None else row["rank"]
    score = clock(row["score_s"]) if row["score_s"] is not None else f"{row['repetitions']} reps"
    note = "  review" if row["under_review"] else ""
    breaks = "" if not row["breaks"] else f"{row['breaks']:>3} breaks"
    return f"{rank:>3} {row['name']:<16}{score:>8} {breaks}{note}"


def _by_forecast(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    return [
        f"{'–' if row['rank'] is None else row['rank']:>3} {row['name']:<16}"
        + ("" if row["quantile"] is None else f"{100 * (1 - row['quantile']):>5.0f} %  ")
        + ", ".join(note.replace("_", " ") for note in row["notes"])
        for row in rows
    ]


def notes_told(rankings: Iterable[Mapping[str, Any]]) -> list[str]:
    """What a note beside a share means, where one is there."""
    rows = [row for ranking in rankings for row in ranking["by_forecast"]["rows"]]
    return [told for note, told in NOTES.items() if any(note in row["notes"] for row in rows)]


def capacity_lines(
    people: Sequence[str],
    variations: Sequence[str],
    before: Mapping[tuple[str, str], Mapping[str, Any]],
    after: Mapping[tuple[str, str], Mapping[str, Any]],
) -> list[str]:
    """Repetitions to failure of a version, 10 – 50 – 90 %, before and after; by (name, version)."""
    head = f"{'athlete':<{NAME}}" + "".join(f"{name:<{CELL}}" for name in variations)
    lines = [head.rstrip(), "─" * WIDTH]
    for name in people:
        cells = "".join(f"{_change(before[name, one], after[name, one]):<{CELL}}" for one in variations)
        lines.append(f"{name:<{NAME}}{cells}".rstrip())
    return lines


def _change(before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    seen = after["observations"] - before["observations"]
    return f"{_spread(before):<16}→  {_spread(after):<16}{f'+{seen}' if seen else ''}"


def _spread(figures: Mapping[str, Any]) -> str:
    known = figures["repetitions"]
    if known is None:
        return str(figures["repetitions_reason"]).replace("_", " ")
    return f"{known['p10']:.1f}–{known['p50']:.1f}–{known['p90']:.1f}"
