"""The cells of one row as values; a cell that cannot be read is a fault of the row, under its column."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar
from uuid import UUID

from rest_framework.exceptions import ParseError

from services.api.parsers import parse_json
from services.exchange import cells
from services.exchange.kinds import DISTANCES, DURATIONS, MASSES, Written, amounts_named
from services.exchange.table import Row

T = TypeVar("T")


class RowFaultError(Exception):
    """A row that cannot come in: `faults` are (meaning of the column, what to do)."""

    def __init__(self, *faults: tuple[str, str]) -> None:
        super().__init__("; ".join(detail for _, detail in faults))
        self.faults = faults


@dataclass(frozen=True)
class Cells:
    """The cells of one row as values, None where nothing stands. Raises RowFaultError."""

    row: Row
    written: Written

    def text(self, meaning: str) -> str:
        return self.row.cells.get(meaning, "")

    def _as(self, meaning: str, read: Callable[[str], T]) -> T | None:
        cell = self.text(meaning)
        try:
            return read(cell) if cell else None
        except cells.CellError as error:
            raise RowFaultError((meaning, str(error))) from error

    def number(self, meaning: str) -> float | None:
        return self._as(meaning, lambda cell: cells.number(cell, self.written.table.comma))

    def whole(self, meaning: str) -> int | None:
        return self._as(meaning, lambda cell: cells.whole(cell, self.written.table.comma))

    def scaled(self, meaning: str) -> float | None:
        units = cells.MASS if meaning in MASSES else cells.DISTANCE
        assert meaning in MASSES | DISTANCES
        unit = self.written.units.get(meaning, next(iter(units)))
        return self._as(meaning, lambda cell: cells.scaled(cell, unit, units, self.written.table.comma))

    def seconds(self, meaning: str) -> float | None:
        assert meaning in DURATIONS
        unit = self.written.units.get(meaning, "s")
        return self._as(meaning, lambda cell: cells.seconds(cell, unit, self.written.table.comma))

    def minutes(self, meaning: str) -> float | None:
        """Of a column that says minutes by its name, unless its unit says otherwise."""
        assert meaning in DURATIONS
        unit = self.written.units.get(meaning, "min")
        return self._as(meaning, lambda cell: cells.minutes(cell, unit, self.written.table.comma))

    def day(self, meaning: str) -> str | None:
        order = self.written.orders.get(meaning, "year_month_day")
        return self._as(meaning, lambda cell: cells.day(cell, order).isoformat())

    def instant(self, meaning: str) -> str | None:
        return self._as(meaning, lambda cell: cells.instant(cell).isoformat())

    def yes_no(self, meaning: str) -> bool | None:
        return self._as(meaning, cells.yes_no)

    def uuid(self, meaning: str) -> UUID:
        try:
            return UUID(self.text(meaning))
        except ValueError:
            raise RowFaultError((meaning, "This is no id.")) from None

    def json(self, meaning: str) -> Any:
        """Read as strictly as a body: what no request could send, the database may not hold."""
        cell = self.text(meaning)
        try:
            return parse_json(cell.encode()) if cell else None
        except ParseError as error:
            raise RowFaultError((meaning, str(error.detail).replace("The body", "The cell"))) from None


def report_told(told: Cells) -> dict[str, Any]:
    """What is reported: as it was once sent, or totals of the columns with amounts."""
    report = told.json("report")
    if report is not None and not isinstance(report, dict):
        raise RowFaultError(("report", "A report is a JSON object."))
    body: dict[str, Any] = dict(report or {})
    if report is None:
        work = [
            {"work": work, unit: told.whole(meaning) if unit == "repetitions" else told.number(meaning)}
            for meaning, unit, work in amounts_named(list(told.row.cells))
            if told.text(meaning)
        ]
        if not work:
            raise RowFaultError(
                ("report", "Say how much was done, in columns such as repetitions:<work item>.")
            )
        beside = {"elapsed_s": told.seconds("elapsed"), "breaks": told.whole("breaks")}
        body["totals"] = {
            "work": work,
            **{name: value for name, value in beside.items() if value is not None},
        }
    for name, value in (("effort", told.number("effort")), ("note", told.text("note") or None)):
        if value is not None:
            body[name] = value
    return body
