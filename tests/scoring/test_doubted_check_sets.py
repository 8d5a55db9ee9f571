"""A check set that is a slip more likely than not is asked about, and a correction keeps what it does not name."""

from __future__ import annotations

from typing import Any

import pytest

from athletes.models import Observation
from scoring.models import CheckSet, Prescription
from tests.scoring.sessions import block, document, place, work
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, add_athlete, drain, make_world, url

pytestmark = pytest.mark.django_db

PRESSES = document(
    "Presses",
    block(
        "main",
        work("p", "dumbbell_press", "overhead_press_dumbbells", load_kg=16, repetitions=10),
        aim=[{"kind": "effort", "upper": 9}],
    ),
)
WHO = "Nia Moor"


@pytest.fixture
def world(db: None) -> World:
    """Nia, a woman of 60 kg with a sign-in, is asked for a check set with a light pair; the kit goes by 4 kg."""
    world = make_world()
    add_athlete(world, WHO, 60.0)
    with world.cast.inside():
        athlete = world.athletes[WHO]
        athlete.sex, athlete.person_id = "female", world.cast.athlete.person.id
        athlete.save()
    place(world, PRESSES)
    drain(world.cast)
    return world


def asked_of(world: World) -> tuple[str, dict[str, Any]]:
    """Where its check set is sent, and what is asked for."""
    with world.cast.inside():
        row = Prescription.objects.filter(content__title="Presses").latest("number")
    return url(world, f"prescriptions/{row.id}/check-sets"), row.content["check_sets"][0]


def told(load_kg: float, **more: Any) -> dict[str, Any]:
    return {"work": "p", "repetitions": 12, "ended_by": "failure", "load_kg": load_kg, **more}


def test_what_is_beyond_belief_the_staff_confirm(world: World, coach: ApiClient) -> None:
    """Ten times what was asked for becomes no prescription by the word of whoever holds the telephone."""
    path, _ = asked_of(world)
    athlete = ApiClient(world.cast.athlete.token)
    for sent in (told(60.0), told(60.0, confirmed=True)):
        problem = assert_problem(athlete.post(path, sent), "implausible_set", 422, at="#/confirmed")
        assert problem["errors"][0]["code"] == "beyond_belief"
        assert "12 repetitions with 2 × 30 kg, is far beyond" in problem["detail"]
        assert "Check load, unit and count" in problem["detail"]
    with world.cast.inside():
        assert not CheckSet.objects.exists() and not Observation.objects.exists()
    assert coach.post(path, told(60.0, confirmed=True)).status_code == 201


@pytest.mark.parametrize(("load_kg", "code"), [(10.0, "load_not_in_kit"), (20.0, "far_above_asked")])
def test_a_slip_of_the_hand_whoever_sends_it_confirms(world: World, load_kg: float, code: str) -> None:
    """Both are nothing special for anybody; 8 kg are asked for, and the kit goes by 4."""
    path, asked = asked_of(world)
    assert asked["load_kg"] == 8.0
    athlete = ApiClient(world.cast.athlete.token)
    problem = assert_problem(athlete.post(path, told(load_kg)), "implausible_set", 422, at="#/confirmed")
    assert [one["code"] for one in problem["errors"]] == [code]
    assert f"2 × {load_kg / 2:g} kg" in problem["detail"] and "If it was so" in problem["detail"]
    assert athlete.post(path, told(load_kg, confirmed=True)).status_code == 201


@pytest.mark.parametrize(
    "sent", [told(16.0), told(4.0), told(60.0, ended_by="pain"), told(60.0, repetitions=0)]
)
def test_else_nothing_is_asked(world: World, sent: dict[str, Any]) -> None:
    """Loads of a step or two up, and what tells nothing of strength: pain is heeded whatever the load."""
    answer = ApiClient(world.cast.athlete.token).post(asked_of(world)[0], sent)
    assert answer.status_code == 201, answer.content


def test_whoever_takes_part_no_longer_is_told(world: World, coach: ApiClient) -> None:
    """They train elsewhere since the set was asked for."""
    path, _ = asked_of(world)
    with world.cast.inside():
        athlete = world.athletes[WHO]
        athlete.location = world.cast.mill
        athlete.save()
    problem = assert_problem(coach.post(path, told(8.0)), "not_taking_part", 422)
    assert "drop-in" in problem["detail"]
    with world.cast.inside():
        assert not CheckSet.objects.exists()


def test_a_correction_keeps_what_it_does_not_name(world: World, coach: ApiClient) -> None:
    """The repetitions were mistyped, not the load."""
    path, _ = asked_of(world)
    first = coach.post(path, told(8.0, client_id="pad-1")).json()
    sent = {"work": "p", "repetitions": 9, "ended_by": "failure", "replaces": first["id"]}
    second = coach.post(path, sent).json()
    assert (second["load_kg"], second["variation"]) == (8.0, first["variation"])
    assert "Stored as" not in second["next"]["text"]
    third = coach.post(path, {**sent, "replaces": second["id"], "load_kg": 4.0}).json()
    assert third["load_kg"] == 4.0 and "Stored as" in third["next"]["text"]


def test_a_set_that_was_corrected_sends_nobody_to_begin(world: World, coach: ApiClient) -> None:
    """Whether it is sent again by its key or by its id."""
    path, sent = asked_of(world)[0], told(8.0, client_id="pad-1")
    first = coach.post(path, sent, idempotency_key="floor-tablet-0011").json()
    assert coach.post(path, sent, idempotency_key="floor-tablet-0011").json() == first
    assert coach.post(path, told(4.0, replaces=first["id"])).status_code == 201
    for key in ("floor-tablet-0011", "floor-tablet-0012"):
        again = coach.post(path, sent, idempotency_key=key).json()
        assert again["id"] == first["id"]
        assert (again["next"]["step"], again["next"]["option"]) == ("unclear", None)
        assert "has been corrected since" in again["next"]["text"]
