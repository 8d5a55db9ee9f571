"""What a check set's answer says where other news waits, another version was done, or the set is sent again."""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone

from scoring.actions import after_check
from scoring.api import floor_views
from scoring.check_advice import VERSION
from scoring.models import CheckSet, Prescription
from services.changes.actions import record_change
from tests.scoring.sessions import block, document, place, work
from tests.scoring.several import a_set, send
from tests.scoring.test_check_sets import check_sets, current
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, world_of

pytestmark = pytest.mark.django_db

WHO = "Nia Moor"
MANY: dict[str, Any] = {"work": "a", "repetitions": 40, "ended_by": "failure"}
"""More than the aim wants: a harder version follows."""
DONE = [("row_45", 1), ("row_45", 9), ("row_45", 15), ("row_45", 60), ("row_60", 9), ("row_75", 8)]
FRACTIONS = {"row_30": 0.3744, "row_45": 0.5288, "row_60": 0.6808, "row_75": 0.7938}
"""Of the body mass, as the catalogue has it with its source: how hard one version is beside another."""
LATER = "follow it as soon as it is there"
ROWS = document(
    "Rows, thirty",
    block(
        "main",
        work("r", "horizontal_row", "row_45", variations=["row_45"], repetitions=30),
        aim=[{"kind": "time", "upper": 1500}],
    ),
)


@pytest.fixture
def world(db: None) -> World:
    world = world_of(WHO, 70.0)
    drain(world.cast)
    return world


def asked_of(world: World, name: str = WHO) -> dict[str, Any]:
    """What the first prescription asks for."""
    with world.cast.inside():
        row = Prescription.objects.filter(athlete=world.athletes[name], session=world.session).get(number=1)
    return next(one for one in row.content["check_sets"] if one["work"] == "a")


def given_to(world: World, name: str = WHO) -> dict[str, Any] | None:
    """What the prescription that follows gives."""
    drain(world.cast)
    return next((one for one in current(world, name).content["work"] if one["work"] == "a"), None)


def version(option: dict[str, Any]) -> dict[str, Any]:
    return {name: option[name] for name in VERSION}


def send_result(world: World, coach: ApiClient, sets: list[int]) -> None:
    """A result of yesterday, not worked out yet."""
    session = place(world, ROWS, -dt.timedelta(hours=30))
    rows = [a_set("r", "row_45", "failure", repetitions=count) for count in sets]
    performed_at = (timezone.now() - dt.timedelta(hours=29)).isoformat()
    log = {"sets": rows, "elapsed_s": 600}
    answer = send(world, session, WHO, client=coach, performed_at=performed_at, set_log=log)
    assert answer.status_code == 201, answer.content


def test_alone_it_names_the_version(world: World, coach: ApiClient) -> None:
    """What the tests below hold themselves against."""
    told = coach.post(check_sets(world, WHO), MANY).json()["next"]
    assert told["step"] == "take_harder"
    given = given_to(world)
    assert given is not None
    assert version(told["option"]) == version(given)


def test_what_is_prescribed_for_another_session_is_not_told(world: World, coach: ApiClient) -> None:
    """Of a later session more versions have been issued; it has none of this work."""
    later = place(world, ROWS, dt.timedelta(days=4))
    drain(world.cast)
    with world.cast.inside():
        row = Prescription.objects.get(athlete=world.athletes[WHO], session=later)
        row.id, row.number = uuid4(), 9
        row.save(force_insert=True)
    told = coach.post(check_sets(world, WHO), MANY).json()["next"]
    assert told["step"] == "take_harder"
    given = given_to(world)
    assert given is not None
    assert version(told["option"]) == version(given)


def test_where_a_result_waits_no_version_is_named(world: World, coach: ApiClient) -> None:
    """Scored first, it may say something else of the same strength."""
    send_result(world, coach, [3, 3, 3])
    told = coach.post(check_sets(world, WHO), MANY).json()["next"]
    assert (told["step"], told["option"]) == ("unclear", None)
    assert told["text"].startswith("By the aim the version is not too hard.")
    assert LATER in told["text"]


