"""The fields of an athlete's log, weights in the reader's unit, and times of a clock as people write them."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from zoneinfo import ZoneInfo

from programming.calc.units import KG_PER_LB

KILOGRAMS: Final = re.compile(r"(\d+(?:\.\d+)?) kg\b")
_CLOCK: Final = re.compile(r"(?:(\d{1,2}):)?(\d{1,3}):([0-5]?\d(?:\.\d)?)")

Choices = Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Field:
    """A question of the log. kind: of the control ("number", "timing", "choice", "check", "moment", "long");
    after: the unit behind it.
    """

    name: str
    label: str
    value: str = ""
    error: str = ""
    kind: str = "number"
    after: str = ""
    choices: Choices = ()

    @property
    def id(self) -> str:
        return f"f-{self.name}"


@dataclass(frozen=True)
class Weights:
    """Kilograms or pounds; what is stored is kilograms."""

    unit: str

    def shown(self, kg: float | None) -> str:
        """As it stands in a field; "" for None."""
        if kg is None:
            return ""
        return f"{kg:g}" if self.unit == "kg" else f"{kg / KG_PER_LB:.1f}".removesuffix(".0")

    def read(self, text: str, meant_kg: str) -> Any:
        """Kilograms of what was typed; the text itself where it is no number.

        meant_kg: what the field was filled in with, which stays exact where it was left as it is.
        """
        value = number(text)
        if not isinstance(value, (int, float)) or self.unit == "kg":
            return value
        meant = number(meant_kg)
        if isinstance(meant, (int, float)) and self.shown(float(meant)) == f"{value:g}":
            return meant
        return round(value * KG_PER_LB, 2)

    def said(self, text: str) -> str:
        """A line with kilograms in it; for who reads pounds both stand there, as the kit is marked in kilograms."""
        if self.unit == "kg":
            return text
        return KILOGRAMS.sub(lambda found: f"{found[0]} ({self.shown(float(found[1]))} lb)", text)


def number(text: str) -> Any:
    """A number as it was typed, whole ones as int, a comma as a point; the text itself where it is none.

    So the interface says what is wrong with it.
    """
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        return text
    if value != value or value in (float("inf"), float("-inf")):
        return text
    return int(value) if value.is_integer() else value


def moment(text: str, zone: str) -> str:
    """An instant as the interface takes it; what is none is handed on as it was typed."""
    try:
        found = dt.datetime.fromisoformat(text)
    except ValueError:
        return text
    return (found if found.tzinfo else found.replace(tzinfo=ZoneInfo(zone))).isoformat()


def seconds(text: str) -> Any:
    """Of "12:30", "1:02:30" or "750"; the text itself where it is none of these."""
    found = _CLOCK.fullmatch(text.strip())
    if found is None:
        return number(text)
    hours, minutes, rest = found.groups()
    return 3600 * int(hours or 0) + 60 * int(minutes) + number(rest)


def typed(values: Mapping[str, str], name: str) -> str:
    return values.get(name, "").strip()
