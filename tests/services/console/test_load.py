"""An athlete's load: picture, weeks and days say what the interface says, and nothing of what is not known."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any
from xml.etree import ElementTree

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.models import Athlete
from services.console.charts import NARROW, WIDE, drawn
from services.console.load_chart import Day, load_chart
from services.console.words import days_said, short_day
from services.tenancy.actor import Role
from tests.services.console.browse import Seen, browser, looked_at, page
from tests.services.console.conftest import result_of, send
from tests.services.console.load_support import day_of, weeks
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, url

SVG = "{http://www.w3.org/2000/svg}"
FIRST = dt.date(2026, 10, 1)


@pytest.fixture
def noor(world: World) -> Athlete:
    return add_athlete(world, "Noor Castell")


def path_of(world: World, athlete: Athlete, rest: str = "") -> str:
    return page(world.cast, f"athletes/{athlete.id}/load{rest}")


def seen(world: World, athlete: Athlete, query: dict[str, Any] | None = None, status: int = 200) -> Seen:
    answer = browser(world.cast.coach).get(path_of(world, athlete), query or {})
    assert answer.status_code == status
    return looked_at(answer)


def summary(world: World, athlete: Athlete, on: dt.date) -> dict[str, Any]:
    path = url(world, f"athletes/{athlete.id}/load-summary")
    told: dict[str, Any] = ApiClient(world.cast.coach.token).get(path, query={"on": on.isoformat()}).json()
    return told


def number(figure: dict[str, Any], digits: int = 0) -> str:
    return f"{figure['value']:.{digits}f}"


@pytest.mark.django_db
@pytest.mark.parametrize("means", ["plain", "weighted"])
def test_every_number_is_the_interface_s(world: World, noor: Athlete, means: str) -> None:
    """Weeks as the summary of their last day tells them, days with both means as the summary of the day does."""
    weeks(world, noor, 60)
    text = seen(world, noor, {"means": means}).text
    for week in range(8):
        end = day_of(noor, 1 + 7 * week)
        told = summary(world, noor, end)["week"]
        span = days_said(end - dt.timedelta(days=6), end)
        numbers = f"{number(told['monotony'], 2)} {number(told['strain_au'])}"
        line = rf"{span} 7 of 7 {number(told['load_au'])} .{{1,50}} {numbers} \d+ "
        assert re.search(line, text), line
        assert f"({told['basis']} loads, divisor {7 - told['ddof']})" in text
    path = url(world, f"athletes/{noor.id}/load-days")
    items = ApiClient(world.cast.coach.token).get(path, query={"limit": "60"}).json()["items"]
    names = ("acute", "chronic") if means == "plain" else ("weighted_acute", "weighted_chronic")
    for days in range(1, 57, 5):
        day = day_of(noor, days)
        found = next(one for one in items if one["local_date"] == day.isoformat())
        told = summary(world, noor, day)["means"]
        both = " ".join("–" if told[name]["value"] is None else number(told[name]) for name in names)
        rest = found["state"] == "rest"
        state, minutes = ("rest, confirmed", "–") if rest else ("reported", f"{found['minutes']:.0f}")
        assert f"{short_day(day)} {state} {found['load_au']:.0f} {minutes} {both}" in text


@pytest.mark.django_db
def test_what_is_not_reported_is_neither_rest_nor_nothing(world: World, noor: Athlete) -> None:
    """The day says so; its week tells what was reported, of how many days, and why there is no monotony."""
    weeks(world, noor, 31, 2, silent=[4])
    told = seen(world, noor)
    for silent in (1, 4):  # after the last report, and in between
        assert f"{short_day(day_of(noor, silent))} nothing reported – – " in told.text
    week = summary(world, noor, day_of(noor, 1))["week"]
    assert week["reported_days"] == 5 and week["monotony"]["value"] is None
    assert f"5 of 7 {week['reported_load_au']:.0f} reported – (not every day is reported)" in told.text
    assert "fewer than 7 days since the first known one" in told.text  # of the oldest week
    assert "no estimate of any risk" in told.text


@pytest.mark.django_db
def test_minutes_that_nobody_sent_are_not_none(prescribed: World) -> None:
    """A result without effort and minutes: a dash, not 0; and what a load takes."""
    athlete = prescribed.athletes["Bruna Keel"]
    send(prescribed, result_of(prescribed, "Bruna Keel"))
    today = day_of(athlete, 0)
    told = seen(prescribed, athlete, {"to_date": str(today)}).text
    assert f"{short_day(today)} a session without effort or minutes – – – –" in told
    assert f"In the seven days up to {short_day(today)} no load is known" in told
    assert "No day is known yet." in told


@pytest.mark.django_db
def test_a_line_that_cannot_be_drawn_is_explained(world: World, noor: Athlete) -> None:
    """One silent day a week leaves no plain mean; the weighted ones leave such days out."""
    weeks(world, noor, 50, silent=range(2, 50, 6))
    assert "No line is drawn" in seen(world, noor).text
    assert "No line is drawn" not in seen(world, noor, {"means": "weighted"}).text


@pytest.mark.django_db
def test_the_picture_is_of_the_days_that_are_shown(world: World, noor: Athlete) -> None:
    """By its own address, for a desk and for a telephone; 404 without anything to show."""
    client = browser(world.cast.coach)
    assert client.get(path_of(world, noor, "/chart.svg")).status_code == 404
    assert "Nothing is reported between" in seen(world, noor).text
    weeks(world, noor, 20)
    asked = {"from_date": str(day_of(noor, 9)), "to_date": str(day_of(noor, 2))}
    shown = seen(world, noor, asked)
    (chart,) = (link for link in shown.links if "chart.svg" in link)
    wide, narrow = client.get(chart), client.get(chart + "&narrow=1")
    assert wide.headers["Content-Type"] == narrow.headers["Content-Type"] == "image/svg+xml"
    assert marks(wide.content.decode())["rect"] == 8 and wide.content != narrow.content
    assert short_day(day_of(noor, 10)) not in shown.text.split("What the picture shows")[1]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("query", "complaint"),
    [
        ({"from_date": "yesterday"}, "Enter a valid date."),
        ({"from_date": "2026-03-02", "to_date": "2026-03-01"}, "This day lies after the last one."),
        ({"from_date": "2020-03-02", "to_date": "2026-03-01"}, "At most 371 days are shown at once."),
        ({"to_date": "2199-03-01"}, "Nothing is known of a day to come"),
        ({"from_date": "0001-01-01", "to_date": "0001-01-09"}, "Nothing is kept of days before 2000."),
        ({"means": "seasonal"}, "Select a valid choice."),
    ],
)
def test_what_cannot_be_meant_is_said_beside_the_field(
    world: World, noor: Athlete, query: dict[str, str], complaint: str
) -> None:
    """400; what was typed stands there, and the usual weeks below."""
    weeks(world, noor, 10)
    answer = browser(world.cast.coach).get(path_of(world, noor), query)
    assert answer.status_code == 400
    assert complaint in looked_at(answer).text
    assert f"up to {short_day(day_of(noor, 1))}" in looked_at(answer).text
    if "means" not in query:
        assert f'value="{next(iter(query.values()))}"' in answer.content.decode()
    assert browser(world.cast.coach).get(path_of(world, noor, "/chart.svg"), query).status_code == 404


@pytest.mark.django_db
def test_a_year_costs_as_many_queries_as_a_week(world: World, noor: Athlete) -> None:
    found = []
    client = browser(world.cast.coach)
    client.get("/")
    weeks(world, noor, 7)
    for days in (7, 364):
        if days == 364:
            weeks(world, noor, 80, 8)
        query = {"from_date": str(day_of(noor, days)), "to_date": str(day_of(noor, 1))}
        with CaptureQueriesContext(connection) as queries:
            assert client.get(path_of(world, noor), query).status_code == 200
        found.append(len(queries))
    assert found[0] == found[1], found


@pytest.mark.django_db
def test_the_athlete_s_page_leads_there(world: World, noor: Athlete) -> None:
    """Staff of a location read load, and not what somebody answered of how they are."""
    for role, wellness in ((Role.COACH, True), (Role.LOCATION_STAFF, False)):
        client = browser(world.cast.members[role])
        overview = looked_at(client.get(page(world.cast, f"athletes/{noor.id}")))
        there = looked_at(client.get(path_of(world, noor)))
        assert path_of(world, noor) in overview.links
        for one in (overview, there):
            assert (page(world.cast, f"athletes/{noor.id}/wellness") in one.links) is wellness


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        ((2026, 11, 23), (2026, 11, 29), "23 to 29 Nov 2026"),
        ((2026, 11, 30), (2026, 12, 6), "30 Nov to 6 Dec 2026"),
        ((2026, 12, 28), (2027, 1, 3), "28 Dec 2026 to 3 Jan 2027"),
        ((2026, 1, 5), (2027, 1, 3), "5 Jan 2026 to 3 Jan 2027"),
    ],
)
def test_days_are_said_without_repeating_themselves(
    first: tuple[int, int, int], last: tuple[int, int, int], said: str
) -> None:
    assert days_said(dt.date(*first), dt.date(*last)) == said


def marks(svg: str) -> dict[str, int]:
    """How many of each shape are drawn, without axes."""
    found: dict[str, int] = {}
    for group in ElementTree.fromstring(svg).iter(f"{SVG}g"):
        if named := re.match(r"mark-(\w+) role-mark", group.get("class", "")):
            found[named[1]] = found.get(named[1], 0) + len(list(group))
    return found


def days(count: int, gap: int = -1) -> list[Day]:
    """Bars that grow; on day `gap` nothing was reported, and the means are not told for a day."""
    return [
        Day(FIRST + dt.timedelta(days=n), "unreported", None, None, None)
        if n == gap
        else Day(FIRST + dt.timedelta(days=n), "reported", 100.0 + n, 90.0 + n, 80.0)
        for n in range(count)
    ]


def test_a_gap_is_no_bar_and_no_line_goes_over_it() -> None:
    """One bar less, a mark more, and each mean in two pieces."""
    whole, broken = (marks(drawn(load_chart(days(20, gap), WIDE))) for gap in (-1, 9))
    assert (whole["rect"], whole["line"], whole.get("symbol", 0)) == (20, 2, 0)
    assert (broken["rect"], broken["line"], broken["symbol"]) == (19, 4, 1)


def test_rest_and_silence_have_marks_of_their_own() -> None:
    """A ring, a rhombus, a cross: three shapes, told apart without colour."""
    told = [
        Day(FIRST, "rest", 0.0, None, None),
        *(
            Day(FIRST + dt.timedelta(days=n), state, None, None, None)
            for n, state in enumerate(("incomplete", "unreported"), 1)
        ),
    ]
    root = ElementTree.fromstring(drawn(load_chart(told, WIDE)))
    shapes = {
        re.sub(r"[\d.,\- ]", "", path.get("d", ""))
        for group in root.iter(f"{SVG}g")
        if "mark-symbol role-mark" in group.get("class", "")
        for path in group
    }
    assert len(shapes) == 3


def test_labels_stand_apart_and_name_the_newest_mean() -> None:
    """Where both means are alike, neither label is written over the other."""
    same = [Day(FIRST + dt.timedelta(days=n), "reported", 100.0, 100.0, 100.0) for n in range(9)]
    root = ElementTree.fromstring(drawn(load_chart(same, NARROW)))
    at = {
        text.text: float(re.findall(r"[\d.]+", text.get("transform", ""))[1])
        for text in root.iter(f"{SVG}text")
        if text.text and "days:" in text.text
    }
    assert set(at) == {"7 days: 100", "28 days: 100"}
    assert abs(at["7 days: 100"] - at["28 days: 100"]) >= 10


def test_ink_and_grey_alone() -> None:
    """So that it prints; no script, nothing from elsewhere."""
    svg = drawn(load_chart(days(9, 4), WIDE))
    assert not re.search(r"<script|<style|<image|<foreignObject|url\(http", svg)
    for found in re.findall(r'"#([0-9a-f]{6})"', svg):
        levels = [int(found[at : at + 2], 16) for at in (0, 2, 4)]
        assert max(levels) - min(levels) < 16, found


@pytest.mark.django_db
def test_the_oldest_day_of_all_is_shown(world: World, noor: Athlete) -> None:
    """Its week begins before anything is kept."""
    for path in ("load", "load/chart.svg"):
        asked = {"from_date": "2000-01-01", "to_date": "2000-01-01"}
        got = browser(world.cast.coach).get(page(world.cast, f"athletes/{noor.id}/{path}"), asked)
        assert got.status_code in (200, 404), path
