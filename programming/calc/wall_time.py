"""The same time of day on another day: what a clock on the wall shows, across its changes."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from zoneinfo import ZoneInfo


@dataclass(frozen=True)
class WallTime:
    """An instant (UTC) with its date on the wall; `skipped` where the clock never showed the time asked for."""

    instant: dt.datetime
    local_date: dt.date
    skipped: bool


def at_wall_time(day: dt.date, time: dt.time, zone: str) -> WallTime:
    """The instant at which a clock in the zone shows `time` on `day`.

    A time that comes twice is the first one (RFC 5545, 3.3.5). One that a clock change skips is read with the
    offset before the change, as that standard says: 02:30 becomes 03:30 where an hour is left out.
    """
    place = ZoneInfo(zone)
    instant = dt.datetime.combine(day, time.replace(fold=0), tzinfo=place).astimezone(dt.UTC)
    shown = instant.astimezone(place)
    return WallTime(instant, shown.date(), (shown.date(), shown.time()) != (day, time.replace(fold=0)))


def wall_time_of(instant: dt.datetime, zone: str) -> dt.time:
    """What a clock in the zone shows at the (aware) instant."""
    return instant.astimezone(ZoneInfo(zone)).time().replace(fold=0)


def monday_of(day: dt.date) -> dt.date:
    """The first day of the week that the day is in (ISO 8601)."""
    return day - dt.timedelta(days=day.weekday())
