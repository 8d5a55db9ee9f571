"""The session sheet: rows of athletes, columns of sets, on one page of A4, with room for the coach's pen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from string import ascii_uppercase
from typing import Any, Final
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from athletes.api.safety_views import SafetySettingsView
from athletes.emergency import effective_settings
from programming.calc.revision import Block
from scoring.brief_rounds import in_a_row, rounds_of
from scoring.brief_words import amount_of
from scoring.own_version import own_block
from services.console.given import Given
from services.console.session import OneSession

MOST_COLUMNS: Final = 12
"""What a page of A4 has room for beside names and versions; what comes after stands in one more."""
ROOMY, CLOSE = 10, 18
"""Up to so many rows there is much room for the pen, and some."""
GENERAL: Final = "stop_signs"
"""The caution that everybody's prescription has; it is printed once."""


@dataclass(frozen=True)
class Row:
    """One athlete: the lines of the version by letter, and what is planned in each column, line by line.

    careful: whether there are cautions of the athlete's own, which stand in the brief.
    """

    name: str
    careful: bool
    versions: Sequence[str]
    cells: Sequence[Sequence[str]]
    expected: str
    reason: str


@dataclass(frozen=True)
class Sheet:
    """columns: their headings; further: whether one more tells what comes after them."""

    unit: str
    columns: Sequence[str]
    further: bool
    rows: Sequence[Row]
    room: str


class SheetPage(OneSession):
    shows = (*OneSession.shows, SafetySettingsView)

    def get(self, request: HttpRequest, organisation: UUID, session: UUID) -> HttpResponse:
        self.read(session)
        now = timezone.now()
        letters = dict(zip(self.works, ascii_uppercase, strict=False))
        emergency = effective_settings(self.session.location_id).emergency
        return self.show(
            "console/sheet.html",
            **self.heading(),
            sheet=sheet_of(self.plan.doc.blocks, self.given, letters, self.waiting(now)),
            letters=[(letter, self.names.work(key)) for key, letter in letters.items()],
            emergency=emergency,
            stop_signs=_stop_signs(self.given),
            opens=self.opens(now),
        )


def sheet_of(
    blocks: Sequence[Block], given: Sequence[Given], letters: Mapping[str, str], waiting: Sequence[str]
) -> Sheet:
    """In columns of rounds where everybody's sets fall into rounds, else of sets."""
    planned = [one for one in given if one.content["plan"]]
    in_rounds = bool(planned) and all(_rounds(blocks, one.content, letters) for one in planned)
    lane_of = _rounds if in_rounds else _sets
    lanes = {one.id: lane_of(blocks, one.content, letters) for one in planned if not one.reason}
    most = max((len(lane) for lane in lanes.values()), default=0)
    shown = min(most, MOST_COLUMNS)
    rows = [_row(one, lanes.get(one.id, []), shown, letters) for one in given]
    rows += [Row(name, False, [], [], "", "not worked out yet") for name in waiting]
    return Sheet(
        unit="Round" if in_rounds else "Set",
        columns=[str(number + 1) for number in range(shown)],
        further=most > shown,
        rows=rows,
        room="roomy" if len(rows) <= ROOMY else "close" if len(rows) <= CLOSE else "dense",
    )


def _row(one: Given, lane: Sequence[Sequence[str]], shown: int, letters: Mapping[str, str]) -> Row:
    versions = [
        f"{letter} {cell.version}"
        + (f", {cell.own}" if cell.own else "")
        + (", check set first" if cell.check_first else "")
        for cell, letter in zip(one.cells, letters.values(), strict=False)
    ]
    cells = [*lane[:shown], *([()] * (shown - len(lane)))]
    if len(lane) > shown:
        cells.append([_further([line for lines in lane[shown:] for line in lines])])
    careful = any(caution["code"] != GENERAL for caution in one.content["caution_details"])
    expected = one.spread or one.middle
    return Row(one.name, careful, versions, cells, expected, one.reason)


def _further(lines: Sequence[str]) -> str:
    """What has no column of its own, the letter of a work once for its sets in a row: "A 4, 4 · B 8 · A 3"."""
    of_work = groupby((line.partition(" ") for line in lines), key=lambda part: part[0])
    return " · ".join(f"{letter} {', '.join(amount for _, _, amount in parts)}" for letter, parts in of_work)


def _sets(blocks: Sequence[Block], content: Mapping[str, Any], letters: Mapping[str, str]) -> list[list[str]]:
    """One column a set, in the order of the plan."""
    return [[f"{letters.get(one['work'], '')} {amount_of(one) or 0:g}".strip()] for one in content["plan"]]


def _rounds(
    blocks: Sequence[Block], content: Mapping[str, Any], letters: Mapping[str, str]
) -> list[list[str]]:
    """One column a round; none where the sets of some work do not fall into rounds, or there are several blocks."""
    if len(blocks) != 1:
        return []
    block, found = own_block(blocks[0], content), dict[int, list[str]]()
    for item in block.work:
        amounts = [amount_of(one) or 0.0 for one in content["plan"] if one["work"] == item.key]
        rounds = rounds_of(block, item.key, amounts)
        if rounds is None:
            return []
        for number, said in _by_round(amounts, rounds):
            found.setdefault(number, []).append(f"{letters.get(item.key, '')} {said}")
    return [found[number] for number in sorted(found)]


def _by_round(amounts: Sequence[float], rounds: Sequence[int]) -> Iterator[tuple[int, str]]:
    for number in sorted(set(rounds)):
        yield number, in_a_row([one for one, place in zip(amounts, rounds, strict=True) if place == number])


def _stop_signs(given: Sequence[Given]) -> str:
    found = (one["text"] for row in given for one in row.content["caution_details"] if one["code"] == GENERAL)
    return next(found, "")
