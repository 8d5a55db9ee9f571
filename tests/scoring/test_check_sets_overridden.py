"""After a coach's override a check set settles nothing: who sends one is told to ask the coach."""

from __future__ import annotations

from typing import Any

import pytest

from tests.scoring.test_check_sets import check_sets, current
from tests.support.api import ApiClient
from tests.support.world import World, drain, url, world_of

pytestmark = pytest.mark.django_db

WHO = "Nia Moor"
FAILED: dict[str, Any] = {"work": "b", "repetitions": 3, "ended_by": "failure"}
SQUAT = {"work": "b", "variation": "goblet_squat", "load_kg": 16}


@pytest.fixture
def world(db: None) -> World:
    """Nia is new, and asked for a check set of both movements."""
    world = world_of(WHO, 70.0)
    drain(world.cast)
    return world


def override(world: World, coach: ApiClient, **more: Any) -> Any:
    body = {"work": [SQUAT], "reason": "I know her.", "acknowledged": ["never_seen:b", "beyond_capacity:b"]}
    return coach.post(url(world, f"prescriptions/{current(world, WHO).id}/overrides"), body | more)


def test_the_override_says_which_check_sets_are_asked_for_no_longer(world: World, coach: ApiClient) -> None:
    """Also those of work that it does not name; before it, the way to one is named."""
    refused = override(world, coach, acknowledged=[]).json()["errors"]
    told = next(one["detail"] for one in refused if one["code"] == "never_seen:b")
    assert "let them do a check set first" in told and "after this override none is asked for" in told
    asked = [one["work"] for one in current(world, WHO).content["check_sets"]]
    assert asked == ["a", "b"]
    made = override(world, coach)
    assert made.status_code == 201, made.content
    assert made.json()["check_sets_dropped"] == asked
    after = current(world, WHO).content
    assert after["check_sets"] == []
    assert any("No check set is asked for" in one for one in after["cautions"])


@pytest.mark.parametrize("repetitions", [3, 40])
def test_who_sends_a_set_is_told_to_ask_the_coach(world: World, coach: ApiClient, repetitions: int) -> None:
    """Whichever prescription it is sent to: the overriding one stays, whatever the set shows."""
    before = check_sets(world, WHO)
    made = override(world, coach)
    assert made.status_code == 201, made.content
    drain(world.cast)
    given = current(world, WHO).content["work"]
    for path in (check_sets(world, WHO), before):
        told = coach.post(path, {**FAILED, **SQUAT, "repetitions": repetitions}).json()["next"]
        assert (told["step"], told["option"]) == ("ask_coach", None)
        assert "A coach prescribed this" in told["text"] and "tell the coach" in told["text"]
    drain(world.cast)
    assert current(world, WHO).content["work"] == given
    hurt = coach.post(check_sets(world, WHO), {**FAILED, **SQUAT, "ended_by": "pain"}).json()["next"]
    assert hurt["step"] == "stop", "pain comes first"


def test_a_replayed_answer_sends_nobody_past_the_override(world: World, coach: ApiClient) -> None:
    """The set is the one that was stored; what to do next is of the moment."""
    path, sent = check_sets(world, WHO), {**FAILED, "repetitions": 40}
    first = coach.post(path, sent, idempotency_key="floor-tablet-0007")
    assert first.json()["next"]["step"] != "ask_coach"
    drain(world.cast)
    assert override(world, coach).status_code == 201
    again = coach.post(path, sent, idempotency_key="floor-tablet-0007").json()
    assert (again["id"], again["next"]["step"]) == (first.json()["id"], "ask_coach")
