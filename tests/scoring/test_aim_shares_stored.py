"""The share of what was available in the stored aim check: by what was known when the result was scored."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from scoring.actions.scores import score_attempts
from scoring.models import OfficialScore
from tests.scoring.known import NAME
from tests.scoring.sessions import block, document, place, work
from tests.scoring.several import a_set, send
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db

SHARE = {"kind": "share_of_available", "work": "r", "lower": 60, "upper": 80}
TIME = {"kind": "time", "lower": 60, "upper": 1800}
ROWS = work("r", "horizontal_row", "row_45", repetitions=36)


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, NAME, 62.0, {"row_45": 16})
    drain(world.cast)
    return world


def in_sets_of(size: int, count: int, rest_s: float) -> dict[str, Any]:
    """A log of equal sets."""
    sets = [
        a_set("r", "row_45", repetitions=size, rest_before_s=rest_s if number else 0.0)
        for number in range(count)
    ]
    return {"set_log": {"sets": sets, "elapsed_s": 60.0 * count + rest_s * (count - 1)}}


def aim_of(world: World, aim: list[dict[str, Any]], report: dict[str, Any], name: str = NAME) -> Any:
    """The stored outcome of the first condition."""
    session = place(world, document("Rows for a share", block("main", ROWS, aim=aim)), dt.timedelta(hours=-1))
    sent = send(world, session, name, **report)
    assert sent.status_code == 201, sent.json()
    drain(world.cast)
    with world.cast.inside():
        return OfficialScore.objects.get(session=session).aim[0]


def test_a_share_is_held_against_the_aim(world: World) -> None:
    """Twelve of about sixteen are inside 60 to 80 %; six of sixteen are less, and what is told is the mean."""
    inside = aim_of(world, [SHARE], in_sets_of(12, 3, 300.0))
    assert inside["state"] == "met", inside
    assert 60.0 <= inside["low"] == inside["high"] <= 85.0
    low = aim_of(world, [SHARE], in_sets_of(6, 6, 240.0))
    assert low["state"] == "missed" and low["missed_by"] < 0.0, low


def test_of_a_second_block_the_sets_of_that_block_are_taken(world: World) -> None:
    """Five sets of squats, of which nothing is known, come before: their places are not those of the rows."""
    squats = block("first", work("g", "squat", "goblet_squat", load_kg=12, repetitions=20), aim=[TIME])
    rows = block("second", work("r", "horizontal_row", "row_45", repetitions=36), aim=[SHARE])
    doc = document("Squats, then rows", squats, rows)
    session = place(world, doc, dt.timedelta(hours=-1))
    before = [a_set("g", "goblet_squat", repetitions=4, rest_before_s=60.0, load_kg=12) for _ in range(5)]
    told = in_sets_of(12, 3, 300.0)["set_log"]["sets"]
    blocks = [
        {"block": "first", "set_log": {"sets": before, "elapsed_s": 500.0}},
        {
            "block": "second",
            "set_log": {"sets": [{**told[0], "rest_before_s": 300.0}, *told[1:]], "elapsed_s": 1300.0},
        },
    ]
    sent = send(world, session, NAME, blocks=blocks)
    assert sent.status_code == 201, sent.json()
    drain(world.cast)
    alone = aim_of(world, [SHARE], in_sets_of(12, 3, 300.0))
    with world.cast.inside():
        found = OfficialScore.objects.get(session=session, block="second").aim[0]
    assert found["state"] == "met", found
    assert found["low"] == pytest.approx(alone["low"], rel=0.1)


def test_without_rests_or_capacity_it_is_unknown(world: World) -> None:
    report = in_sets_of(12, 3, 300.0)
    for one in report["set_log"]["sets"]:
        one.pop("rest_before_s")
    found = aim_of(world, [SHARE], report)
    assert (found["state"], found["cause"]) == ("unknown", "share_not_known")


def test_it_looks_back_with_what_was_known_and_stays_what_it_is(world: World) -> None:
    """What is learned of the same athlete afterwards changes no stored share; scoring again does nothing."""
    before = aim_of(world, [SHARE], in_sets_of(12, 3, 300.0))
    again = aim_of(world, [SHARE], in_sets_of(18, 2, 300.0))
    assert again["low"] > before["low"]
    with world.cast.inside():
        assert not score_attempts(athlete_id=world.athletes[NAME].id)
        stored = [row.aim[0]["low"] for row in OfficialScore.objects.order_by("computed_at")]
    assert stored == [before["low"], again["low"]]


def test_it_takes_two_statements_more_however_many_results(world: World, coach: ApiClient) -> None:
    """One for what each movement's capacity is, one for how quickly the athlete tires; none where nobody asks."""
    counts = {}
    for name, aim, results in (
        ("plain", TIME, 2),
        ("share", SHARE, 2),
        ("many", TIME, 4),
        ("shares", SHARE, 4),
    ):
        for number in range(results):
            session = place(
                world, document(f"{name} {number}", block("main", ROWS, aim=[aim])), dt.timedelta(hours=-1 - number)
            )  # fmt: skip
            assert send(world, session, NAME, **in_sets_of(12, 3, 300.0)).status_code == 201
        with (
            world.cast.inside(),
            CaptureQueriesContext(
                connection,
            ) as captured,
        ):
            assert len(score_attempts(athlete_id=world.athletes[NAME].id)) == results
        counts[name] = len(captured)
    assert counts["share"] == counts["plain"] + 2
    assert counts["shares"] == counts["many"] + 2
