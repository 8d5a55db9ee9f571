"""A roster in CSV: reading it, column by column, into rows with their faults. No database and no clock.

What a column means is said by its name, or by the mapping that goes with the file:

    name  location  client_id  date  body_mass_kg | body_mass_lb
    <kind>:<variation>[:<load>kg|lb]      a test: to_failure:push_up_floor, to_failure:back_squat_barbell:60kg
    one_rm:<variation>:kg | lb            the cell is the maximum itself

Cells are read as they stand: nothing in them is executed or trimmed except for spaces around them.
"""

from __future__ import annotations

import csv
import datetime as dt
import hashlib
import io
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from programming.calc.units import KG_PER_LB

MOST_ROWS: Final = 2000
MOST_COLUMNS: Final = 60
MOST_CHARACTERS: Final = 200  # of a cell
MOST_BYTES: Final = 1024 * 1024

PLAIN = frozenset({"name", "location", "client_id", "date", "body_mass_kg", "body_mass_lb"})
_TEST = re.compile(
    r"(?P<kind>one_rm|to_failure):(?P<variation>[a-z][a-z0-9_]{0,59})"
    r"(:(?P<load>\d{1,3}(\.\d{1,3})?)?(?P<unit>kg|lb))?"
)
_NUMBER = re.compile(r"\d{1,7}(\.\d{1,6})?", re.ASCII)


class RosterError(ValueError):
    """The file as a whole cannot be read; the text says why."""


@dataclass(frozen=True)
class TestColumn:
    """A column of tests. load_kg None: body weight, or (one_rm) the cell is the load in `unit`."""

    __test__ = False

    name: str
    kind: str
    variation: str
    load_kg: float | None
    unit: str


@dataclass(frozen=True)
class TestCell:
    """One test of one row; client_key tells it from every other test of every other row.

    The result is no part of the key: another result for the same test is a contradiction, not a second test.
    """

    __test__ = False

    column: TestColumn
    repetitions: int
    load_kg: float | None
    client_key: str


@dataclass
class RosterRow:
    """One line of data, counted from 1; `faults` are (column, what is wrong)."""

    number: int
    name: str = ""
    location: str = ""
    client_key: str = ""
    date: dt.date | None = None
    body_mass_kg: float | None = None
    tests: list[TestCell] = field(default_factory=list)
    faults: list[tuple[str, str]] = field(default_factory=list)

    def sub_key(self, *parts: object) -> str:
        """Of something that hangs on this row; the same file gives the same keys again."""
        return _digest(self.client_key, *parts)


@dataclass(frozen=True)
class Roster:
    rows: tuple[RosterRow, ...]
    ignored_columns: tuple[str, ...]
    test_columns: tuple[TestColumn, ...]


def read_roster(text: str, mapping: Mapping[str, str]) -> Roster:
    """Read the file; `mapping` goes from a column's own name to one of the names above.

    Raises RosterError when there is no header, a needed column is missing, one means nothing that is known
    although it was mapped, two mean the same, or there are too many rows.
    """
    lines, comma = _lines(text)
    header = [cell.strip() for cell in lines[0]]
    meanings = _meanings(header, mapping)
    tests = {i: column for i, name in meanings.items() if (column := _test_column(header[i], name))}
    plain = {name: i for i, name in meanings.items() if i not in tests}
    rows = tuple(
        _row(number, cells, header, plain, tests, comma) for number, cells in enumerate(lines[1:], start=1)
    )
    ignored = tuple(name for i, name in enumerate(header) if i not in meanings)
    return Roster(rows, ignored, tuple(tests.values()))


def _lines(text: str) -> tuple[list[list[str]], bool]:
    """(lines with something in them, whether numbers have a decimal comma). A file with ; has one."""
    text = text.removeprefix("\ufeff")
    first = text.split("\n", 1)[0]
    semicolon = first.count(";") > first.count(",")
    try:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=";" if semicolon else ",", strict=True)
        lines = [line for line in reader if any(cell.strip() for cell in line)]
    except csv.Error as error:
        raise RosterError(f"This is not CSV: {error}.") from error
    if len(lines) < 2:
        raise RosterError("The file needs a header line and at least one line below it.")
    if len(lines) - 1 > MOST_ROWS:
        raise RosterError(f"The file has {len(lines) - 1} rows; send at most {MOST_ROWS} at once.")
    if len(lines[0]) > MOST_COLUMNS:
        raise RosterError(f"The file has {len(lines[0])} columns; send at most {MOST_COLUMNS}.")
    return lines, semicolon


