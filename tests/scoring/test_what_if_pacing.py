"""What if a session is paced in a given way: what an answer tells of a pacing gives the same numbers, sent back."""

import datetime as dt
from typing import Any

import pytest

from programming.actions.sessions import put_location_kit
from scoring.models import Prescription
from tests.scoring.known import NAME, known_world
from tests.scoring.sessions import block, document, place, work
from tests.scoring.test_what_if import told
from tests.support.api import ApiClient
from tests.support.world import KIT, World, drain, url

pytestmark = pytest.mark.django_db

LAPS = document(
    "Rows, then laps with squats",
    block(
        "start", work("r", "horizontal_row", "row_45", repetitions=60), aim=[{"kind": "time", "upper": 1500}]
    ),
    block(
        "main",
        work("lap", "run", "run_course", distance_m=200),
        work("squat", "squat", "goblet_squat", load_kg=16, repetitions=20),
        aim=[{"kind": "time", "upper": 1500}],
        order="rounds",
        rounds=3,
    ),
)
TOLD = ("expected_by_block", "conditions", "plan", "stopped_by", "other_pacings")


@pytest.fixture
def world(db: None) -> World:
    return known_world()


def numbers(found: dict[str, Any]) -> dict[str, Any]:
    """What depends on the pacing."""
    return {name: found["content"][name] for name in TOLD} | {"pacing": found["pacing"]}


def test_the_pacing_of_an_answer_gives_its_numbers_again(world: World, coach: ApiClient) -> None:
    """With its patience, which decides how long is rested where little is there."""
    best = told(world, coach)
    (paced,) = best["pacing"]
    assert paced["patience"] > 0.0
    again = told(world, coach, pacing=best["pacing"])
    assert numbers(again) == numbers(best)
    hasty = told(world, coach, pacing=[{**paced, "patience": 0.0}])
    assert numbers(hasty) != numbers(best)


def test_a_pacing_that_was_not_on_any_grid_comes_back_as_it_was(world: World, coach: ApiClient) -> None:
    sent = {"block": "main", "share": 0.7243, "rest_s": 37.5, "patience": 0.21, "pace": 1.0}
    found = told(world, coach, pacing=[sent])
    assert found["pacing"] == [sent]
    assert numbers(told(world, coach, pacing=found["pacing"])) == numbers(found)


def test_what_another_pacing_costs_is_told_of_its_patience(world: World, coach: ApiClient) -> None:
    """So that a change that the prescription prices can be worked out: same patience, same pace."""
    found = told(world, coach)
    (paced,) = found["pacing"]
    others = found["content"]["other_pacings"]
    assert others
    assert {(one["patience"], one["pace"]) for one in others} == {(paced["patience"], paced["pace"])}
    assert {(one["share_now"], one["rest_now_s"]) for one in others} == {(paced["share"], paced["rest_s"])}


def test_each_block_is_paced_for_itself(world: World, coach: ApiClient) -> None:
    """A machine has its pace too; what nobody speaks of is paced as well as may be."""
    with world.cast.inside():
        kit = {"items": {**KIT["items"], "track": {}}}
        put_location_kit(actor=world.cast.coach.actor, location=world.cast.harbour, document=kit, version=1)
    session = place(world, LAPS, dt.timedelta(days=3))
    drain(world.cast)
    with world.cast.inside():
        row = Prescription.objects.get(session=session, athlete=world.athletes[NAME])
    path = url(world, f"prescriptions/{row.id}/what-if")
    named = [
        {"work": "lap", "variation": "run_course"},
        {"work": "squat", "variation": "goblet_squat", "load_kg": 16},
    ]

    def supposed(**body: Any) -> Any:
        return coach.post(path, {"work": named, **body}).json()

    best = supposed()
    assert [one["block"] for one in best["pacing"]] == ["start", "main"]
    again = supposed(pacing=best["pacing"])
    assert numbers(again) == numbers(best)
    main = {"block": "main", "share": 0.6, "rest_s": 90.0, "patience": 0.0, "pace": 0.9}
    slow = supposed(pacing=[main])
    assert slow["pacing"] == [best["pacing"][0], main]
    usual = {key: value for key, value in main.items() if key != "block"}
    assert supposed(pacing=[best["pacing"][0], usual])["pacing"] == slow["pacing"]
