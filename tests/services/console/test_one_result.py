"""A result set by set: aim, forecast and what came are those that the interface answers."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from programming.calc.document import parse_revision
from scoring.names import Names
from services.console.charts import drawn
from services.console.set_by_set import Panel, Told, lines_of
from services.console.set_chart import MOST_STRIPS, set_chart
from tests.services.console.browse import Seen, browser, looked_at, page
from tests.services.console.conftest import reported, result_of, send
from tests.services.console.pictures import marks, stands_alone, words
from tests.support.api import ApiClient
from tests.support.world import SESSION, World, add_athlete, drain, url

AGAIN = ("performed_at", "set_log")
NO_SCORE: dict[str, Any] = {"aim": [], "value": None, "unit": None, "elapsed_s": None}
LATER = {"kind": "later_sets", "work": "a", "lower": 5, "upper": None}


def told(**fields: Any) -> Told:
    """Of rows to be done set by set, with an aim on the first set, the later ones, and the time."""
    (block,) = SESSION["blocks"]
    conditions = [*block["aim"]["conditions"], LATER]
    document = {**SESSION, "blocks": [{**block, "aim": {"conditions": conditions}}]}
    usual: dict[str, Any] = {
        "block": parse_revision(document).blocks[0],
        "names": Names(works={"a": "Row", "b": "Squat"}, units={"a": "repetitions", "b": "repetitions"}),
        "plan": [],
        "expected": None,
        "forecast": None,
        "sets": [],
        "score": NO_SCORE,
        "effort": None,
    }
    return Told(**{**usual, **fields})


def spread(low: float, high: float) -> dict[str, float]:
    return {"p10": low, "p90": high}


FORECAST = {
    "work": [
        {"work": "a", "smallest_later": spread(2.0, 6.0), "largest_later": spread(5.0, 8.0)},
        {"work": "b", "smallest_later": None, "largest_later": None},
    ]
}
PLAN = [{"work": "a", "repetitions": amount} for amount in (10, 7, 6)]


def panel(panels: list[Panel], title: str) -> Panel:
    (found,) = (one for one in panels if one.title == title)
    return found


def test_each_set_has_its_plan_and_later_ones_the_window_and_the_spread() -> None:
    """The first set is held against what is possible in one go, which stands by itself."""
    sets = [{"work": "a", "repetitions": 12}, {"work": "b", "repetitions": 20}]
    expected = {"first_set": {"a": {"p10": 14, "p50": 16, "p90": 18}}, "score": {}, "elapsed_s": None}
    found = told(plan=PLAN, forecast=FORECAST, expected=expected, sets=sets).panels()
    rows = panel(found, "Row").strips
    assert [(one.label, one.window, one.foretold, one.planned, one.came) for one in rows] == [
        ("In one go, rested", (12.0, 22.0), (14, 16, 18), None, None),
        ("Set 1", None, None, 10.0, 12.0),
        ("Set 2", (5.0, None), (2.0, None, 8.0), 7.0, None),
        ("Set 3", (5.0, None), (2.0, None, 8.0), 6.0, None),
    ]
    squats = panel(found, "Squat").strips
    assert [(one.label, one.foretold, one.came) for one in squats] == [
        ("In one go, rested", None, None),
        ("Set 1", None, 20.0),
    ]
    assert panel(found, "The time").strips[0].aim == "4:00 to 25:00"


def test_the_picture_has_a_mark_for_each_of_them() -> None:
    """Windows as fields, plans as diamonds, what came as dots; each with its value in words."""
    outcome = {"index": 0, "state": "missed", "low": 13.0, "high": None, "cause": None}
    sets = [{"work": "a", "repetitions": 13}]
    score = {**NO_SCORE, "aim": [outcome]}
    found = told(plan=PLAN, forecast=FORECAST, sets=sets, score=score).panels()
    for narrow in (False, True):
        svg = drawn(set_chart(found, narrow=narrow))
        stands_alone(svg)
        counted = marks(svg)
        fields = sum(strip.window is not None for one in found for strip in one.strips)
        assert fields == 5  # in one go and the two later sets of rows, squats in one go, the time
        assert (
            counted["rect"] == fields + 2 * 2
        )  # beside them the bars at both ends of the later sets' spread
        assert counted["symbol"] == 4  # three diamonds, one dot
        said = words(svg)
        for word in ("10 planned", "7 planned", "6 planned", "13", "at least 13", "aim at least 5", "Row"):
            assert word in said, word
    (line,) = [one for one in lines_of(found) if one.panel == "Row, repetitions" and one.label[:2] == "In"]
    assert (line.shows, line.state) == ("at least 13", "✗ missed")


def test_a_long_session_is_drawn_in_part_and_told_in_whole() -> None:
    """So that the picture stays one; the table has every set."""
    sets = [{"work": "a", "repetitions": 2}] * 60
    found = told(sets=sets).panels()
    svg = drawn(set_chart([panel(found, "Row")], narrow=False))
    assert marks(svg)["symbol"] == MOST_STRIPS - 1
    assert len([one for one in lines_of(found) if one.panel == "Row, repetitions"]) == 61


def seen(world: World, attempt: str) -> Seen:
    answer = browser(world.cast.coach).get(page(world.cast, f"results/{attempt}"))
    assert answer.status_code == 200
    return looked_at(answer)


@pytest.mark.django_db
def test_the_page_says_what_the_interface_says(prescribed: World) -> None:
    """Every planned and every done amount, the forecast's levels, the aim, and what the next version changes."""
    sent = send(prescribed, result_of(prescribed, "Bruna Keel", effort=7))
    coach = ApiClient(prescribed.cast.coach.token)
    attempt = coach.get(url(prescribed, f"attempts/{sent['id']}")).json()
    content = coach.get(url(prescribed, f"prescriptions/{attempt['prescription']}")).json()["content"]
    shown = seen(prescribed, sent["id"])
    first = content["expected"]["first_set"]["a"]
    row = "Suspension row, repetitions In one go, rested 12 to 22"
    assert f"{row} {first['p50']} ({first['p10']} to {first['p90']}) – – 30 to 42 ✗ missed" in shown.text
    planned = [one["repetitions"] for one in content["plan"] if one["work"] == "a"]
    assert len(planned) > 2
    for place, amount in enumerate(planned):
        assert f"Set {place + 1} – – {amount} {30 if place < 2 else '–'} – –" in shown.text.replace(
            f"– {spread_of(prescribed, attempt)}", "– –"
        )
    score = content["expected"]["score"]
    middle = f"{int(score['p50']) // 60}:{int(score['p50']) % 60:02d}"
    assert f"In all 4:00 to 25:00 {middle} (" in shown.text and "– 11:20 – ✓ met" in shown.text
    for one in attempt["score"]["aim"]:
        assert (one["sentence"] or "") in shown.text and one.get("next", "") in shown.text
    assert "Effort: 7 of 10" in shown.text
    session = looked_at(
        browser(prescribed.cast.coach).get(page(prescribed.cast, f"sessions/{prescribed.session.id}"))
    )
    assert page(prescribed.cast, f"results/{sent['id']}") in session.links
    (picture,) = [link for link in shown.links if "chart.svg" in link]
    answer = browser(prescribed.cast.coach).get(picture)
    assert answer.headers["Content-Type"] == "image/svg+xml"
    assert f"{planned[0]} planned" in words(answer.content.decode())
    unknown = page(prescribed.cast, f"results/{sent['id']}/chart.svg?block=other")
    assert browser(prescribed.cast.coach).get(unknown).status_code == 404


