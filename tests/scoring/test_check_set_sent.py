"""A check set as it was sent: its own settings, and an answer that is sent again."""

import pytest

from scoring.models import Prescription
from tests.scoring.sessions import block, document, place, work
from tests.scoring.test_check_sets import check_sets, current
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world, url


@pytest.fixture
def world(db: None) -> World:
    """Nia is new and asked for check sets, Bruna is known."""
    world = make_world()
    add_athlete(world, "Nia Moor", 70.0)
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    drain(world.cast)
    return world


def test_what_was_sent_of_the_settings_was_done(world: World, coach: ApiClient) -> None:
    """Without a variation it is the one asked for, but never with its load in place of the one that was named."""
    asked = next(one for one in current(world, "Nia Moor").content["check_sets"] if one["work"] == "b")
    assert asked["load_kg"] != 12
    sent = {"work": "b", "repetitions": 5, "load_kg": 12, "ended_by": "failure", "confirmed": True}
    answer = coach.post(check_sets(world, "Nia Moor"), sent)
    assert answer.status_code == 201, answer.content
    assert (answer.json()["variation"], answer.json()["load_kg"]) == (asked["variation"], 12)


def test_a_load_without_a_version_is_told_back_as_it_was_taken(world: World, coach: ApiClient) -> None:
    """Of a pair 4 kg are two of 2: whoever meant two of 4 sees it, and what to do."""
    draft = document(
        "Presses",
        block(
            "main",
            work("p", "dumbbell_press", "overhead_press_dumbbells", load_kg=16, repetitions=10),
            aim=[{"kind": "effort", "upper": 9}],
        ),
    )
    session = place(world, draft)
    drain(world.cast)
    with world.cast.inside():
        given = Prescription.objects.get(athlete=world.athletes["Nia Moor"], session=session)
    path = url(world, f"prescriptions/{given.id}/check-sets")
    sent = {"work": "p", "repetitions": 5, "ended_by": "failure", "load_kg": 4}
    stored = coach.post(path, sent)
    assert stored.status_code == 201, stored.content
    answer = stored.json()
    assert (answer["load_kg"], answer["load_text"]) == (4, "2 × 2 kg")
    said = f"Stored as {answer['variation_name']}, 2 × 2 kg: if you did another, replace the set."
    assert said in answer["next"]["text"]
    named = {**sent, "variation": answer["variation"], "replaces": answer["id"]}
    assert "if you did another" not in coach.post(path, named).json()["next"]["text"]


def test_a_replayed_answer_tells_nobody_who_is_held_to_begin(world: World, coach: ApiClient) -> None:
    """The set is the one that was stored; what to do next is of the moment."""
    address = check_sets(world, "Bruna Keel")
    sent = {"work": "a", "repetitions": 14, "rir": 2, "ended_by": "planned"}
    first = coach.post(address, sent, idempotency_key="floor-tablet-0001")
    assert first.json()["next"]["step"] != "stop"
    report = {"kind": "red_flag", "sign": "chest_pain", "note": ""}
    flagged = coach.post(url(world, f"athletes/{world.athletes['Bruna Keel'].id}/reports"), report)
    assert flagged.status_code == 201, flagged.content
    again = coach.post(address, sent, idempotency_key="floor-tablet-0001")
    assert again.headers["Idempotency-Replayed"] == "true"
    assert again.json()["next"]["step"] == "stop"
    assert again.json()["id"] == first.json()["id"]
