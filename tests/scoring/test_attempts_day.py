"""A day of attempts at a heavy load: without an aim, by a coach's override, told and scored attempt by attempt."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from scoring.models import OfficialScore, Prescription
from tests.scoring import sessions
from tests.scoring.several import EFFORT, NO_BREAKS, a_set, place, send, url
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, drain, world_of

pytestmark = pytest.mark.django_db

WHO = "Bruna Keel"
BAR = "deadlift_barbell"
HEAVY: dict[str, Any] = {
    "key": "heavy",
    "work": [sessions.work("lift", "deadlift", BAR, load_kg=60, repetitions=1)],
    "rules": {
        "order": "attempts", "attempts": 3, "rest_between_s": 180, "break": NO_BREAKS,
        "end": {"kind": "work_done"}, "scored": "load", "tie_break": "fewest_misses",
    },
    "aim": {"conditions": []},
}  # fmt: skip


@pytest.fixture
def world(db: None) -> World:
    return world_of(WHO, 62.0)


def day(aim: dict[str, Any]) -> dict[str, Any]:
    return sessions.document("Heavy singles", copy.deepcopy(HEAVY | {"aim": aim}))


@pytest.mark.parametrize("aim", [EFFORT, {"conditions": []}])
def test_attempts_at_a_load_are_planned_as_such(world: World, aim: dict[str, Any]) -> None:
    """Three attempts at what probably fails: each is told as one repetition, not as none."""
    session = sessions.place(world, day(aim))
    drain(world.cast)
    with world.cast.inside():
        given = Prescription.objects.get(athlete=world.athletes[WHO], session=session)
    codes = [one["code"] for one in given.content["reasons"]]
    assert codes == ["maximal_attempt_needs_coach", "works_up_lightly"]
    coach, path = ApiClient(world.cast.coach.token), url(world, f"prescriptions/{given.id}/overrides")
    heavy = {"work": [{"work": "lift", "variation": BAR, "load_kg": 140}], "reason": "She asked for it."}
    assert_problem(coach.post(path, heavy), "needs_acknowledgement", 422)
    made = coach.post(path, heavy | {"acknowledged": ["beyond_capacity:lift", "never_seen:lift"]})
    assert made.status_code == 201, made.content
    with world.cast.inside():
        plan = Prescription.objects.get(id=made.json()["prescription"]).content["plan"]
    assert [one["repetitions"] for one in plan] == [1, 1, 1]
    assert plan[0]["rest_before_s"] == 0
    assert all(one["rest_before_s"] >= 180 for one in plan[1:])


def test_without_an_aim_the_heaviest_lift_is_scored(world: World) -> None:
    """Rising loads, the last one missed: the official score is the heaviest that was lifted."""
    session = place(world, day({"conditions": []}))
    lifts = [(60, 1, "planned"), (80, 1, "planned"), (90, 0, "failure")]
    sets = [a_set("lift", BAR, end, load_kg=load, repetitions=done) for load, done, end in lifts]
    sent = send(world, session, WHO, set_log={"sets": sets, "elapsed_s": 600.0})
    assert sent.status_code == 201, sent.content
    drain(world.cast)
    with world.cast.inside():
        score = OfficialScore.objects.get(attempt=sent.json()["id"], block="heavy")
    assert (score.value, score.unit, score.misses) == (80, "kg", 1)
    assert score.aim == []
