"""Tables in CSV (RFC 4180): reading them cell by cell, and writing them so that no program runs a cell. No database.

What may be meant in two ways is not guessed: days and times say in the mapping how they are written, or are refused.
Cells are read as they stand; spaces around them are dropped, and the apostrophe that `neutral` puts before a formula.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

MOST_ROWS: Final = 20_000
MOST_LINES: Final = 10 * MOST_ROWS  # empty ones too, which are no rows, and are read all the same
MOST_COLUMNS: Final = 60
MOST_CHARACTERS: Final = 20_000  # of a cell; a report of a result is the longest
MOST_BYTES: Final = 8 * 1024 * 1024

SEPARATORS: Final = (",", ";", "\t")
RISKY: Final = ("=", "+", "-", "@", "\t", "\r")
"""How a cell begins that spreadsheets take for a formula (OWASP, CSV Injection)."""

_SIGNATURES: Final = (
    (b"PK\x03\x04", "a spreadsheet or an archive (xlsx, ods, zip), whatever its name says"),
    (b"\xd0\xcf\x11\xe0", "a spreadsheet in an old binary form (xls)"),
    (b"%PDF", "a PDF"),
    (b"\x1f\x8b", "compressed (gzip)"),
    (b"\xff\xfe", "in UTF-16"),
    (b"\xfe\xff", "in UTF-16"),
)


class TableError(ValueError):
    """The file as a whole cannot be read; the text says why, and what to do."""


@dataclass(frozen=True)
class Row:
    """One line of data, counted from 1 below the header: by meaning of its column, what stands there; "" for nothing.

    fault: why the line cannot be read at all, "" where it can.
    """

    number: int
    cells: Mapping[str, str]
    fault: str = ""


@dataclass(frozen=True)
class Table:
    """comma: numbers have a decimal comma, as files with semicolons do."""

    rows: tuple[Row, ...]
    names: Mapping[str, str]
    ignored: tuple[str, ...]
    comma: bool


def text_of(raw: bytes) -> str:
    """The text of an uploaded file. Raises TableError for what is no UTF-8 text, saying what it seems to be."""
    kind = next((said for signature, said in _SIGNATURES if raw.startswith(signature)), "")
    if not kind and b"\x00" in raw[:4096]:
        kind = "binary"
    if kind:
        raise TableError(f"This file is {kind}. Save the table as CSV in UTF-8, and send that.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        detail = f"Line {line} is not UTF-8. Save the table as CSV in UTF-8, and send that."
        raise TableError(detail) from error


def read_table(text: str, mapping: Mapping[str, str], known: Mapping[str, bool]) -> Table:
    """mapping: from a column's own name to its meaning, where the name is not the meaning; known: by meaning whether
    it is needed (a meaning that ends in ":" stands for all that begin so). Raises TableError.
    """
    lines, separator = _lines(text)
    header = [cell.strip() for cell in lines[0]]
    meanings = _meanings(header, mapping, known)
    rows = tuple(_row(number, cells, header, meanings) for number, cells in enumerate(lines[1:], start=1))
    names = {meaning: header[position] for position, meaning in meanings.items()}
    ignored = tuple(name for position, name in enumerate(header) if position not in meanings)
    return Table(rows, names, ignored, separator == ";")


def _lines(text: str) -> tuple[list[list[str]], str]:
    """(lines with something in them, separator). What separates is what makes most columns of the header."""
    text = text.removeprefix("\ufeff")
    first = text.split("\n", 1)[0]
    separator = max(SEPARATORS, key=lambda one: len(next(csv.reader([first], delimiter=one), [])))
    lines: list[list[str]] = []
    read = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        for number, line in enumerate(read, start=1):
            if any(cell.strip() for cell in line):
                lines.append(line)
            if len(lines) > MOST_ROWS + 1:
                raise TableError(f"The file has more than {MOST_ROWS} rows; send it in several files.")
            if number > MOST_LINES:
                raise TableError(
                    f"The file has more than {MOST_LINES} lines, most of them empty; remove those."
                )
    except csv.Error as error:
        raise TableError(f"This is not CSV: {error}.") from error
    if len(lines) < 2:
        raise TableError("The file needs a header line and at least one line below it.")
    if len(lines[0]) > MOST_COLUMNS:
        raise TableError(f"The file has {len(lines[0])} columns; send at most {MOST_COLUMNS}.")
    return lines, separator


def _meanings(header: Sequence[str], mapping: Mapping[str, str], known: Mapping[str, bool]) -> dict[int, str]:
    absent = sorted(set(mapping) - set(header))
    if absent:
        raise TableError(f"The file does not have the mapped columns {', '.join(absent)}.")
    found: dict[int, str] = {}
    for position, own in enumerate(header):
        meaning = mapping.get(own, own)
        if not is_known(meaning, known):
            if own in mapping:
                words = ", ".join(known)
                raise TableError(
                    f"{own} is mapped to {meaning}, which means nothing here; use one of: {words}."
                )
            continue
        if meaning in found.values():
            raise TableError(f"Two columns mean {meaning}; keep one.")
        found[position] = meaning
    missing = [name for name, needed in known.items() if needed and name not in found.values()]
    if missing:
        raise TableError(f"No column means {', '.join(missing)}; name one so, or map it.")
    return found


def is_known(meaning: str, known: Mapping[str, bool]) -> bool:
    begins, colon, rest = meaning.partition(":")
    return meaning in known or bool(colon and rest and f"{begins}:" in known)


def _row(number: int, cells: list[str], header: Sequence[str], meanings: Mapping[int, str]) -> Row:
    if len(cells) > len(header):
        return Row(number, {}, f"The line has {len(cells)} cells, the header {len(header)}.")
    if any(len(cell) > MOST_CHARACTERS or "\x00" in cell for cell in cells):
        return Row(number, {}, f"A cell has at most {MOST_CHARACTERS} characters, none of them null.")
    told = {meaning: cells[i].strip() for i, meaning in meanings.items() if i < len(cells)}
    return Row(number, {meaning: literal(cell) for meaning, cell in told.items()})


def neutral(cell: str) -> str:
    """The text with an apostrophe before it where a spreadsheet would take it for a formula.

    Also before one that begins with an apostrophe and such a sign, so that `literal` gives back every text.
    """
    bare = cell.lstrip("'")
    return f"'{cell}" if bare.startswith(RISKY) else cell


def literal(cell: str) -> str:
    """What `neutral` was given."""
    bare = cell.lstrip("'")
    return cell[1:] if cell.startswith("'") and bare.startswith(RISKY) else cell


def write_table(header: Sequence[str], rows: Iterable[Sequence[str | int | float | bool | None]]) -> str:
    """CSV with CRLF; numbers as they are, also negative ones, texts neutral, nothing as an empty cell."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([neutral(name) for name in header])
    for row in rows:
        writer.writerow([_cell(value) for value in row])
    return out.getvalue()


def _cell(value: str | int | float | bool | None) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return neutral(value) if isinstance(value, str) else repr(value)
