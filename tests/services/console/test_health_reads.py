"""Who read what about whose health, on a page for the owner."""

from __future__ import annotations

import html
import re
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.health_reads import note_health_read
from athletes.models import Athlete, HealthRead
from services.console import health_reads
from services.tenancy.models import Membership
from tests.services.console.browse import Seen, browser, looked_at, page
from tests.support.cast import Member
from tests.support.world import World, add_athlete

pytestmark = pytest.mark.django_db


def read(world: World, member: Member, kind: str, *athletes: Athlete) -> None:
    assert member.actor is not None
    with world.cast.inside():
        note_health_read(
            actor=member.actor, kind=kind, athlete_ids={one.id for one in athletes}, request_id=uuid4()
        )


def shown(world: World, **query: Any) -> Seen:
    got = browser(world.cast.owner).get(page(world.cast, "health-reads"), query)
    assert got.status_code == 200
    return looked_at(got)


def lines(seen: Seen) -> list[str]:
    """From the table, each read without its instant."""
    body = seen.text.partition("Of whom")[2]
    return [one.strip() for one in re.split(r"\w{3} \d+ \w{3} \d{4}, \d\d:\d\d UTC", body)[1:]]


@pytest.fixture
def two(world: World) -> tuple[Athlete, Athlete]:
    return add_athlete(world, "Bruna Keel"), add_athlete(world, "Idris Vane")


def test_reads_stand_newest_first(world: World, two: tuple[Athlete, Athlete]) -> None:
    """Who, what kind, of whom; by kind, by reader and by athlete where that is asked for."""
    coach, owner = world.cast.coach, world.cast.owner
    assert "Nobody has read anything" in shown(world).text
    read(world, coach, "wellness", two[0])
    read(world, owner, "limitations", two[0], two[1])
    by_coach = f"{coach.person.name} answers to the team's questions Bruna Keel"
    by_owner = [f"{owner.person.name} limits {name}" for name in ("Bruna Keel", "Idris Vane")]
    told = lines(shown(world))
    assert sorted(told[:2]) == by_owner
    assert told[2:] == [by_coach]
    assert lines(shown(world, kind="wellness")) == [by_coach]
    assert lines(shown(world, reader=coach.person.id)) == [by_coach]
    only = shown(world, athlete=two[1].id)
    assert lines(only) == [by_owner[1]]
    assert "Of Idris Vane alone." in only.text
    assert "Nothing of this was read." in shown(world, kind="heart_rate").text


def test_older_ones_are_a_page_further(
    world: World, two: tuple[Athlete, Athlete], monkeypatch: pytest.MonkeyPatch
) -> None:
    """All are seen, each once, in the order of time, also those of one request; what was asked for stays asked."""
    monkeypatch.setattr(health_reads, "MOST", 2)
    for kind in ("wellness", "reports", "wellness"):
        read(world, world.cast.coach, kind, *two)
    with world.cast.inside():
        stored = list(HealthRead.objects.order_by("-created_at", "-id").values_list("kind", "athlete__name"))
    client = browser(world.cast.owner)
    for asked, wanted in (
        ("", [name for _, name in stored]),
        ("?kind=wellness", [name for kind, name in stored if kind == "wellness"]),
    ):
        found: list[str] = []
        query: str | None = asked
        while query is not None:
            content = client.get(page(world.cast, "health-reads") + query).content.decode()
            found += re.findall(r'athlete=[\w-]+">([^<]+)</a>', content)
            older = re.search(r'href="([^"]+)">Older ones', content)
            query = html.unescape(older[1]) if older else None
        assert found == wanted


def test_who_left_is_still_told(world: World, two: tuple[Athlete, Athlete]) -> None:
    """As a member who may not come in any more by name; a stranger as somebody."""
    read(world, world.cast.coach, "wellness", two[0])
    with world.cast.inside():
        Membership.objects.filter(person=world.cast.coach.person).update(is_active=False)
    assert world.cast.coach.person.name in lines(shown(world))[0]
    with world.cast.inside():
        Membership.objects.filter(person=world.cast.coach.person).delete()
    assert lines(shown(world))[0].startswith(health_reads.GONE)


def test_what_cannot_be_meant_shows_all(world: World, two: tuple[Athlete, Athlete]) -> None:
    """A wrong choice is told beside its field; a place that is none begins at the newest."""
    read(world, world.cast.coach, "wellness", two[0])
    got = browser(world.cast.owner).get(page(world.cast, "health-reads"), {"kind": "horoscope"})
    assert got.status_code == 400
    assert len(lines(looked_at(got))) == 1
    for before in ("x", str(uuid4())):
        assert len(lines(shown(world, before=before))) == 1


def test_it_costs_the_same_for_one_and_for_many(world: World, two: tuple[Athlete, Athlete]) -> None:
    client, counted = browser(world.cast.owner), []
    client.get("/")
    for times in (1, 20):
        for _ in range(times):
            read(world, world.cast.coach, "reports", *two)
        for name in ("health-reads", "organisation"):
            with CaptureQueriesContext(connection) as queries:
                assert client.get(page(world.cast, name)).status_code == 200
            counted.append(len(queries))
    assert counted[:2] == counted[2:]
