"""Numbers, dates and codes as people read them; an amount is never without its unit."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from typing import Any, Final
from zoneinfo import ZoneInfo

from scoring.brief_words import LEVELS, clock
from scoring.words import noun, units_said

DASH: Final = "–"
AMOUNT: Final = re.compile(r"(\d) (kg|cm)\b")


def day_said(day: dt.date) -> str:
    """ "Monday 30 November 2026"."""
    return f"{day:%A} {day.day} {day:%B} {day.year}"


def short_day(day: dt.date) -> str:
    return f"{day:%a} {day.day} {day:%b} {day.year}"


def days_said(first: dt.date, last: dt.date) -> str:
    """ "23 to 29 Nov 2026", "30 Nov to 6 Dec 2026", "28 Dec 2026 to 3 Jan 2027"."""
    begun = f"{first.day}"
    if (first.year, first.month) != (last.year, last.month):
        begun += f" {first:%b}"
    if first.year != last.year:
        begun += f" {first.year}"
    return f"{begun} to {last.day} {last:%b} {last.year}"


def local_time(moment: dt.datetime, zone: str) -> str:
    """By the clock of the place, "18:30"."""
    return f"{moment.astimezone(ZoneInfo(zone)):%H:%M}"


def in_words(value: float, unit: str | None) -> str:
    """A score or an amount: seconds as minutes and seconds, everything else with its unit."""
    if unit == "s":
        return clock(value)
    if unit is None:
        return f"{value:g}"
    return f"{round(value, 2):g} {noun(value, units_said(unit))}"


def interval(score: Mapping[str, Any], unit: str | None) -> tuple[str, str] | None:
    """(middle, what eight of ten days lie between); None where a level is not known."""
    if any(score.get(level) is None for level in LEVELS):
        return None
    low, middle, high = (score[level] for level in LEVELS)
    if unit == "s":
        return clock(middle), f"{clock(low)} to {clock(high)}"
    return in_words(middle, unit), f"{low:g} to {high:g}"


def percent(share: float | None) -> str:
    """Of a probability; never a certainty that nobody has."""
    if share is None:
        return DASH
    whole = round(100 * share)
    return "over 99 %" if whole >= 100 else "under 1 %" if whole <= 0 else f"{whole} %"


def unbroken(text: str) -> str:
    """An amount and its unit stay on one line."""
    return AMOUNT.sub("\\1\u00a0\\2", text)


def counted(number: int, one: str, many: str = "") -> str:
    """ "1 result", "3 results"."""
    return f"{number} {one if number == 1 else many or one + 's'}"
