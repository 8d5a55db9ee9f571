"""The calendar as a second parser reads it (vobject, which shares no code with the library that writes it).

Clock changes by the rule of the European Union (Directive 2000/84/EC): on the last Sunday of October at 01:00 UTC the
clocks of Oslo go from UTC+2 to UTC+1, in 2026 on the 25th.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any
from zoneinfo import ZoneInfo

import vobject
from hypothesis import given
from hypothesis import strategies as st

from services.exchange.calendar import Entry, written

OSLO = ZoneInfo("Europe/Oslo")
PLAIN = Entry(
    uid="session-1",
    title="Rowing, turn about",
    place="Harbour",
    starts_at=dt.datetime(2026, 10, 24, 16, 0, tzinfo=dt.UTC),
    minutes=60,
    version=1,
    changed_at=dt.datetime(2026, 10, 1, 8, 30, tzinfo=dt.UTC),
    is_cancelled=False,
)


def read(body: bytes) -> list[Any]:
    """The events as the second parser has them."""
    return list(vobject.readOne(body.decode()).contents.get("vevent", []))


def starting(*instants: tuple[int, int, int, int]) -> list[Entry]:
    return [
        replace(PLAIN, uid=f"session-{n}", starts_at=dt.datetime(2026, *one, tzinfo=dt.UTC))
        for n, one in enumerate(instants, start=1)
    ]


def test_times_on_the_wall_stay_across_the_clock_change() -> None:
    """18:00 in Oslo on three days: 16:00 UTC before the night of 25 October, 17:00 UTC after it."""
    body = written("Mine", starting((10, 24, 16, 0), (10, 25, 17, 0), (10, 26, 17, 0)))
    for event, (day, utc_hour) in zip(read(body), ((24, 16), (25, 17), (26, 17)), strict=True):
        begins = event.dtstart.value.astimezone(OSLO)
        assert (begins.day, begins.hour, begins.minute) == (day, 18, 0)
        assert begins.astimezone(dt.UTC) == dt.datetime(2026, 10, day, utc_hour, tzinfo=dt.UTC)


def test_the_hour_that_comes_twice_is_told_apart() -> None:
    """02:30 by the clock of Oslo is 00:30 UTC, and once more 01:30 UTC; an hour between them is an hour."""
    first, second = read(written("Mine", starting((10, 25, 0, 30), (10, 25, 1, 30))))
    for event, hour in ((first, 0), (second, 1)):
        assert event.dtstart.value.astimezone(dt.UTC) == dt.datetime(2026, 10, 25, hour, 30, tzinfo=dt.UTC)
        assert event.duration.value == dt.timedelta(minutes=60)


def test_an_instant_is_kept_to_the_end_of_the_calendar() -> None:
    """Also beyond the 32 bits of older clocks, and whatever offset it was stored with."""
    for year in (2001, 2026, 2055, 2099):
        instant = dt.datetime(year, 7, 15, 4, 10, tzinfo=dt.timezone(dt.timedelta(hours=5, minutes=45)))
        (event,) = read(written("Mine", [replace(PLAIN, starts_at=instant)]))
        assert event.dtstart.value == instant


def test_what_is_called_off_stays_as_cancelled() -> None:
    (event,) = read(written("Mine", [replace(PLAIN, version=4, is_cancelled=True)]))
    assert event.status.value == "CANCELLED"
    assert event.sequence.value == "3"
    assert event.uid.value == "session-1"
    assert event.dtstamp.value == PLAIN.changed_at


def test_lines_are_folded_by_octets() -> None:
    """75 octets at most (RFC 5545, 3.1), CRLF at every end, no letter torn apart; unfolded it is the title again."""
    title = "Økt ved fjorden — åpent vann, tung motbakke, ø" * 6
    body = written("Mine", [replace(PLAIN, title=title)])
    lines = body.split(b"\r\n")
    assert lines[-1] == b"" and b"\n" not in body.replace(b"\r\n", b"")
    assert max(len(line) for line in lines) <= 75
    assert any(len(line) > 70 for line in lines)
    for line in lines:
        line.decode()
    assert read(body)[0].summary.value == title


def test_a_title_cannot_become_a_property() -> None:
    title = "Row; hard, \\ then\r\nEND:VEVENT\nBEGIN:VEVENT\r\nSUMMARY:Other\x07\x00"
    (event,) = read(written("Mine", [replace(PLAIN, title=title)]))
    assert event.summary.value == "Row; hard, \\ then END:VEVENT BEGIN:VEVENT SUMMARY:Other"


@given(st.text(max_size=120), st.text(max_size=120))
def test_any_text_comes_through(title: str, place: str) -> None:
    """Whatever people write, one event, with what is printable of it."""
    (event,) = read(written("Mine", [replace(PLAIN, title=title, place=place)]))
    for told, wrote in ((event.summary.value, title), (event.location.value, place)):
        assert told.split() == "".join(c if c.isprintable() else " " for c in wrote).split()


def test_the_same_entries_are_the_same_bytes_in_any_order() -> None:
    entries = starting((10, 24, 16, 0), (10, 25, 17, 0), (10, 26, 17, 0))
    assert written("Mine", entries) == written("Mine", entries[::-1])
    assert written("Mine", entries) != written("Mine", [*entries[:2], replace(entries[2], version=2)])


def test_an_empty_calendar_is_one() -> None:
    assert read(written("Mine", [])) == []
