"""An athlete's own day: training beside the programme, rest, and how they are; by forms alone."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.models import Athlete, RestDay, TrainingLog, WellnessAnswer
from services.tenancy.actor import Role
from tests.services.console.browse import browser, looked_at, page
from tests.services.console.load_support import SLEEP, answer, ask, day_of, rest, train
from tests.services.console.my_athlete import NAME, Form, own_athlete
from tests.support.world import World, add_athlete, make_world

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    world = make_world(starts_in=dt.timedelta(hours=1))
    own_athlete(world)
    return world


@pytest.fixture
def ayo(world: World) -> Athlete:
    return world.athletes[NAME]


def read(world: World, path: str = "my/day", **query: str) -> Any:
    found = browser(world.cast.athlete).get(page(world.cast, path), query)
    assert found.status_code == 200
    looked_at(found)
    return found.content.decode()


def send(world: World, path: str, fields: dict[str, str], status: int = 303) -> Any:
    found = browser(world.cast.athlete).post(page(world.cast, path), fields)
    assert found.status_code == status, looked_at(found).text
    return found


def stored(world: World, model: Any) -> list[Any]:
    with world.cast.inside():
        return list(model.objects.order_by("created_at", "id"))


def filled_in(world: World, **told: str) -> dict[str, str]:
    """The form of a log as it stands on the page, with what somebody chose."""
    return {**Form(read(world), "training").fields, **told}


def test_a_run_is_logged_once_however_often_it_is_sent(world: World, ayo: Athlete) -> None:
    """On the day by the athlete's clock; the page then lists it, and it can be removed."""
    begun = f"{day_of(ayo, 1)}T06:30"
    fields = filled_in(
        world, modality="running", effort="4", minutes="45,5", begun=begun, note="Along the quay."
    )
    sent = send(world, "my/day", fields)
    send(world, "my/day", fields)
    (log,) = stored(world, TrainingLog)
    assert (log.modality, log.effort, log.minutes, log.note) == ("running", 4.0, 45.5, "Along the quay.")
    assert (log.local_date, log.athlete_id, log.client_id) == (day_of(ayo, 1), ayo.id, fields["key"])
    shown = browser(world.cast.athlete).get(sent.headers["Location"])
    assert "Stored. Thank you." in looked_at(shown).text
    assert "running, 45.5 min, effort 4 Along the quay." in looked_at(shown).text
    assert Form(shown.content.decode(), "training").fields["key"] != fields["key"]
    stale = send(world, f"my/day/training/{log.id}", {"version": "7"}, 412)
    assert "It was changed from elsewhere meanwhile." in looked_at(stale).text
    send(world, f"my/day/training/{log.id}", {"version": "1"})
    assert stored(world, TrainingLog) == []


def test_what_is_sent_for_no_day_up_to_today_is_stored_for_none(world: World, ayo: Athlete) -> None:
    """And not for today either."""
    for odd in (str(day_of(ayo, -1)), "yesterday", "2026-02-30"):
        refused = send(world, "my/day/rest", {"day": odd}, 400)
        assert "Nothing was stored" in looked_at(refused).text
    assert stored(world, RestDay) == []
    send(world, "my/day/rest", {"day": str(day_of(ayo, 0))})
    assert [row.local_date for row in stored(world, RestDay)] == [day_of(ayo, 0)]


def test_nothing_typed_is_lost_where_something_is_wrong(world: World) -> None:
    """Each complaint beside its field, the rest as it was typed; put right, it is stored under the same key."""
    typed = filled_in(world, modality="class", minutes="an hour", begun="2199-01-01T10:00", note="Stairs.")
    refused = send(world, "my/day", typed, 400)
    html = refused.content.decode()
    kept = Form(html, "training").fields
    del typed["csrfmiddlewaretoken"]
    assert {name: kept[name] for name in typed} == typed
    for name in ("minutes", "effort"):
        assert re.search(rf'id="f-{name}"[^>]*aria-invalid="true"', html), name
    assert "Put right what is marked below" in looked_at(refused).text
    again = send(world, "my/day", {**kept, "minutes": "60", "effort": "5"}, 400)
    kept = Form(again.content.decode(), "training").fields
    assert re.search(r'id="f-begun"[^>]*aria-invalid="true"', again.content.decode())
    send(world, "my/day", {**kept, "begun": f"{day_of(world.athletes[NAME], 2)}T10:00"})
    assert [one.client_id for one in stored(world, TrainingLog)] == [typed["key"]]


