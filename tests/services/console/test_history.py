"""The picture of a capacity: what the interface answers, drawn by ourselves, with its table."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any
from xml.etree import ElementTree

import pytest

from services.console.charts import Sight, drawn, history_chart
from services.console.words import short_day
from tests.services.console.browse import browser, looked_at, page
from tests.support.api import ApiClient
from tests.support.world import World, url

SVG = "{http://www.w3.org/2000/svg}"
DAY = dt.date(2026, 10, 1)


def sights(count: int) -> list[Sight]:
    return [Sight(DAY + 7 * n * dt.timedelta(days=1), 50.0 + n, 45.0 + n, 56.0 + n) for n in range(count)]


def chart(count: int) -> str:
    return drawn(history_chart(sights(count), unit="kg", what="Load for ten repetitions"))


def test_every_day_is_a_point_in_a_band_and_the_last_is_labelled() -> None:
    """Points, one interval a day, one band, one line; the label has the numbers of the last day."""
    root = ElementTree.fromstring(chart(5))
    marks = dict.fromkeys(("symbol", "rule", "area", "line"), 0)
    for group in root.iter(f"{SVG}g"):
        name = re.match(r"mark-(\w+) role-mark", group.get("class", ""))
        if name and name[1] in marks:
            marks[name[1]] += len(list(group))
    assert marks == {"symbol": 5, "rule": 5, "area": 1, "line": 1}
    words = [text.text for text in root.iter(f"{SVG}text")]
    assert "54 kg (49 to 60)" in words
    assert "Load for ten repetitions, kg" in words


def test_it_stands_alone() -> None:
    """No script, no style sheet, nothing from elsewhere; ink and grey alone, so that it prints."""
    svg = chart(3)
    assert not re.search(r"<script|<style|<image|<foreignObject|xlink:href|url\(http", svg)
    assert set(re.findall(r'https?://[^"]+', svg)) <= {
        "http://www.w3.org/2000/svg",
        "http://www.w3.org/1999/xlink",
    }
    for red, green, blue in re.findall(r'"#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})"', svg):
        assert (
            max(int(red, 16), int(green, 16), int(blue, 16))
            - min(int(red, 16), int(green, 16), int(blue, 16))
            < 16
        )


def test_one_day_is_drawn_with_its_interval() -> None:
    """There is no line of one point, but an interval there is."""
    root = ElementTree.fromstring(chart(1))
    assert "50 kg (45 to 56)" in [text.text for text in root.iter(f"{SVG}text")]
    assert any("mark-rule role-mark" in group.get("class", "") for group in root.iter(f"{SVG}g"))


def history(world: World, name: str, movement: str) -> tuple[str, dict[str, Any]]:
    """The movement's id, and the interface's answer."""
    coach = ApiClient(world.cast.coach.token)
    key = coach.get(url(world, f"movements?key={movement}")).json()["items"][0]["id"]
    path = f"athletes/{world.athletes[name].id}/capacities/{key}/history"
    return key, coach.get(url(world, path)).json()


@pytest.mark.django_db
def test_picture_and_table_say_what_the_interface_says(prescribed: World) -> None:
    """All points in the table, the last in the picture, both ends in the words for whoever does not see it."""
    key, told = history(prescribed, "Bruna Keel", "squat")
    assert len(told["points"]) > 1
    athlete, client = prescribed.athletes["Bruna Keel"].id, browser(prescribed.cast.coach)
    seen = looked_at(client.get(page(prescribed.cast, f"athletes/{athlete}/movements/{key}")))
    for point in told["points"]:
        load, day = point["ten_repetition_kg"], dt.date.fromisoformat(point["local_date"])
        line = f"{short_day(day)} {load['median']:.1f} kg {load['lower']:.1f} to {load['upper']:.1f}"
        assert line in seen.text
    picture = page(prescribed.cast, f"athletes/{athlete}/movements/{key}/chart.svg")
    assert picture in seen.links
    answer = client.get(picture)
    assert answer.headers["Content-Type"] == "image/svg+xml"
    last = told["points"][-1]["ten_repetition_kg"]
    label = f"{last['median']:.0f} kg ({last['lower']:.0f} to {last['upper']:.0f})"
    assert label in answer.content.decode()
    overview = looked_at(client.get(page(prescribed.cast, f"athletes/{athlete}")))
    assert page(prescribed.cast, f"athletes/{athlete}/movements/{key}") in overview.links


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("movement", "reason"),
    [("bench_press", "Nothing was seen of it yet."), ("fan_bike", "with loads and repetitions alone")],
)
def test_without_a_history_it_says_why(prescribed: World, movement: str, reason: str) -> None:
    """And there is no picture of nothing."""
    key, told = history(prescribed, "Bruna Keel", movement)
    assert told["points"] == []
    path = page(prescribed.cast, f"athletes/{prescribed.athletes['Bruna Keel'].id}/movements/{key}")
    client = browser(prescribed.cast.coach)
    seen = looked_at(client.get(path))
    assert reason in seen.text
    assert not any("chart.svg" in link for link in seen.links)
    assert client.get(f"{path}/chart.svg").status_code == 404
