"""An athlete's own session without any script: what it shows, what it takes, and what it says to what it does not."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone

from scoring.models import Prescription
from tests.services.console.browse import browser, looked_at, page
from tests.services.console.my_athlete import Form, address, attempts, move, my_world
from tests.support.world import World, drain

pytestmark = pytest.mark.django_db


@pytest.fixture
def mine(db: None) -> World:
    return my_world()


def reading(world: World, **options: Any) -> Any:
    return browser(world.cast.athlete, **options)


def form_of(world: World) -> dict[str, str]:
    answer = reading(world).get(address(world))
    assert answer.status_code == 200
    looked_at(answer)
    return Form(answer.content.decode()).fields


def ticked(fields: dict[str, str]) -> dict[str, str]:
    """Every set done as planned, in twelve minutes."""
    rows = [name.removesuffix("what") for name in fields if name.endswith("-what")]
    assert len(rows) > 3
    return {**fields, **{f"{row}done": "yes" for row in rows}, "0-elapsed": "12:00"}


def test_what_is_planned_stands_in_the_fields(mine: World) -> None:
    """Version, amount, load and rest of every set of the prescription, and nothing is ticked."""
    with mine.cast.inside():
        content = Prescription.objects.get(athlete=mine.athletes["Ayo Lindqvist"]).content
    fields = form_of(mine)
    assert [fields[f"0-{n}-amount"] for n in range(len(content["plan"]))] == [
        f"{one['repetitions']:g}" for one in content["plan"]
    ]
    loads = {one["work"]: one["load_kg"] for one in content["work"]}
    for number, one in enumerate(content["plan"]):
        assert fields[f"0-{number}-what"].startswith(f"{one['work']} ")
        load = loads[one["work"]]
        assert fields[f"0-{number}-load"] == ("" if load is None else f"{load:g}")
        assert fields[f"0-{number}-rest"] == f"{one['rest_before_s']:g}"
    assert not [name for name in fields if name.endswith("-done")]


def test_what_is_sent_is_the_interfaces_result(mine: World) -> None:
    """The same row as by the interface, once however often the form is sent, and the page then shows it."""
    client = reading(mine)
    fields = {**ticked(form_of(mine)), "effort": "7,5", "minutes": "55"}
    for _ in range(2):
        answer = client.post(address(mine), fields)
        assert (answer.status_code, answer.url) == (303, f"{address(mine)}#stored")
    (attempt,) = attempts(mine)
    assert attempt.kind == "set_log"
    assert (attempt.elapsed_s, attempt.effort, attempt.minutes) == (720.0, 7.5, 55.0)
    assert str(attempt.prescription_id) == fields["prescription"]
    drain(mine.cast)
    told = looked_at(client.get(address(mine)))
    assert "Your result is stored" in told.text
    assert "12:00 on the clock" in told.text
    assert "Effort 7.5 of 10. 55 minutes in all." in told.text
    assert "Send the result" not in told.text


def sent(world: World, **changes: str) -> Any:
    """The answer to a form with these fields changed."""
    return reading(world).post(address(world), {**ticked(form_of(world)), **changes})


def test_what_is_not_ticked_is_not_done(mine: World) -> None:
    """And what is told of a set goes with it, each under the name of the interface."""
    fields = form_of(mine)
    told = {
        **fields,
        "0-1-done": "yes",
        "0-1-amount": "9,0",
        "0-1-ended": "failure",
        "0-1-rest": "33",
        "0-1-seconds": "40",
        "0-elapsed": "1:02:05",
    }
    assert reading(mine).post(address(mine), told).status_code == 303
    (attempt,) = attempts(mine)
    (one,) = attempt.as_sent["set_log"]["sets"]
    assert (one["repetitions"], one["ended_by"]) == (9, "failure")
    assert (one["rest_before_s"], one["duration_s"], attempt.elapsed_s) == (33, 40, 3725.0)


def test_totals_and_all_as_prescribed(mine: World) -> None:
    """The two other ways of the interface, from the same form."""
    fields = {**form_of(mine), "0-how": "totals", "0-total-0": "60", "0-total-1": "80", "0-breaks": "7"}
    assert reading(mine).post(address(mine), {**fields, "0-elapsed": "14:00"}).status_code == 303
    (attempt,) = attempts(mine)
    assert attempt.as_sent["totals"] == {
        "elapsed_s": 840,
        "breaks": 7,
        "work": [{"work": "a", "repetitions": 60}, {"work": "b", "repetitions": 80}],
    }


def test_all_as_prescribed_stores_the_plan(mine: World) -> None:
    """Every planned set; nothing is claimed beyond it."""
    fields = {**form_of(mine), "0-how": "as_prescribed", "0-elapsed": "13:30", "0-left": "2"}
    assert reading(mine).post(address(mine), fields).status_code == 303
    (attempt,) = attempts(mine)
    assert attempt.as_sent["as_prescribed"] == {"elapsed_s": 810, "rir": 2}


def test_nothing_ticked_is_no_result(mine: World) -> None:
    """The interface's complaint stands beside the ways of telling it."""
    answer = reading(mine).post(address(mine), form_of(mine))
    assert answer.status_code == 400
    assert 'id="f-0-how-error"' in answer.content.decode()
    assert attempts(mine) == []


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("effort", "99"),
        ("minutes", "an hour"),
        ("minutes", "5000"),
        ("0-0-amount", "many"),
        ("0-0-amount", ""),
        ("0-1-load", "999"),
        ("0-1-load", "0"),
        ("0-0-reserve", "2.5"),
        ("0-elapsed", "a while"),
        ("begun", "2031-01-01T08:00"),
        ("begun", "yesterday"),
        ("0-0-what", "a squat"),
        ("0-0-ended", "tired"),
    ],
)
def test_a_complaint_stands_beside_its_field_and_nothing_typed_is_lost(
    mine: World, name: str, typed: str
) -> None:
    """The interface says what is wrong, the page where; what was typed comes back with the rest."""
    answer = sent(mine, **{name: typed, "note": "Windy & cold"})
    assert answer.status_code in (400, 422)
    told = looked_at(answer)
    content = answer.content.decode()
    assert f'id="f-{name}-error"' in content
    again = Form(content).fields
    if not name.endswith(("what", "ended")):
        assert again[name] == typed
    assert (again["note"], again["0-elapsed"] or typed) == ("Windy & cold", again["0-elapsed"] or typed)
    assert again["0-2-done"] == "yes"
    assert "What you typed stands below." in told.text
    assert attempts(mine) == []


