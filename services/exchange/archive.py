"""What an export's file is made of: rows as CSV and JSON, and the archive of both. No database and no clock."""

from __future__ import annotations

import datetime as dt
import io
import json
import zipfile
import zlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from services.exchange.table import write_table

FORMAT_VERSION: Final = 1
EPOCH: Final = (1980, 1, 1, 0, 0, 0)
"""The first instant that the format can tell: the same content is the same file, whenever it is fetched."""


@dataclass(frozen=True)
class Part:
    """All of one sheet, its pieces compressed."""

    name: str
    header: Sequence[str]
    csv: Sequence[bytes]
    json_lines: Sequence[bytes]
    rows: int


def lines_of_csv(lines: Iterable[Sequence[Any]]) -> bytes:
    """Compressed, without a header."""
    text = write_table([], [[_flat(value) for value in line] for line in lines])
    return zlib.compress(text.removeprefix("\r\n").encode())


def lines_of_json(header: Sequence[str], lines: Iterable[Sequence[Any]]) -> bytes:
    """Compressed, an object a line."""
    told = [
        json.dumps(dict(zip(header, map(_plain, line), strict=True)), ensure_ascii=False, allow_nan=False)
        for line in lines
    ]
    return zlib.compress("\n".join(told).encode())


def archive(told: Mapping[str, Any], parts: Iterable[Part]) -> bytes:
    """A zip with a table of contents, and each sheet twice: csv/<name>.csv and json/<name>.json (an array)."""
    out = io.BytesIO()
    contents: dict[str, Any] = {"format": FORMAT_VERSION, **told, "sheets": {}}
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for part in parts:
            contents["sheets"][part.name] = {"columns": list(part.header), "rows": part.rows}
            head = write_table(part.header, []).encode()
            _add(made, f"csv/{part.name}.csv", head + b"".join(map(zlib.decompress, part.csv)))
            told_rows = [piece for piece in map(zlib.decompress, part.json_lines) if piece]
            body = b"\n".join(told_rows).replace(b"\n", b",\n")
            _add(made, f"json/{part.name}.json", b"[\n" + body + b"\n]\n" if body else b"[]\n")
        _add(made, "contents.json", json.dumps(contents, indent=1, ensure_ascii=False).encode() + b"\n")
    return out.getvalue()


def _add(made: zipfile.ZipFile, name: str, content: bytes) -> None:
    made.writestr(zipfile.ZipInfo(name, EPOCH), content, zipfile.ZIP_DEFLATED)


def _plain(value: Any) -> Any:
    """As JSON has it; what stands in a column of JSON stays what it is."""
    if isinstance(value, dt.datetime):
        return value.astimezone(dt.UTC).isoformat().replace("+00:00", "Z")
    return str(value) if isinstance(value, (dt.date, UUID)) else value


def _flat(value: Any) -> str | int | float | bool | None:
    """As a cell of CSV has it."""
    plain = _plain(value)
    if isinstance(plain, (dict, list)):
        return json.dumps(plain, sort_keys=True, ensure_ascii=False, allow_nan=False)
    return plain if plain is None or isinstance(plain, (str, int, float, bool)) else str(plain)