def test_what_had_arrived_before_it_was_changed_is_said(world: World) -> None:
    """The same key with another content: what is stored stays, and the page shows it."""
    begun = f"{day_of(world.athletes[NAME], 1)}T06:30"
    fields = filled_in(world, modality="running", effort="4", minutes="45", begun=begun)
    send(world, "my/day", fields)
    refused = send(world, "my/day", {**fields, "minutes": "50"}, 422)
    assert "had arrived before you changed it" in looked_at(refused).text
    assert "running, 45 min, effort 4" in looked_at(refused).text


def test_every_effort_has_words(world: World) -> None:
    """Nothing to everything, and nothing chosen beforehand."""
    html = read(world)
    options = re.findall(r'<option value="(\d+)"[^>]*>(\d+): ([^<]+)<', html)
    assert [int(value) for value, _, _ in options] == list(range(11))
    assert options[0][2] == "Nothing that I noticed" and options[10][2] == "There was nothing left"
    assert Form(html, "training").fields["effort"] == ""


def test_rest_is_said_and_taken_back(world: World, ayo: Athlete) -> None:
    """Of the day that is shown; twice is once. A day to come, or none, is today."""
    yesterday = str(day_of(ayo, 1))
    for _ in range(2):
        send(world, "my/day/rest", {"day": yesterday})
    (day,) = stored(world, RestDay)
    assert str(day.local_date) == yesterday
    html = read(world, day=yesterday)
    assert "No training on this day: you said so." in html
    assert "No training on this day: you said so." not in read(world)
    send(world, f"my/day/rest/{day.id}", {})
    assert stored(world, RestDay) == []
    for odd in ("2199-01-01", "tomorrow"):
        assert f'name="day" value="{day_of(ayo, 0)}"' in read(world, day=odd)


def test_what_the_interface_refuses_of_rest_is_said(world: World) -> None:
    """A day of long ago."""
    refused = send(world, "my/day/rest", {"day": "2001-01-01"}, 400)
    assert "Not stored" in looked_at(refused).text
    assert stored(world, RestDay) == []


def wellness(world: World, ayo: Athlete, days: int = 0, form: str = "morning", **told: str) -> dict[str, str]:
    day = str(day_of(ayo, days))
    shown = Form(read(world, "my/wellness", day=day), f"{form} {day}").fields
    return {**shown, **{f"item-{form}-{name}": value for name, value in told.items()}}


def test_answers_are_sent_corrected_and_taken_back(world: World, ayo: Athlete) -> None:
    """Any of the questions; all of them emptied, the day is as if nothing had been asked."""
    ask(world)
    send(world, "my/wellness", wellness(world, ayo, sleep="4"))
    (row,) = stored(world, WellnessAnswer)
    assert (row.answers, row.local_date, row.athlete_id) == ({"sleep": 4.0}, day_of(ayo, 0), ayo.id)
    again = wellness(world, ayo, heavy_legs="3")
    assert again["item-morning-sleep"] == "4"
    send(world, "my/wellness", again)
    (row,) = stored(world, WellnessAnswer)
    assert (row.answers, row.version) == ({"sleep": 4.0, "heavy_legs": 3.0}, 2)
    stale = send(world, "my/wellness", again, 412)
    assert "It was changed from elsewhere meanwhile." in looked_at(stale).text
    send(world, "my/wellness", wellness(world, ayo, sleep="", heavy_legs=""))
    assert stored(world, WellnessAnswer) == []


