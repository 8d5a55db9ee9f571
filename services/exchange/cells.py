"""What stands in a cell, as a value with a unit. No database and no clock; what may mean two things is refused.

Each reader raises CellError with a sentence that says what to write instead.
"""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Mapping
from typing import Final

from programming.calc.units import KG_PER_LB
from services.api.fields import instant_of

MASS: Final = {"kg": 1.0, "lb": KG_PER_LB}
DISTANCE: Final = {"m": 1.0, "km": 1000.0, "mi": 1609.344}
"""The mile is exact since the agreement that made the pound so."""
TIMES: Final = ("s", "min", "min:s", "h:min:s")
ORDERS: Final = ("year_month_day", "day_month_year", "month_day_year")

_NUMBER = re.compile(r"-?\d{1,12}(\.\d{1,17})?(e-?\d{1,3})?", re.ASCII)
_CLOCK = re.compile(r"\d{1,4}(:\d{1,2}){1,2}", re.ASCII)
_DAY = re.compile(r"(\d{1,4})[./ -](\d{1,2})[./ -](\d{1,4})", re.ASCII)


class CellError(ValueError):
    """The cell cannot be read; the text says what to write."""


def number(cell: str, comma: bool = False) -> float:
    told = cell.replace(",", ".") if comma else cell
    if not _NUMBER.fullmatch(told) or not math.isfinite(value := float(told)):
        raise CellError("This is not a number; write it like 62.5, without a unit.")
    return value


def whole(cell: str, comma: bool = False) -> int:
    value = number(cell, comma)
    if value != int(value):
        raise CellError("This is a whole number.")
    return int(value)


def yes_no(cell: str) -> bool:
    if cell not in ("true", "false"):
        raise CellError("Write true or false.")
    return cell == "true"


def scaled(cell: str, unit: str, units: Mapping[str, float], comma: bool = False) -> float:
    """A mass in kg, or a distance in m, from the unit of its column."""
    factor = units[unit]
    return number(cell, comma) * factor if factor != 1.0 else number(cell, comma)


def is_clock(cell: str) -> bool:
    """Whether it is written with colons, and so may be hours and minutes or minutes and seconds."""
    return _CLOCK.fullmatch(cell) is not None


def seconds(cell: str, unit: str, comma: bool = False) -> float:
    """A time in seconds, written as the unit of its column says.

    min:s also reads 38:31:00 as 38 min 31 s: so spreadsheets write what they took for hours and minutes. h:min:s
    needs all three parts, since 38:31 would be doubtful.
    """
    if unit in ("s", "min"):
        if is_clock(cell):
            raise CellError(f"The column is in {unit}; this is written with colons.")
        return number(cell, comma) * (60.0 if unit == "min" else 1.0)
    if not is_clock(cell):
        raise CellError(f"The column is written as {unit}; write the time so.")
    parts = [int(part) for part in cell.split(":")]
    if unit == "h:min:s":
        return _of_three(cell, parts)
    if len(parts) == 3 and parts.pop() != 0:
        raise CellError("Minutes and seconds have two parts; a third one can only be 00.")
    if parts[1] > 59:
        raise CellError("There are 60 seconds in a minute; check the time.")
    return parts[0] * 60.0 + parts[1]


def minutes(cell: str, unit: str, comma: bool = False) -> float:
    """A time in minutes; a number that is written in minutes stays the number that it is."""
    if unit == "min" and not is_clock(cell):
        return number(cell, comma)
    return seconds(cell, unit, comma) / 60.0


def _of_three(cell: str, parts: list[int]) -> float:
    if len(parts) != 3:
        raise CellError(f"Hours, minutes and seconds have three parts; {cell} may be either two of them.")
    hours, minutes, rest = parts
    if minutes > 59 or rest > 59:
        raise CellError("There are 60 minutes in an hour and 60 seconds in a minute; check the time.")
    if hours >= 24:
        raise CellError(f"This is {hours} hours; if minutes and seconds are meant, the unit is min:s.")
    return hours * 3600.0 + minutes * 60.0 + rest


def day(cell: str, order: str) -> dt.date:
    """A calendar day, in the order of day, month and year that the column has."""
    match = _DAY.fullmatch(cell)
    names = order.split("_")
    if match is None:
        raise CellError(
            f"This is not a day; write it in the order {', '.join(names)}, for example {_shown(order)}."
        )
    told = {name: match[position] for position, name in enumerate(names, start=1)}
    if len(told["year"]) != 4:
        raise CellError("Write the year with four digits.")
    year, month, of_month = int(told["year"]), int(told["month"]), int(told["day"])
    if month > 12 >= of_month:
        raise CellError(f"There is no month {month}; is the order of the column really {', '.join(names)}?")
    try:
        found = dt.date(year, month, of_month)
    except ValueError:
        raise CellError("There is no such day in the calendar.") from None
    if not 1900 <= found.year <= 2100:
        raise CellError("The year lies between 1900 and 2100.")
    return found


def _shown(order: str) -> str:
    return {
        "year_month_day": "2030-01-31",
        "day_month_year": "31.01.2030",
        "month_day_year": "01/31/2030",
    }[order]


def is_iso_day(cell: str) -> bool:
    return re.fullmatch(r"\d{4}-\d\d-\d\d", cell, re.ASCII) is not None


def instant(cell: str) -> dt.datetime:
    found = instant_of(cell)
    if found is None:
        raise CellError("This is no instant; write it like 2030-01-31T18:30:00Z, with its offset.")
    try:
        return found.astimezone(dt.UTC)
    except OverflowError:  # by its offset outside of all years that there are
        raise CellError("This instant lies outside of the years that can be told.") from None