def spread_of(world: World, attempt: dict[str, Any]) -> str:
    """Of later sets of rows, as the prescription's forecast has it."""
    path = url(world, f"prescriptions/{attempt['prescription']}")
    forecast = ApiClient(world.cast.coach.token).get(path).json()["forecast"]
    one = next(row for row in forecast["work"] if row["work"] == "a")
    return f"{one['smallest_later']['p10']:g} to {one['largest_later']['p90']:g}"


@pytest.mark.django_db
def test_totals_tell_no_sets_and_an_earlier_version_leads_to_the_later(prescribed: World) -> None:
    """What was planned stands there without what came; the corrected version has the score."""
    when = timezone.now() - dt.timedelta(minutes=5)
    totals = {
        "elapsed_s": 600.0,
        "breaks": 3,
        "work": [{"work": "a", "repetitions": 60}, {"work": "b", "repetitions": 80}],
    }
    body = {
        "session": str(prescribed.session.id),
        "athlete": str(prescribed.athletes["Bruna Keel"].id),
        "performed_at": when.isoformat(),
        "totals": totals,
    }
    first = send(prescribed, body)
    shown = seen(prescribed, first["id"])
    assert "In all 4:00 to 25:00" in shown.text and "– 11:00 –" in shown.text
    coach = ApiClient(prescribed.cast.coach.token)
    path = url(prescribed, f"attempts/{first['id']}/corrections")
    body = {name: value for name, value in result_of(prescribed, "Bruna Keel").items() if name in AGAIN}
    corrected = coach.post(path, {"reason": "Sets were on paper.", **body})
    assert corrected.status_code == 201, corrected.content
    later = page(prescribed.cast, f"results/{corrected.json()['id']}")
    assert "being scored" in looked_at(browser(prescribed.cast.coach).get(later)).text
    drain(prescribed.cast)
    shown = seen(prescribed, first["id"])
    assert "A version that was corrected has no score." in shown.text
    assert later in shown.links


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("Nova Birk", "Nothing was prescribed for Nova Birk when this was done"),
        ("Otis Marsh", "No version was found for Otis Marsh before this was done"),
        ("Idris Vane", "Idris Vane was on hold when this was done"),
        ("Bruna Keel", ""),
    ],
)
def test_why_there_is_no_forecast_is_said(prescribed: World, name: str, said: str) -> None:
    """Of somebody entered a moment ago, of whom nothing is known, and who reported strong pain; what came stands
    there all the same.
    """
    if name == "Idris Vane":
        reported(prescribed, name, kind="pain", site="knee", side="left", severity=9)
        drain(prescribed.cast)
    add_athlete(prescribed, "Nova Birk", 70.0)
    sent = send(prescribed, result_of(prescribed, name, performed_at=timezone.now().isoformat()))
    text = seen(prescribed, sent["id"]).text
    assert ("so there is no forecast and no plan" in text) is bool(said)
    assert said in text
    if said:
        assert "Set 1 – – – 30 – –" in text


@pytest.mark.django_db
def test_it_costs_the_same_for_four_sets_and_for_thirty(prescribed: World) -> None:
    found = []
    for name, pairs in (("Bruna Keel", 1), ("Idris Vane", 15)):
        body = result_of(prescribed, name)
        first, later = body["set_log"]["sets"][:2], body["set_log"]["sets"][2:]
        body["set_log"]["sets"] = first + [
            {**one, "repetitions": one["repetitions"] // pairs + (one["work"] == "b" and place == 0) * 10}
            if pairs > 1
            else one
            for place in range(pairs)
            for one in later
        ]
        sent = send(prescribed, body)
        client = browser(prescribed.cast.coach)
        client.get("/")
        with CaptureQueriesContext(connection) as queries:
            answer = client.get(page(prescribed.cast, f"results/{sent['id']}"))
        assert answer.status_code == 200 and answer.content.decode().count("✗ missed") > 1
        found.append(len(queries))
    assert found[0] == found[1], found