def test_nothing_answered_is_no_answer(world: World, ayo: Athlete) -> None:
    """And what is not on the scale is said beside its question, with what was chosen elsewhere."""
    ask(world)
    refused = send(world, "my/wellness", wellness(world, ayo), 400)
    assert "Answer one item at least." in looked_at(refused).text
    odd = send(world, "my/wellness", wellness(world, ayo, sleep="4", heavy_legs="12"), 400)
    assert re.search(r'id="f-item-morning-heavy_legs"[^>]*aria-invalid="true"', odd.content.decode())
    day = day_of(ayo, 0)
    assert Form(odd.content.decode(), f"morning {day}").fields["item-morning-sleep"] == "4"
    assert stored(world, WellnessAnswer) == []


def test_the_good_end_of_each_question_is_named(world: World, ayo: Athlete) -> None:
    """A number alone does not tell it; two forms with one key of a question stay apart."""
    assert "Nothing is asked here." in read(world, "my/wellness")
    ask(world)
    ask(
        world, key="night", name="At night", items=[{**SLEEP, "text": "How sleepy are you?", "better": "low"}]
    )
    html = read(world, "my/wellness")
    assert html.count("5, the good end") == 1 and html.count(">1, the good end") == 1
    assert html.count(">0, the good end") == 1
    send(world, "my/wellness", wellness(world, ayo, form="night", sleep="2"))
    assert [(one.form_key, one.answers) for one in stored(world, WellnessAnswer)] == [
        ("night", {"sleep": 2.0})
    ]


def test_what_was_answered_under_an_earlier_form_is_corrected_by_its_questions(
    world: World, ayo: Athlete
) -> None:
    ask(world)
    answer(world, ayo, 0, heavy_legs=9)
    ask(world, items=[SLEEP])
    fields = wellness(world, ayo)
    assert fields["item-morning-heavy_legs"] == "9"
    send(world, "my/wellness", {**fields, "item-morning-heavy_legs": "8"})
    (row,) = stored(world, WellnessAnswer)
    assert row.answers == {"heavy_legs": 8.0}


def test_it_is_about_nobody_else(world: World, ayo: Athlete) -> None:
    """Another's log and rest are not there; whoever is no athlete, and who is outside, finds no such page."""
    other = add_athlete(world, "Bruna Keel")
    with world.cast.inside():
        train(world, other, 1, 5, 30)
        rest(world, other, 2)
    (log,), (day,) = stored(world, TrainingLog), stored(world, RestDay)
    assert "30 min" not in read(world)
    send(world, f"my/day/training/{log.id}", {"version": "1"}, 404)
    send(world, f"my/day/rest/{day.id}", {}, 404)
    cast = world.cast
    for path in ("my/day", "my/wellness"):
        assert browser(cast.coach).get(page(cast, path)).status_code == 404
        assert browser(cast.outsider).get(page(cast, path)).status_code == 404
        assert browser().get(page(cast, path)).status_code == 302
    assert len(stored(world, TrainingLog)) == len(stored(world, RestDay)) == 1


def test_who_reads_no_answers_is_not_led_to_them(world: World) -> None:
    """Staff of a location who train there log their training; answers are not open to that role."""
    cast = world.cast
    with cast.inside():
        athlete = add_athlete(world, "Staff Who Trains")
        Athlete.objects.filter(id=athlete.id).update(person_id=cast.members[Role.LOCATION_STAFF].person.id)
    client = browser(cast.members[Role.LOCATION_STAFF])
    links = looked_at(client.get(page(cast, "my/sessions"))).links
    assert page(cast, "my/day") in links and page(cast, "my/wellness") not in links
    assert client.get(page(cast, "my/day")).status_code == 200
    assert client.get(page(cast, "my/wellness")).status_code == 403
    links = looked_at(browser(cast.athlete).get(page(cast, "my/sessions"))).links
    assert page(cast, "my/day") in links and page(cast, "my/wellness") in links


def test_ten_logs_cost_as_many_queries_as_one(world: World, ayo: Athlete) -> None:
    found = []
    read(world)
    for days in (range(1, 2), range(2, 11)):
        with world.cast.inside():
            for number in days:
                train(world, ayo, number, 5, 30)
        with CaptureQueriesContext(connection) as queries:
            assert read(world).count("30 min") >= len(days)
        found.append(len(queries))
    assert found[0] == found[1], found
