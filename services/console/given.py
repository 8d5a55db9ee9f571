"""A prescription on one line of a sheet: versions, sets, what is expected, or why there is none."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from scoring.brief_rounds import in_a_row
from scoring.brief_words import amount_of, option_said
from scoring.names import Names
from scoring.words import noun, units_said
from services.console.aim import STOPPED_BY
from services.console.answers import Prescribed
from services.console.words import interval, percent, unbroken

NOT_SCORED: Final = "not scored"


@dataclass(frozen=True)
class Cell:
    """One work item of one athlete; own: the amount or rounds where they are the athlete's own, else ""."""

    version: str
    own: str
    sets: str
    as_written: bool
    check_first: bool


@dataclass(frozen=True)
class Given:
    """One athlete of the session. reason: why there is no version, "" where there is one; `cells` then are empty.

    middle, spread: of the expected score and what eight of ten days lie between; spread "" where it is not told.
    """

    id: UUID
    athlete: UUID
    name: str
    cells: Sequence[Cell]
    reason: str
    middle: str
    spread: str
    chance: str
    stops: str
    decided: bool
    content: Mapping[str, Any]


def given_of(
    row: Prescribed, content: Mapping[str, Any], works: Sequence[str], names: Names, reason: str
) -> Given:
    """content: its own, as the present version writes it; works: the columns, by key; reason: why it is not
    feasible, "" where it is.
    """
    middle, spread = expected_said(content["expected"])
    return Given(
        id=row.id,
        athlete=row.athlete_id,
        name=row.name,
        cells=[] if reason else [_cell(content, work, names) for work in works],
        reason=reason,
        middle=middle,
        spread=spread,
        chance=percent(row.p_all if row.feasible else None),
        stops=_stops(content, names),
        decided=content["overridden_by"] is not None,
        content=content,
    )


def expected_said(expected: Mapping[str, Any] | None) -> tuple[str, str]:
    """(the middle, what eight of ten days lie between); where it may not be done in time, the chance that it is."""
    if expected is None:
        return "", ""
    if expected["unit"] is None:
        return NOT_SCORED, ""
    told = interval(expected["score"], expected["unit"])
    if told is None:
        return f"done in time: {percent(expected['finish_probability'])}", ""
    return told


def _cell(content: Mapping[str, Any], key: str, names: Names) -> Cell:
    work = next((one for one in content["work"] if one["work"] == key), None)
    if work is None:
        return Cell("left out", "", "", as_written=False, check_first=False)
    amount = amount_of(work)
    own = (
        ""
        if work["amount_as_written"] or amount is None
        else f"{amount:g} {noun(amount, units_said(work['unit']))}"
    )
    rounds = {one["block"]: one["rounds"] for one in content["blocks"]}.get(work["block"])
    most = "" if rounds is None else f"at most {names.so_many(work['block'], rounds)}"
    amounts = [amount_of(one) or 0.0 for one in content["plan"] if one["work"] == key]
    return Cell(
        version=unbroken(option_said(work, names)),
        own=", ".join(part for part in (own, most) if part),
        sets=in_a_row(amounts),
        as_written=bool(work["version_as_written"]),
        check_first=any(one["work"] == key for one in content["check_sets"]),
    )


def _stops(content: Mapping[str, Any], names: Names) -> str:
    """What probably stops the athlete in the first block."""
    if not content["stopped_by"]:
        return ""
    one = content["stopped_by"][0]
    by = STOPPED_BY[one["by"]]
    if one["work"] is None or one["by"] in ("breathing", "unknown"):
        return by
    return f"{by}, {names.work(one['work'])}"
