"""Progression on the pages: numbers of the interface in its own terms, one athlete by movement, a group in one."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any
from xml.etree import ElementTree

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.actions.assessments import Performance, record_assessment
from athletes.calc.carry import INTERVAL_GROWN
from athletes.calc.predict import BEYOND_CURVE
from athletes.models import Athlete
from athletes.performed import Settings
from programming.models import Variation
from services.console.progress_words import due_said, why
from services.console.progress_words import signed as signed_said
from services.console.words import percent, short_day
from services.tenancy.actor import Role
from tests.services.console.browse import Seen, browser, looked_at, page
from tests.services.console.load_support import day_of, group_of
from tests.services.console.test_load import SVG, marks
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, url

pytestmark = pytest.mark.django_db


def sets_to_failure(
    world: World, athlete: Athlete, key: str, told: list[tuple[int, int]], load: float | None = None
) -> None:
    """Sets to failure, each (days ago, repetitions)."""
    actor, now = world.cast.coach.actor, timezone.now()
    assert actor is not None
    with world.cast.inside():
        variation = Variation.objects.values_list("id", flat=True).get(key=key)
        for days, count in told:
            record_assessment(
                actor=actor,
                athlete=athlete,
                variation_id=variation,
                tested=Performance(
                    kind="to_failure",
                    repetitions=count,
                    performed_at=now - dt.timedelta(days=days),
                    settings=Settings(load_kg=load),
                ),
                now=now,
                confirmed=True,
            )


@pytest.fixture
def noor(world: World) -> Athlete:
    """Rows that went up for ten weeks; goblet squats that were seen once."""
    athlete = add_athlete(world, "Noor Castell", 68.0, {"goblet_squat": 24})
    sets_to_failure(world, athlete, "row_45", [(70, 14), (66, 14), (9, 24), (4, 24)])
    drain(world.cast)
    return athlete


def path_of(world: World, athlete: Athlete) -> str:
    return page(world.cast, f"athletes/{athlete.id}/progression")


def seen(world: World, path: str, status: int = 200, **query: Any) -> Seen:
    found = browser(world.cast.coach).get(path, query)
    assert found.status_code == status
    return looked_at(found)


def told(world: World, athlete: Athlete, **query: str) -> dict[str, dict[str, Any]]:
    """By movement what the interface answers."""
    path = url(world, f"athletes/{athlete.id}/progression")
    items = ApiClient(world.cast.coach.token).get(path, query=query).json()["movements"]
    return {one["movement_key"]: one for one in items}


def signed(value: float) -> str:
    return f"{value:+.1f}".replace("-", "−") if abs(value) >= 0.05 else "0.0"


def interval(one: dict[str, float], unit: str) -> str:
    return f"{signed(one['median'])} {unit} ({signed(one['lower'])} to {signed(one['upper'])})"


def test_a_change_stands_with_its_interval_and_how_sure_it_is(world: World, noor: Athlete) -> None:
    """Now, the change in repetitions and in percent, the three probabilities, what is worth a word, the error."""
    since = str(day_of(noor, 66))
    row = told(world, noor, since=since)["horizontal_row"]
    change, last = row["change"], row["points"][-1]["value"]
    text = seen(world, path_of(world, noor), since=since).text
    now = f"{last['median']:.0f} repetitions ({last['lower']:.0f} to {last['upper']:.0f})"
    chances = " ".join(percent(change[name]) for name in ("improved", "neither", "declined"))
    line = f"{now} {interval(change['amount'], 'repetitions')} {interval(change['percent'], '%')} {chances}"
    assert f"repetitions to failure {line}" in text
    assert f"Change since {short_day(day_of(noor, 66))}" in text
    assert f"{change['smallest_worthwhile_percent']:.1f} %, a fifth of how far people differ" in text
    apart = row["detectable"]
    assert f"{apart['change']:.1f} repetitions; one test errs by {apart['typical_error']:.1f}" in text


def test_bests_tests_due_and_days_are_told(world: World, noor: Athlete) -> None:
    """As the interface has them; the table has every day of the picture."""
    rows = told(world, noor)
    shown = seen(world, path_of(world, noor))
    best = rows["horizontal_row"]["bests"][0]
    assert best["done"]["amount"] == 24 and best["before"]["amount"] == 14
    assert re.search(r": 24 repetitions \w{3} \d+ \w{3} \d{4} 14 repetitions, ", shown.text)
    for row in rows.values():
        assert due(row) in shown.text
        for point in row["points"]:
            day, value = short_day(dt.date.fromisoformat(point["local_date"])), point["value"]
            spread = f"{value['lower']:.0f} to {value['upper']:.0f}"
            assert f"{day} {value['median']:.0f} repetitions {spread}" in shown.text
    assert (
        path_of(world, noor)
        in looked_at(browser(world.cast.staff).get(page(world.cast, f"athletes/{noor.id}"))).links
    )


def due(row: dict[str, Any]) -> str:
    if row["test_due_reason"] is None:
        return "Test not due"
    assert row["test_due_reason"] == "interval_grown"
    spread = row["spread"]
    return f"Test due: uncertain by {spread['percent']:.0f} %; from {spread['limit_percent']:.0f} % on"


def test_an_interval_that_is_too_wide_is_not_said_to_be_old() -> None:
    """It is wide after a set of yesterday too, where that set tells little."""
    assert due_said({"test_due_reason": INTERVAL_GROWN, "spread": None}) == "due: too uncertain by now"


def test_a_load_too_light_for_its_curve_is_said_in_words() -> None:
    assert why(BEYOND_CURVE) == "too light for them to tell how many repetitions"


@pytest.mark.parametrize(
    ("value", "digits", "said"), [(0.04, 1, "0.0"), (-0.04, 1, "0.0"), (-1.25, 1, "−1.2"), (3.0, 0, "+3")]
)
def test_nothing_has_no_sign(value: float, digits: int, said: str) -> None:
    assert signed_said(value, digits) == said


def test_the_picture_has_the_points_and_where_the_change_begins(world: World, noor: Athlete) -> None:
    since = str(day_of(noor, 40))
    row = told(world, noor, since=since)["horizontal_row"]
    shown = seen(world, path_of(world, noor), since=since)
    chart = next(one for one in shown.links if f"{row['movement']}/chart.svg" in one)
    svg = browser(world.cast.coach).get(chart).content.decode()
    found, points = marks(svg), len(row["points"])
    assert (found["symbol"], found["area"], found["rule"]) == (points, 1, points + 1)
    words = [text.text for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]
    assert f"{row['points'][-1]['value']['median']:.0f} repetitions" in words


@pytest.mark.parametrize(
    ("query", "complaint"),
    [
        ({"since": "spring"}, "Enter a valid date."),
        ({"since": "2199-01-01"}, "Must be a day before today."),
        ({"worthwhile_percent": "much"}, "Enter a number."),
        ({"worthwhile_percent": "0"}, "Ensure this value is greater than or equal to 0.1."),
    ],
)
def test_what_cannot_be_asked_is_said_beside_the_field(
    world: World, noor: Athlete, query: dict[str, str], complaint: str
) -> None:
    """400, and the usual twelve weeks below."""
    answer = browser(world.cast.coach).get(path_of(world, noor), query)
    assert answer.status_code == 400 and complaint in looked_at(answer).text
    assert f'value="{next(iter(query.values()))}"' in answer.content.decode()
    assert "repetitions to failure" in looked_at(answer).text


def test_what_is_worth_a_word_may_be_asked(world: World, noor: Athlete) -> None:
    row = told(world, noor, worthwhile_percent="40")["horizontal_row"]
    text = seen(world, path_of(world, noor), worthwhile_percent="40").text
    assert "40.0 %, as asked" in text
    assert f" {percent(row['change']['improved'])} {percent(row['change']['neither'])} " in text


def test_of_somebody_new_there_is_nothing_and_what_begins_it(world: World) -> None:
    text = seen(world, path_of(world, add_athlete(world, "Nova Birk"))).text
    assert "Nothing is known yet." in text


def group_path(world: World, *members: Athlete) -> str:
    return page(world.cast, f"groups/{group_of(world, *members)}/progression")


def test_who_of_a_group_changed_for_real(world: World, noor: Athlete) -> None:
    """Verdicts in words, single cases said to be such; asked for by movement."""
    new = add_athlete(world, "Otis Marsh")
    path = group_path(world, noor, new)
    assert "Choose a movement" in seen(world, path).text
    movement, since = told(world, noor)["horizontal_row"]["movement"], str(day_of(noor, 66))
    answer = (
        ApiClient(world.cast.coach.token)
        .get(f"/api/v1{path}", query={"movement": movement, "since": since})
        .json()
    )
    assert [one["verdict"] for one in answer["members"]] == ["improved", "unknown"]
    text = seen(world, path, movement=movement, since=since).text
    change = answer["members"][0]["change"]
    assert (
        f"Noor Castell repetitions to failure clearly better {interval(change['amount'], 'repetitions')}"
        in text
    )
    assert "Otis Marsh nothing seen – (nothing that tells of it was seen yet) – – – –" in text
    assert "Clearly better 1 athlete, a single case Nothing seen 1 athlete, a single case" in text


def test_a_group_tells_of_whom_the_reader_may_know(world: World, noor: Athlete) -> None:
    """Nothing of a movement that is none; nobody of another group; athletes do not open it."""
    path, movement = group_path(world), told(world, noor)["horizontal_row"]["movement"]
    assert "Nobody whom you see is in this group" in seen(world, path, movement=movement).text
    assert "Select a valid choice." in seen(world, path, 400, movement="rowing").text
    assert browser(world.cast.athlete).get(path).status_code == 403
    for role, there in ((Role.LOCATION_STAFF, True), (Role.ATHLETE, False)):
        listed = looked_at(browser(world.cast.members[role]).get(page(world.cast, "athletes")))
        assert (path in listed.links) is there


def test_thirty_members_cost_as_many_queries_as_three(world: World) -> None:
    client, found = browser(world.cast.coach), []
    client.get("/")
    members = [add_athlete(world, f"Somebody {number}", 70.0) for number in range(30)]
    for one in (members[0], members[5]):
        sets_to_failure(world, one, "row_45", [(30, 14), (4, 18)])
    drain(world.cast)
    movement = told(world, members[0])["horizontal_row"]["movement"]
    for few in (members[:3], members):
        path = group_path_of(world, few, len(found))
        with CaptureQueriesContext(connection) as queries:
            text = client.get(path, {"movement": movement}).content.decode()
        assert text.count("Somebody ") == len(few)
        found.append(len(queries))
    assert found[0] == found[1], found


def group_path_of(world: World, members: list[Athlete], number: int) -> str:
    return page(world.cast, f"groups/{group_of(world, *members, name=f'Lane {number}')}/progression")


def test_four_movements_cost_as_many_queries_as_one(world: World) -> None:
    client, found = browser(world.cast.coach), []
    client.get("/")
    athlete = add_athlete(world, "Bruna Keel", 62.0)
    for keys in (["row_45"], ["goblet_squat", "push_up_floor", "pull_up"]):
        for key in keys:
            sets_to_failure(world, athlete, key, [(30, 14), (4, 15)], 16.0 if key == "goblet_squat" else None)
        drain(world.cast)
        with CaptureQueriesContext(connection) as queries:
            assert client.get(path_of(world, athlete)).status_code == 200
        found.append(len(queries))
    assert found[0] == found[1], found