def test_where_something_comes_in_between_no_version_is_named(
    world: World, coach: ApiClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After it was worked out and before the set was stored."""

    def interrupted(**told: Any) -> after_check.Foreseen:
        found = after_check.foresee(**told)
        assert found.content is not None
        record_change(kind="athlete", subject=world.athletes[WHO].id)
        return found

    monkeypatch.setattr(floor_views, "foresee", interrupted)
    told = coach.post(check_sets(world, WHO), MANY).json()["next"]
    assert (told["step"], told["option"]) == ("unclear", None)
    assert LATER in told["text"]


def test_nothing_of_the_working_out_stays(world: World, coach: ApiClient) -> None:
    """One set, one observation of it, and the prescription that stood."""
    coach.post(check_sets(world, WHO), MANY)
    with world.cast.inside():
        assert CheckSet.objects.count() == 1
        assert Prescription.objects.filter(athlete=world.athletes[WHO]).count() == 1


def test_of_another_version_the_answer_is_about_that_one(world: World, coach: ApiClient) -> None:
    """Named is what follows where it is not the one that was done, and the step is held against that one."""
    steps = set()
    for number, (key, repetitions) in enumerate(DONE):
        name = f"Bruna Keel {number}"
        add_athlete(world, name, 70.0)
        drain(world.cast)
        assert asked_of(world, name)["variation"] == "row_30"
        done = {"variation": key, "load_kg": None, "assistance_kg": None, "height_cm": None}
        sent = coach.post(check_sets(world, name), {**MANY, "variation": key, "repetitions": repetitions})
        assert sent.status_code == 201, sent.content
        told = sent.json()["next"]
        steps.add(told["step"])
        given = given_to(world, name)
        assert "this version" not in told["text"]
        assert "than the aim wants" not in told["text"], "that is known of the version that was asked for"
        if given is None:
            assert (told["step"], told["option"]) == ("ask_coach", None)
        elif version(given) == done:
            assert (told["step"], told["option"]) == ("keep", None)
        else:
            assert version(told["option"]) == version(given)
            harder = FRACTIONS[given["variation"]] > FRACTIONS[key]
            assert told["step"] == ("take_harder" if harder else "take_easier")
            assert told["step"].removeprefix("take_") in told["text"]
    assert steps == {"keep", "take_easier", "ask_coach"}, "not all of it was shown"


def test_of_another_version_nothing_is_said_before_it_is_worked_out(
    world: World, coach: ApiClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was asked of one version judges no other one."""
    monkeypatch.setattr(after_check, "has_turn_after_check", lambda: False)
    told = coach.post(check_sets(world, WHO), {**MANY, "variation": "row_45"}).json()["next"]
    assert (told["step"], told["option"]) == ("unclear", None)
    assert "Another version was asked for" in told["text"]
    assert LATER in told["text"]


def test_what_stays_though_it_was_too_hard_is_for_a_coach(world: World, coach: ApiClient) -> None:
    """A client reads the step: where nothing easier can be named none is `take_easier` with a version to come."""
    told = coach.post(check_sets(world, WHO), {**MANY, "repetitions": 1}).json()["next"]
    given = given_to(world)
    assert given is None or version(given) == version(asked_of(world)), "else there is nothing to show"
    assert (told["step"], told["option"]) == ("ask_coach", None)
    assert "ask a coach" in told["text"]


def test_sent_again_it_is_answered_the_same(world: World, coach: ApiClient) -> None:
    """By the key of the request at any time; by the client's id without a version until it is worked out."""
    sent, path = {**MANY, "client_id": "pad-3"}, check_sets(world, WHO)
    key = "a-set-of-rows-on-the-floor"
    first = coach.post(path, sent, idempotency_key=key).json()
    assert first["next"]["option"] is not None
    waiting = coach.post(path, sent)
    assert (waiting.status_code, waiting.json()["next"]["option"]) == (200, None)
    assert LATER in waiting.json()["next"]["text"]
    drain(world.cast)
    assert coach.post(path, sent, idempotency_key=key).json() == first
    assert coach.post(path, sent).json() == first
    with world.cast.inside():
        assert CheckSet.objects.count() == 1


def test_a_corrected_set_is_judged_by_what_asked_for_the_first(world: World, coach: ApiClient) -> None:
    """Sent to the prescription that stands by now, which asks for none any more, as often as it is corrected."""
    asked = asked_of(world)
    sent = coach.post(check_sets(world, WHO), {**MANY, "repetitions": 5}).json()
    for repetitions in (12, 40):
        drain(world.cast)
        assert "a" not in [one["work"] for one in current(world, WHO).content["check_sets"]]
        again = {**MANY, "repetitions": repetitions, "replaces": sent["id"]}
        answer = coach.post(check_sets(world, WHO), again)
        assert answer.status_code == 201, answer.content
        sent = answer.json()
        assert sent["variation"] == asked["variation"], (
            "without a variation it was done with the one asked for"
        )
        assert sent["next"]["step"] != "not_asked"
    assert sent["next"]["step"] == "take_harder"
    given = given_to(world)
    assert given is not None
    assert version(sent["next"]["option"]) == version(given)


def test_a_set_that_was_not_asked_for_is_told_what_to_wait_for(world: World, coach: ApiClient) -> None:
    """The version may change by it."""
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    drain(world.cast)
    told = coach.post(check_sets(world, "Bruna Keel"), {**MANY, "repetitions": 2}).json()["next"]
    assert told["step"] == "not_asked"
    assert LATER in told["text"]
