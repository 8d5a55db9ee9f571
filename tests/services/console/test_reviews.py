"""What somebody has to look at: the list, what was sent, and a decision that is the interface's own."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.athletes import update_athlete
from services.tenancy.actor import Role
from tests.services.console.browse import browser, looked_at, page
from tests.services.console.conftest import result_of, send
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def doubted(prescribed: World) -> World:
    """Bruna's result lacks twenty repetitions."""
    send(prescribed, result_of(prescribed, "Bruna Keel", last=20, note="All done <b>honestly</b>", effort=9))
    return prescribed


def review(world: World) -> dict[str, Any]:
    items = ApiClient(world.cast.coach.token).get(url(world, "reviews")).json()["items"]
    assert len(items) == 1
    found: dict[str, Any] = items[0]
    return found


def decide(world: World, role: Role = Role.COACH, **fields: object) -> Any:
    told = {
        "version": review(world)["version"],
        "accepted": "no",
        "resolution": "I counted twenty.",
        **fields,
    }
    return browser(world.cast.members[role]).post(page(world.cast, f"reviews/{review(world)['id']}"), told)


def test_the_list_says_who_where_and_what(doubted: World) -> None:
    """With the sentences of the findings; the day says how many wait."""
    told = looked_at(browser(doubted.cast.coach).get(page(doubted.cast, "reviews")))
    assert "Bruna Keel, Rows and goblet squats, turn about" in told.text
    for finding in review(doubted)["findings"]:
        assert finding["detail"] in told.text
    day = {"date": doubted.session.local_date.isoformat()}
    today = looked_at(browser(doubted.cast.coach).get(page(doubted.cast, "today"), day)).text
    assert "1 result to look at" in today and "1 to look at" in today


def test_an_empty_list_says_so(prescribed: World) -> None:
    """And how results get there."""
    told = looked_at(browser(prescribed.cast.coach).get(page(prescribed.cast, "reviews"))).text
    assert "Nothing waits." in told


def test_what_was_sent_can_be_read(doubted: World) -> None:
    """Set by set with names and units; the note is text."""
    answer = browser(doubted.cast.coach).get(page(doubted.cast, f"reviews/{review(doubted)['id']}"))
    told = looked_at(answer)
    assert "All done <b>honestly</b>" in told.text and "<b>honestly" not in answer.content.decode()
    assert "20 repetitions" in told.text and "16 kg" in told.text and "On the clock: 10:40" in told.text
    assert "goblet_squat" not in told.text


def test_a_decision_is_stored_and_followed(doubted: World) -> None:
    """As by the interface: who, what, why; the list is empty then, and nobody decides twice."""
    done = decide(doubted)
    assert (done.status_code, done.url) == (302, page(doubted.cast, "reviews"))
    stored = review(doubted)
    assert (stored["accepted"], stored["resolution"]) == (False, "I counted twenty.")
    assert stored["resolved_at"] is not None
    drain(doubted.cast)
    assert "Nothing waits." in looked_at(browser(doubted.cast.coach).get(done.url)).text
    again = decide(doubted)
    assert again.status_code == 409
    assert "I counted twenty." in looked_at(again).text


@pytest.mark.parametrize(
    "missing", [{"resolution": ""}, {"resolution": "  "}, {"accepted": ""}, {"accepted": "maybe"}]
)
def test_without_a_word_nothing_is_decided_and_nothing_typed_is_lost(
    doubted: World, missing: dict[str, str]
) -> None:
    """The fault stands beside the field."""
    answer = decide(doubted, **missing)
    assert answer.status_code == 400
    assert review(doubted)["resolved_at"] is None
    content = answer.content.decode()
    assert 'class="error"' in content
    if "accepted" in missing:
        assert "I counted twenty." in content
    else:
        assert 'value="no"' in content and "checked" in content
    looked_at(answer)


def test_who_saw_an_older_version_looks_again(doubted: World) -> None:
    """What was typed stays in the form."""
    answer = decide(doubted, version=review(doubted)["version"] + 1)
    assert answer.status_code == 412
    assert review(doubted)["resolved_at"] is None
    assert "I counted twenty." in answer.content.decode()
    looked_at(answer)


def test_nobody_decides_on_their_own_result(doubted: World) -> None:
    """A coach who trains: the refusal of the interface, in its words."""
    with doubted.cast.inside():
        bruna = doubted.athletes["Bruna Keel"]
        bruna.refresh_from_db()
        update_athlete(
            actor=doubted.cast.owner.actor,
            athlete=bruna,
            expected=bruna.version,
            person_id=doubted.cast.coach.person.id,
        )
    answer = decide(doubted)
    assert answer.status_code == 403
    assert review(doubted)["resolved_at"] is None
    assert "Ask an owner, another coach" in looked_at(answer).text


def test_the_list_is_for_the_staff(doubted: World) -> None:
    """Athletes get 403, as from the interface, and no link; a foreign or unknown one is 404; no form is believed."""
    one = review(doubted)["id"]
    athlete = browser(doubted.cast.athlete)
    assert athlete.get(page(doubted.cast, "reviews")).status_code == 403
    assert athlete.get(page(doubted.cast, f"reviews/{one}")).status_code == 403
    assert decide(doubted, Role.ATHLETE).status_code == 403
    assert review(doubted)["resolved_at"] is None
    assert browser(doubted.cast.coach).get(page(doubted.cast, f"reviews/{uuid4()}")).status_code == 404
    strict = browser(doubted.cast.coach, enforce_csrf_checks=True)
    assert strict.post(page(doubted.cast, f"reviews/{one}"), {}).status_code == 403


def test_the_list_costs_the_same_for_three_and_thirty(world: World) -> None:
    """Findings, names and titles come along."""
    found = []
    for count in (3, 30):
        for number in range(len(world.athletes), count):
            name = f"Somebody {number}"
            add_athlete(world, name, 70.0)
            ApiClient(world.cast.coach.token).post(url(world, "attempts"), result_of(world, name, last=20))
        drain(world.cast)
        client = browser(world.cast.coach)
        client.get("/")  # the first of an hour notes that the token was used
        with CaptureQueriesContext(connection) as queries:
            answer = client.get(page(world.cast, "reviews"))
        assert answer.content.decode().count("Somebody ") == count
        found.append(len(queries))
    assert found[0] == found[1], found