def test_a_second_result_is_refused_with_what_to_do(mine: World) -> None:
    """From another device: in words for an athlete, without an address of the interface."""
    fields = ticked(form_of(mine))
    other = {**fields, "key": "another-device-0001"}
    client = reading(mine)
    assert client.post(address(mine), fields).status_code == 303
    answer = client.post(address(mine), other)
    assert answer.status_code == 409
    told = looked_at(answer).text
    assert "You have sent a result of this session already" in told
    assert "/attempts" not in told
    assert len(attempts(mine)) == 1


def test_what_was_changed_after_it_arrived_is_said_to_be_stored_as_it_was(mine: World) -> None:
    """The same key with other content."""
    fields, client = ticked(form_of(mine)), reading(mine)
    assert client.post(address(mine), fields).status_code == 303
    answer = client.post(address(mine), {**fields, "note": "And another word"})
    assert answer.status_code == 422
    assert "stored as it was" in looked_at(answer).text
    assert [one.note for one in attempts(mine)] == [""]


def test_a_script_is_answered_by_field(mine: World) -> None:
    """The same fields, the same complaint, as JSON; a signed-out one is sent to the sign-in."""
    fields = {**ticked(form_of(mine)), "effort": "99"}
    client = reading(mine, headers={"accept": "application/json"})
    answer = client.post(address(mine), fields)
    assert answer.status_code == 400
    told = answer.json()
    assert list(told["fields"]) == ["effort"]
    assert told["remedy"].startswith("Put right")
    assert client.post(address(mine), {**fields, "effort": "9"}).json() == {"stored": True}
    gone = browser(headers={"accept": "application/json"}).post(address(mine), fields)
    assert (gone.status_code, gone.url) == (302, "/sign-in")


def test_pounds_are_stored_as_kilograms(mine: World) -> None:
    """What was left as filled in is exactly what was planned; 44.1 lb are 20.00 kg (1 lb = 0.45359237 kg)."""
    client = reading(mine)
    assert client.post("/units", {"weights": "lb", "next": address(mine)}).url == address(mine)
    page = client.get(address(mine)).content.decode()
    fields = ticked(Form(page).fields)
    squats = [name.removesuffix("-what") for name, value in fields.items() if value == "b goblet_squat"]
    assert fields[f"{squats[0]}-load"] == "35.3"
    assert "16 kg (35.3 lb)" in page
    assert client.post(address(mine), {**fields, f"{squats[1]}-load": "44.1"}).status_code == 303
    (attempt,) = attempts(mine)
    loads = [one["load_kg"] for one in attempt.as_sent["set_log"]["sets"] if one["work"] == "b"]
    assert loads[:3] == [16, 20.0, 16]


