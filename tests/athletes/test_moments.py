"""The hour of a day by the clock on the wall: across zones, midnight and the night in which it is set."""

import datetime as dt

import pytest

from athletes.moments import Moment, hours_into, moment_of, next_full_hour

LISBON = "Europe/Lisbon"


def at(text: str) -> dt.datetime:
    return dt.datetime.fromisoformat(text)


@pytest.mark.parametrize(
    ("instant", "zone", "day", "hour"),
    [
        ("2030-03-20T18:15:00+00:00", LISBON, "2030-03-20", 18.25),
        ("2030-07-20T18:15:00+00:00", LISBON, "2030-07-20", 19.25),  # summer time
        ("2030-03-20T23:30:00+00:00", "Asia/Tokyo", "2030-03-21", 8.5),
        ("2030-03-20T00:00:00+00:00", LISBON, "2030-03-20", 0.0),
        ("2030-03-20T23:59:59.999999+00:00", LISBON, "2030-03-20", 24.0),  # finer than a row keeps
    ],
)
def test_moment(instant: str, zone: str, day: str, hour: float) -> None:
    """The local day, and its hour in 0 to 24."""
    assert moment_of(at(instant), zone) == Moment(dt.date.fromisoformat(day), hour)


@pytest.mark.parametrize(("clock", "hour"), [("14:00:00", 14.0), ("14:00:01", 15.0), ("23:40:00", 24.0)])
def test_the_next_full_hour(clock: str, hour: float) -> None:
    """A full hour is itself; the last one is the day's end."""
    told = next_full_hour(at(f"2030-03-20T{clock}+00:00"), "UTC")
    assert told == Moment(dt.date(2030, 3, 20), hour)


def test_an_instant_of_another_day() -> None:
    """A session of the 20th that starts at one in the morning of the 21st where the athlete is."""
    day = dt.date(2030, 3, 20)
    assert hours_into(day, at("2030-03-20T16:00:00+00:00"), "Asia/Tokyo") == 25.0
    assert hours_into(day, at("2030-03-20T02:00:00+00:00"), "America/New_York") == -2.0


def test_the_night_in_which_the_clock_is_set() -> None:
    """On 31 March 2030 the clock goes from one to two: 3:00 is three hours by the clock, two by the sun."""
    assert hours_into(dt.date(2030, 3, 31), at("2030-03-31T02:00:00+00:00"), LISBON) == 3.0
