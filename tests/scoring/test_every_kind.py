"""Sessions of several blocks and of every kind of capacity, from the document to the explanation."""

import copy

import pytest

from athletes.actions.athletes import update_athlete
from programming.actions.sessions import put_location_kit
from programming.models import LocationKit
from scoring.models import Prescription
from tests.scoring.sessions import EVERY_KIND, place
from tests.support.api import ApiClient
from tests.support.world import KIT, World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, "Runa Falk", 70.0)
    return world


def put_kit(world: World, **items: dict) -> None:
    document = copy.deepcopy(KIT)
    document["items"] |= items
    with world.cast.inside():
        kit = LocationKit.objects.get(location=world.cast.harbour)
        put_location_kit(
            actor=world.cast.coach.actor, location=world.cast.harbour, document=document, version=kit.version
        )


def prescribed(world: World) -> tuple[object, Prescription]:
    session = place(world, EVERY_KIND)
    drain(world.cast)
    with world.cast.inside():
        return session, Prescription.objects.get(athlete=world.athletes["Runa Falk"], session=session)


def test_every_block_and_kind_is_prescribed(world: World) -> None:
    """A hold, a jump without a model, a machine and a press: each in its unit, each by its own capacity."""
    put_kit(world, bike={})
    _, given = prescribed(world)
    content = given.content
    assert content["feasible"], content["reasons"]
    told = {one["work"]: one for one in content["work"]}
    kinds = {work: one["capacity_kind"] for work, one in told.items()}
    assert kinds == {"p": "hold", "j": "none", "bike": "cyclical", "press": "load_repetition"}
    assert [one["block"] for one in content["blocks"]] == ["start", "main"]
    assert {one["block"] for one in content["work"] if one["work"] in "pj"} == {"start"}
    assert (told["bike"]["energy_kcal"], told["bike"]["effective_kg"]) == (12.0, None)
    assert told["bike"]["effective_kg_reason"] == "no_load_to_tell"
    assert told["p"]["hold_s"] is not None
    assert content["expected_by_block"]["main"]["score_s"]["p50"] > 60
    assert content["expected"] == content["expected_by_block"]["main"]
    assert given.basis["capacities"]["bike"]["kind"] == "cyclical"
    assert given.basis["capacities"]["bike"]["critical"]["lower"] > 0
    assert given.basis["capacities"]["p"]["minute_kg"]["median"] > 0
    assert given.forecast["unit"] == "s"
    assert "start" in given.basis["forecasts"]


def test_without_the_machine_the_answer_says_so(world: World) -> None:
    """No bike in the kit: that block has no version, the other one has."""
    _, given = prescribed(world)
    assert not given.feasible
    (left_out,) = {one["reason"] for one in given.content["ruled_out"] if one["work"] == "bike"}
    assert left_out == "equipment_missing:bike"
    feasible = {one["block"]: one["feasible"] for one in given.content["blocks"]}
    assert feasible == {"start": True, "main": False}


def test_a_remote_athlete_is_prescribed_from_their_own_kit(world: World) -> None:
    """The location has no bike; the athlete has one at home, and light dumbbells."""
    athlete = world.athletes["Runa Falk"]
    own = {"items": {"bike": {}, "box": {"heights_cm": [30, 45]}, "dumbbell": {"loads_kg": [8, 16]}}}
    with world.cast.inside():
        update_athlete(actor=world.cast.coach.actor, athlete=athlete, expected=athlete.version, kit=own)
    _, given = prescribed(world)
    assert given.feasible, given.content["reasons"]
    assert given.basis["kit"] == "athlete"
    assert {one["work"]: one["load_kg"] for one in given.content["work"]}["press"] in (8.0, 16.0)


def test_the_explanation_names_what_the_numbers_rest_on(world: World) -> None:
    """Capacity with its interval, what was compared, what was left out and why; for the athlete too."""
    put_kit(world, bike={})
    with world.cast.inside():
        athlete = world.athletes["Runa Falk"]
        type(athlete).objects.filter(id=athlete.id).update(person=world.cast.athlete.person)
    _, given = prescribed(world)
    path = f"/api/v1/organisations/{world.cast.org.id}/prescriptions/{given.id}/explanation"
    for token in (world.cast.coach.token, world.cast.athlete.token):
        answer = ApiClient(token).get(path)
        assert answer.status_code == 200, answer.content
        why = answer.json()
        works = {one["work"]: one for one in why["work"]}
        assert set(works) == {"p", "j", "bike", "press"}
        press = works["press"]
        fresh = press["chosen"]["fresh"]
        assert fresh["p10"] <= fresh["p50"] <= fresh["p90"]
        assert press["capacity"]["one_rm_kg"]["lower"] < press["capacity"]["one_rm_kg"]["upper"]
        assert any("load-repetition curve" in line for line in press["sentences"])
        assert any("no capacity model" in line for line in works["j"]["sentences"])
        assert why["sentences"]
        assert [one["code"] for one in why["cautions"]]
