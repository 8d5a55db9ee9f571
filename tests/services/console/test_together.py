"""The load of many: each by name, and no number of so few that it would tell of single people."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from services.tenancy.actor import Role
from tests.services.console.browse import browser, looked_at, page
from tests.services.console.load_support import day_of, group_of, weeks
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, url

pytestmark = pytest.mark.django_db


def harbour(world: World) -> str:
    return f"locations/{world.cast.harbour.id}/load"


def test_a_line_each_as_the_interface_tells_it(world: World) -> None:
    """Who reported all of the week, part of it, and nothing."""
    whole, part = add_athlete(world, "Bruna Keel"), add_athlete(world, "Idris Vane")
    add_athlete(world, "Otis Marsh")
    weeks(world, whole, 40)
    weeks(world, part, 40, silent=[2, 3])
    told = ApiClient(world.cast.coach.token).get(url(world, f"{harbour(world)}-summary")).json()
    seen = looked_at(browser(world.cast.coach).get(page(world.cast, harbour(world))))
    known = told["athletes"][0]
    week, monotony = known["week_load_au"]["value"], known["monotony"]["value"]
    assert f"Bruna Keel 7 of 7 {week:.0f} " in seen.text and f" {monotony:.2f} " in seen.text
    assert (
        f"{known['weighted_acute']['value']:.0f} {known['weighted_chronic']['value']:.0f} Idris" in seen.text
    )
    assert "Idris Vane 5 of 7 – (not every day is reported)" in seen.text
    assert "Of these seven days nothing is known of Otis Marsh." in seen.text
    assert "The whole week is known of 1 of 3 athletes." in seen.text
    assert "Of fewer than five no median is told" in seen.text
    assert page(world.cast, f"athletes/{whole.id}/load") in seen.links


def test_five_known_weeks_have_a_median(world: World) -> None:
    for number in range(5):
        weeks(world, add_athlete(world, f"Somebody {number}"), 8 + number)
    told = ApiClient(world.cast.coach.token).get(url(world, f"{harbour(world)}-summary")).json()
    text = looked_at(browser(world.cast.coach).get(page(world.cast, harbour(world)))).text
    assert f"Their median load is {told['median_week_load_au']['value']:.0f} AU." in text


def test_another_day_is_asked_for_and_one_to_come_refused(world: World) -> None:
    """What was typed stays, with the complaint beside it."""
    one = add_athlete(world, "Bruna Keel")
    weeks(world, one, 40, 10)
    client, path = browser(world.cast.coach), page(world.cast, harbour(world))
    assert "Bruna Keel 7 of 7" in looked_at(client.get(path, {"on": str(day_of(one, 10))})).text
    refused = client.get(path, {"on": "2199-01-01"})
    assert refused.status_code == 400 and b'value="2199-01-01"' in refused.content
    assert "Nothing is known of a day to come" in looked_at(refused).text
    refused = client.get(path, {"on": "0001-01-01"})
    assert refused.status_code == 400 and "before 2000" in looked_at(refused).text


def test_a_group_is_shown_as_far_as_the_reader_may_know_it(world: World) -> None:
    """Its members, whoever else trains there; the list of athletes leads to it, for the staff alone."""
    inside, outside = add_athlete(world, "Bruna Keel"), add_athlete(world, "Idris Vane")
    weeks(world, inside, 9)
    weeks(world, outside, 9)
    path = page(world.cast, f"groups/{group_of(world, inside)}/load")
    text = looked_at(browser(world.cast.staff).get(path)).text
    assert "Bruna Keel 7 of 7" in text and "Idris Vane" not in text
    for role, there in ((Role.COACH, True), (Role.ATHLETE, False)):
        listed = looked_at(browser(world.cast.members[role]).get(page(world.cast, "athletes")))
        assert (path in listed.links) is there
        assert (page(world.cast, harbour(world)) in listed.links) is there


def test_nobody_there_is_said(world: World) -> None:
    text = looked_at(browser(world.cast.coach).get(page(world.cast, harbour(world)))).text
    assert "Nobody whom you see trains here." in text


def test_thirty_cost_as_many_queries_as_three(world: World) -> None:
    found = []
    client = browser(world.cast.coach)
    client.get("/")
    for count in (3, 30):
        for number in range(len(world.athletes), count):
            weeks(world, add_athlete(world, f"Somebody {number}"), 2)
        with CaptureQueriesContext(connection) as queries:
            assert client.get(page(world.cast, harbour(world))).content.count(b"Somebody ") >= count
        found.append(len(queries))
    assert found[0] == found[1], found
