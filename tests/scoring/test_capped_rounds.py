"""Rounds for who may do only so much of the work: prescribed, explained and scored to the end that is told."""

from __future__ import annotations

from typing import Any

import pytest

from programming.actions.sessions import put_location_kit
from scoring.models import Prescription
from tests.scoring.sessions import block, document, place, work
from tests.scoring.several import send, url
from tests.support.api import ApiClient, assert_problem
from tests.support.world import KIT, World, add_athlete, drain, make_world

MIXED = document(
    "Rowing and swings, as far as it goes",
    block(
        "main",
        work("lap", "run", "run_course", distance_m=100),
        work("swing", "kettlebell_swing", "kettlebell_swing", load_kg=16, repetitions=12),
        aim=[{"kind": "effort", "lower": 4, "upper": 9}],
        order="rounds",
        rounds=None,
        end={"kind": "fixed_time", "time_s": 3600},
        scored="rounds",
    ),
)


@pytest.fixture
def world(db: None) -> World:
    """Nia was never seen swinging anything."""
    world = make_world()
    add_athlete(world, "Nia Moor", 70.0)
    with world.cast.inside():
        kit = {"items": {**KIT["items"], "track": {}}}
        put_location_kit(actor=world.cast.coach.actor, location=world.cast.harbour, document=kit, version=1)
    return world


def prescribed(world: World, session: Any) -> Prescription:
    drain(world.cast)
    with world.cast.inside():
        return Prescription.objects.filter(athlete=world.athletes["Nia Moor"], session=session).latest(
            "number"
        )


def test_an_override_says_that_the_end_is_gone(world: World, coach: ApiClient) -> None:
    """Whoever changes the load alone brings all the rounds back, and says that they mean it."""
    session = place(world, MIXED)
    given = prescribed(world, session)
    (told,) = given.content["blocks"]
    path = url(world, f"prescriptions/{given.id}/overrides")
    lighter = {"work": "swing", "variation": "kettlebell_swing", "load_kg": 8}
    sent = {"work": [lighter], "reason": "A lighter one."}
    asked = assert_problem(coach.post(path, sent), "needs_acknowledgement", 422)["errors"]
    said = {one["code"]: one["detail"] for one in asked}
    assert f"ends after {told['rounds']} rounds at the latest" in said["rounds_cap:lap"]
    made = coach.post(path, {**sent, "acknowledged": [*said]})
    assert made.status_code == 201, made.content
    # What a person gave is no measure: the next one is asked the same.
    drain(world.cast)
    again = url(world, f"prescriptions/{prescribed(world, session).id}/overrides")
    asked = assert_problem(coach.post(again, sent), "needs_acknowledgement", 422)["errors"]
    assert "rounds_cap:lap" in {one["code"] for one in asked}


def test_an_hour_of_unseen_swings_ends_after_a_few_rounds(world: World) -> None:
    """Told with the reason, in the expected score and in the explanation; what was done is scored by it."""
    session = place(world, MIXED)
    given = prescribed(world, session)
    content = given.content
    (told,) = content["blocks"]
    assert (content["feasible"], content["as_written"]) == (True, False), (
        content["reasons"] + content["ruled_out"]
    )
    assert 0 < told["rounds"] < 30
    assert ("capped_volume", "swing") in {(one["code"], one["work"]) for one in content["reasons"]}
    assert all(
        one["as_written"] == (one["version_as_written"] and one["amount_as_written"])
        for one in content["work"]
    )
    swings = sum(one["repetitions"] for one in content["plan"] if one["work"] == "swing")
    assert swings <= 12 * told["rounds"]
    expected = content["expected"]
    assert expected["unit"] == "rounds"
    assert expected["rounds"]["p90"]["rounds"] <= told["rounds"]
    assert expected["score"]["p50"] <= told["rounds"]

    coach = ApiClient(world.cast.coach.token)
    why = coach.get(url(world, f"prescriptions/{given.id}/explanation")).json()["sentences"]
    assert any("at most three times what is thought possible when fresh" in line for line in why)
    assert f"So the session ends after {told['rounds']} rounds" in " ".join(why)

    sent = {"totals": {"elapsed_s": 3600, "work": [
        {"work": "lap", "distance_m": 100 * told["rounds"]},
        {"work": "swing", "repetitions": 12 * told["rounds"]},
    ]}}  # fmt: skip
    made = send(world, session, "Nia Moor", prescription=str(given.id), **sent)
    assert made.status_code == 201, made.content
    drain(world.cast)
    score = coach.get(url(world, f"attempts/{made.json()['id']}")).json()["score"]
    assert (score["value"], score["unit"], score["last_round"]) == (told["rounds"], "rounds", [])
    ranking = coach.get(url(world, f"scheduled-sessions/{session.id}/ranking")).json()
    assert [row["division"] for row in ranking["official"]] == ["own_version"]