def test_no_form_of_another_site_is_taken(mine: World) -> None:
    """Without our mark nothing is stored."""
    strict = reading(mine, enforce_csrf_checks=True)
    fields = ticked(form_of(mine))
    assert strict.post(address(mine), fields).status_code == 403
    assert attempts(mine) == []


def test_a_page_is_its_athletes_alone(mine: World) -> None:
    """Staff who are no athletes have none; the id of another's session is not there; a token's scopes count."""
    for member in (mine.cast.coach, mine.cast.staff, mine.cast.owner):
        answer = browser(member).get(address(mine))
        assert answer.status_code == 404
        assert "not entered as an athlete" in looked_at(answer).text
    assert browser(mine.cast.outsider).get(address(mine)).status_code == 404
    elsewhere = page(mine.cast, "my/sessions/00000000-0000-4000-8000-000000000000")
    assert reading(mine).get(elsewhere).status_code == 404
    answer = reading(mine).get(address(mine))
    assert answer.headers["Dosewright-Reader"] == str(mine.cast.athlete.person.id)
    assert "no-store" in answer.headers["Cache-Control"]


def test_where_nothing_is_prescribed_it_says_why_and_takes_what_was_done(mine: World) -> None:
    """On hold after strong pain: the brief says so first, and there is no plan to log."""
    client = reading(mine)
    report = {"kind": "pain", "site": "shoulder", "severity": "8", "key": "pain-at-the-bar-01"}
    answer = client.post(address(mine, "/report"), report)
    assert answer.status_code == 200
    told = looked_at(answer).text
    assert "Reported. Stop now." in told and "In an emergency" in told and "released by" in told
    move(mine, dt.timedelta(hours=1))
    drain(mine.cast)
    held = looked_at(client.get(address(mine))).text
    assert held.index("On hold since") < held.index("Why this session")
    assert "Nothing is planned for you here" in held
    assert "as prescribed" not in held


def test_a_warning_sign_says_what_to_do(mine: World) -> None:
    """What to do at once comes first; a report that tells nothing is refused, with the same."""
    client = reading(mine)
    empty = client.post(address(mine, "/report"), {"kind": "red_flag", "key": "0123456789abcdef"})
    assert empty.status_code == 400
    assert "In an emergency act first" in looked_at(empty).text
    sign = {"kind": "red_flag", "sign": "chest_pain", "key": "0123456789abcdef"}
    told = looked_at(client.post(address(mine, "/report"), sign)).text
    assert told.index("In an emergency") < told.index("is told.")


def test_the_worker_keeps_these_pages_alone(mine: World) -> None:
    """Served below them, so that its scope is theirs; what it keeps is there to be kept."""
    answer = reading(mine).get(page(mine.cast, "my/worker.js"))
    assert answer.headers["Content-Type"].startswith("text/javascript")
    script = answer.content.decode()
    assert "Service-Worker-Allowed" not in answer.headers
    for part in re.findall(r'"(/static/[^"]+)"', script):
        assert browser().get(part).status_code == 200, part


def test_the_state_tells_a_script_who_reads(mine: World) -> None:
    """Person, a mark for forms, and whether a result is stored."""
    client = reading(mine)
    told = client.get(address(mine, "/state")).json()
    assert (told["person"], told["stored"]) == (str(mine.cast.athlete.person.id), False)
    client.post(address(mine), ticked(form_of(mine)))
    assert client.get(address(mine, "/state")).json()["stored"] is True


def test_signing_out_clears_what_the_browser_keeps(mine: World) -> None:
    """W3C Clear Site Data: caches, workers and storage of this site."""
    answer = reading(mine).post("/sign-out")
    assert answer.headers["Clear-Site-Data"] == '"cache", "storage"'


def test_a_long_plan_keeps_page_and_form_within_bounds(mine: World) -> None:
    """A hundred and twenty sets: forty stand there, the page says so, and they are stored."""
    with mine.cast.inside():
        given = Prescription.objects.get(athlete=mine.athletes["Ayo Lindqvist"])
        squat = next(one for one in given.content["plan"] if one["work"] == "b")
        longer = {**given.content, "plan": [squat] * 120}
        values = {one.attname: getattr(given, one.attname) for one in given._meta.concrete_fields}
        changed = {"number": given.number + 1, "content": longer, "issued_at": timezone.now()}
        Prescription(**{**values, **changed, "id": uuid4()}).save(force_insert=True)
    fields = form_of(mine)
    assert len([name for name in fields if name.endswith("-amount")]) == 40
    assert "80 sets more" in looked_at(reading(mine).get(address(mine))).text
    assert reading(mine).post(address(mine), ticked(fields)).status_code == 303
    assert len(attempts(mine)[0].as_sent["set_log"]["sets"]) == 40
