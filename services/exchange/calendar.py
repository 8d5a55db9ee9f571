"""Sessions as an iCalendar object (RFC 5545; the name and the refresh interval by RFC 7986). No database, no clock.

The same entries give the same bytes, so that an entity tag can be made of them. Without METHOD, DTSTAMP is the time
of the last change of an entry (RFC 5545, 3.8.7.2), and SEQUENCE counts its changes. Times are in UTC: each session is
an instant of its own, no rule that repeats by a clock on the wall, so no reader has to be right about a zone.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from icalendar import Calendar, Event

PRODUCT: Final = "-//Dosewright//Sessions//EN"
REFRESH_EVERY: Final = dt.timedelta(hours=1)
MOST_TEXT: Final = 500


@dataclass(frozen=True)
class Entry:
    """One session, and nothing of what it asks of anybody.

    starts_at and changed_at are aware; `minutes` is how long it is drawn; `version` counts from 1.
    """

    uid: str
    title: str
    place: str
    starts_at: dt.datetime
    minutes: int
    version: int
    changed_at: dt.datetime
    is_cancelled: bool


def written(name: str, entries: Sequence[Entry]) -> bytes:
    """The whole calendar in UTF-8: CRLF, lines folded at 75 octets."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", printable(name))
    calendar.add("refresh-interval", REFRESH_EVERY, {"value": "DURATION"})
    for entry in sorted(entries, key=lambda one: (one.starts_at, one.uid)):
        calendar.add_component(_event(entry))
    return bytes(calendar.to_ical())


def printable(text: str) -> str:
    """Without the control characters that a TEXT may not hold (RFC 5545, 3.3.11), and of a bounded length."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())[:MOST_TEXT]


def _event(entry: Entry) -> Event:
    event = Event()
    event.add("uid", entry.uid)
    event.add("dtstamp", entry.changed_at)
    event.add("last-modified", entry.changed_at)
    event.add("sequence", entry.version - 1)
    event.add("dtstart", entry.starts_at.astimezone(dt.UTC))
    event.add("duration", dt.timedelta(minutes=entry.minutes))
    event.add("summary", printable(entry.title))
    event.add("location", printable(entry.place))
    event.add("status", "CANCELLED" if entry.is_cancelled else "CONFIRMED")
    event.add("transp", "TRANSPARENT" if entry.is_cancelled else "OPAQUE")
    return event