def _meanings(header: list[str], mapping: Mapping[str, str]) -> dict[int, str]:
    """What each column means, by its position; columns that mean nothing are left out."""
    absent = [name for name in mapping if name not in header]
    if absent:
        raise RosterError(f"The file does not have the mapped columns {', '.join(sorted(absent))}.")
    meanings: dict[int, str] = {}
    for i, own in enumerate(header):
        meaning = mapping.get(own, own)
        if meaning in PLAIN or _TEST.fullmatch(meaning):
            if meaning in meanings.values():
                raise RosterError(f"Two columns mean {meaning}; keep one.")
            meanings[i] = meaning
        elif own in mapping:
            raise RosterError(f"{own} is mapped to {meaning}, which is not a known meaning of a column.")
    if "name" not in meanings.values():
        raise RosterError("No column means name; name one so, or map it.")
    if {"body_mass_kg", "body_mass_lb"} <= set(meanings.values()):
        raise RosterError("Body mass is given in kg or in lb, not in both.")
    return meanings


def _test_column(own: str, meaning: str) -> TestColumn | None:
    match = _TEST.fullmatch(meaning)
    if match is None:
        return None
    load, unit = match["load"], match["unit"] or ""
    if (match["kind"] == "one_rm") != (bool(unit) and load is None):
        raise RosterError(
            f"{own}: a maximum names the unit of its cells (one_rm:…:kg), others at most a load (…:60kg)."
        )
    return TestColumn(own, match["kind"], match["variation"], _kilograms(load, unit) if load else None, unit)


def _kilograms(number: str, unit: str) -> float:
    return float(number) * (KG_PER_LB if unit == "lb" else 1.0)


def _row(
    number: int,
    cells: list[str],
    header: list[str],
    plain: Mapping[str, int],
    tests: Mapping[int, TestColumn],
    comma: bool,
) -> RosterRow:
    row = RosterRow(number)
    if len(cells) > len(header):
        row.faults.append(("", f"The line has {len(cells)} cells, the header {len(header)}."))
    cells = [cell.strip() for cell in cells[: len(header)]] + [""] * (len(header) - len(cells))
    for name, cell in zip(header, cells, strict=True):
        if len(cell) > MOST_CHARACTERS or "\x00" in cell:
            row.faults.append((name, f"A cell has at most {MOST_CHARACTERS} characters, none of them null."))
            return row

    def cell_of(meaning: str) -> str:
        return cells[plain[meaning]] if meaning in plain else ""

    row.name, row.location = cell_of("name"), cell_of("location")
    if not row.name:
        row.faults.append(("name", "There is no name."))
    elif len(row.name) > 120:
        row.faults.append(("name", "A name has at most 120 characters."))
    row.client_key = _client_key(cell_of("client_id"), row)
    row.date = _date(row, cell_of("date"))
    for unit in ("kg", "lb"):
        mass = _number(row, f"body_mass_{unit}", cell_of(f"body_mass_{unit}"), comma)
        if mass is not None:
            row.body_mass_kg = _kilograms(mass, unit)
    for i, column in tests.items():
        _read_test(row, column, cells[i], comma)
    return row


def _client_key(own: str, row: RosterRow) -> str:
    """The row's own client_id, or its name and location: they tell the athletes of a roster apart."""
    return _digest("id", own) if own else _digest("name", row.name.casefold(), row.location.casefold())


def _digest(*parts: object) -> str:
    content = "\x1f".join(str(part) for part in parts)
    return f"import-{hashlib.sha256(content.encode()).hexdigest()[:40]}"


def _date(row: RosterRow, cell: str) -> dt.date | None:
    if not cell:
        return None
    try:
        day = dt.date.fromisoformat(cell) if len(cell) == 10 else None
    except ValueError:
        day = None
    if day is None or not 2000 <= day.year <= 2100:
        row.faults.append(("date", "Write the day as 2030-01-31."))
        return None
    return day


def _number(row: RosterRow, column: str, cell: str, comma: bool) -> str | None:
    """The cell as a decimal literal, None when it is empty or noted as a fault."""
    if not cell:
        return None
    literal = cell.replace(",", ".") if comma else cell
    if not _NUMBER.fullmatch(literal):
        row.faults.append((column, "This is not a number; write it like 62.5, without a unit."))
        return None
    return literal


def _read_test(row: RosterRow, column: TestColumn, cell: str, comma: bool) -> None:
    literal = _number(row, column.name, cell, comma)
    if literal is None:
        return
    key = row.sub_key(column.kind, column.variation, column.load_kg, row.date or "")
    if column.kind == "one_rm":
        row.tests.append(TestCell(column, 1, _kilograms(literal, column.unit), key))
    elif "." in literal:
        row.faults.append((column.name, "Repetitions are a whole number."))
    else:
        row.tests.append(TestCell(column, int(literal), column.load_kg, key))
