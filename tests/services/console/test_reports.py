"""Reports of pain and warning signs: where staff see them, and how somebody takes one on."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.models import HealthRead
from tests.services.console.browse import browser, looked_at, page
from tests.services.console.conftest import reported
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, url

pytestmark = pytest.mark.django_db
NAMES = ("Bruna Keel", "Idris Vane")


@pytest.fixture
def world(world: World) -> World:
    for name in NAMES:
        add_athlete(world, name, 70.0)
    return world


def test_the_day_says_that_somebody_reported_pain(world: World) -> None:
    """Whatever day is shown, until it is taken on; athletes are told nothing of others."""
    coach, today = browser(world.cast.coach), page(world.cast, "today")
    assert "warning sign" not in looked_at(coach.get(today)).text
    reported(world, "Bruna Keel")
    for where in ("today", "reviews"):
        told = looked_at(coach.get(page(world.cast, where)))
        assert "1 report of pain or a warning sign" in told.text
        assert page(world.cast, "reports") in told.links
    assert "1 report" in looked_at(coach.get(today, {"date": "2030-01-05"})).text
    assert "report" not in looked_at(browser(world.cast.athlete).get(today)).text


def test_reports_stand_in_words_the_longest_waiting_first(world: World) -> None:
    reported(world, "Idris Vane", kind="red_flag", sign="chest_pain")
    reported(world, "Bruna Keel")
    told = looked_at(browser(world.cast.coach).get(page(world.cast, "reports"))).text
    assert "Warning sign: Pain, pressure or tightness in the chest" in told
    assert "Pain, knee, left: 4 of 10" in told
    assert told.index("Idris Vane") < told.index("Bruna Keel")


def test_who_takes_a_report_on_is_kept_by_the_interface(world: World) -> None:
    """With what they do about it; then nothing waits, and nobody is asked a second time."""
    report = reported(world, "Bruna Keel")
    coach, address = browser(world.cast.coach), page(world.cast, f"reports/{report}")
    assert "On the stairs." in looked_at(coach.get(address)).text
    answer = coach.post(address, {"note": "Called her; she rests today."})
    assert answer.status_code == 302 and answer["Location"] == page(world.cast, "reports")
    (kept,) = ApiClient(world.cast.coach.token).get(url(world, "reports")).json()["items"]
    assert kept["acknowledged_by"] == str(world.cast.coach.person.id)
    assert kept["acknowledgement"] == "Called her; she rests today."
    assert "Nothing waits." in looked_at(coach.get(page(world.cast, "reports"))).text
    assert "Somebody has seen it: Called her" in looked_at(coach.get(address)).text
    late = browser(world.cast.owner).post(address, {"note": "I too."})
    assert late.status_code == 409 and "Somebody has seen it: Called her" in looked_at(late).text


def test_a_note_that_is_too_long_is_kept_in_its_field(world: World) -> None:
    address = page(world.cast, f"reports/{reported(world, 'Bruna Keel')}")
    told = looked_at(answer := browser(world.cast.coach).post(address, {"note": "y" * 501})).text
    assert answer.status_code == 400
    assert "at most 500" in told and "y" * 501 in answer.content.decode()


def test_the_list_costs_the_same_for_one_and_ten(world: World) -> None:
    client, counted = browser(world.cast.coach), []
    for more in (1, 9):
        for number in range(more):
            reported(world, NAMES[number % 2], kind="pain", site="knee", severity=2 + number % 2)
        with CaptureQueriesContext(connection) as queries:
            assert client.get(page(world.cast, "reports")).status_code == 200
        counted.append(len(queries))
    assert counted[0] == counted[1], counted


def test_pages_that_show_health_are_reads_of_it(world: World) -> None:
    """As over the interface: the list of reports, one of them, and the limits on an athlete's page."""
    report, bruna = reported(world, "Bruna Keel"), world.athletes["Bruna Keel"]
    coach = browser(world.cast.coach)
    for where in ("reports", f"reports/{report}", f"athletes/{bruna.id}"):
        assert coach.get(page(world.cast, where)).status_code == 200
    with world.cast.inside():
        found = list(
            HealthRead.objects.order_by("created_at", "id").values_list("kind", "athlete_id", "reader_id")
        )
    reader = world.cast.coach.person.id
    assert found == [(kind, bruna.id, reader) for kind in ("reports", "reports", "limitations")]
