"""Single query parameters, read as strictly as bodies: what they mean, or 400 with their name."""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Mapping
from typing import Final
from uuid import UUID

from services.api.fields import FIRST_YEAR, LAST_YEAR
from services.problems import FieldProblem, Invalid

LONGEST_NUMBER: Final = 20
_DAY: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def day_in(parameters: Mapping[str, str], name: str) -> dt.date | None:
    """None where it is left out. Raises Invalid for what is no day of the years that a date may name."""
    text = parameters.get(name)
    if text is None:
        return None
    try:
        day = dt.date.fromisoformat(text) if _DAY.fullmatch(text) else None
    except ValueError:
        day = None
    if day is None:
        raise refused(name, "invalid", "Must be a day in the form 2030-01-31.")
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise refused(name, "out_of_range", f"The year must be from {FIRST_YEAR} to {LAST_YEAR}.")
    return day


def id_in(parameters: Mapping[str, str], name: str) -> UUID | None:
    """None where it is left out. Raises Invalid for what is no UUID with hyphens."""
    text = parameters.get(name)
    if text is None:
        return None
    try:
        found = UUID(text) if len(text) == 36 else None
    except ValueError:
        found = None
    if found is None:
        raise refused(name, "invalid", "Must be a UUID with hyphens.")
    return found


def number_in(parameters: Mapping[str, str], name: str, least: float, most: float) -> float | None:
    """None where it is left out. Raises Invalid for what is no number from `least` to `most`."""
    text = parameters.get(name)
    if text is None:
        return None
    try:
        value = float(text) if len(text) <= LONGEST_NUMBER else math.nan
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise refused(name, "invalid", "Must be a finite number.")
    if not least <= value <= most:
        raise refused(name, "out_of_range", f"Must be from {least:g} to {most:g}.")
    return value


def refused(name: str, code: str, detail: str) -> Invalid:
    """The problem of one parameter."""
    return Invalid(errors=[FieldProblem("", code, detail, parameter=name)])
