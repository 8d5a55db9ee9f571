"""Days and hours by the clock of where the athlete is.

Capacity is told by days; the hour matters for the day or two after hard work (athletes.calc.soreness) and for two
sessions of one day. Hours are those of the clock on the wall: in the two nights of a year in which it is set, an
interval across them is an hour wrong, which no soreness shows.
"""

from __future__ import annotations

import datetime as dt
import math
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from athletes.calc.carry import NOON as NOON

_HOUR: Final = dt.timedelta(hours=1)
_DIGITS: Final = 6
"""Of an hour: finer than a second is no input, and reads back the same from a row."""


class Moment(NamedTuple):
    """A local day and the hour of it, 0 to 24; noon where nobody says."""

    day: dt.date
    hour: float = NOON


def moment_of(instant: dt.datetime, zone: str) -> Moment:
    """By the clock of the IANA zone."""
    day = instant.astimezone(ZoneInfo(zone)).date()
    return Moment(day, hours_into(day, instant, zone))


def next_full_hour(instant: dt.datetime, zone: str) -> Moment:
    """The full hour to come, 24 at most: what is told of now moves by the hour, so that two looks within one show the
    same, and work that has just been done counts already.
    """
    day, hour = moment_of(instant, zone)
    return Moment(day, float(math.ceil(hour)))


def hours_into(day: dt.date, instant: dt.datetime, zone: str) -> float:
    """Hours from the midnight that the day begins with; beyond 0 to 24 for an instant of another day."""
    at = instant.astimezone(ZoneInfo(zone)).replace(tzinfo=None)
    return round((at - dt.datetime.combine(day, dt.time())) / _HOUR, _DIGITS)
