"""A check set as it was sent: its own settings, and an answer that is sent again."""

import pytest

from tests.scoring.test_check_sets import check_sets, current, url
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world


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
    sent = {"work": "b", "repetitions": 5, "load_kg": 12, "ended_by": "failure"}
    answer = coach.post(check_sets(world, "Nia Moor"), sent)
    assert answer.status_code == 201, answer.content
    assert (answer.json()["variation"], answer.json()["load_kg"]) == (asked["variation"], 12)


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
