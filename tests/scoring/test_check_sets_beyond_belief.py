"""A check set is judged as a result is, whatever it is counted in; of an unknown load it tells nothing."""

import pytest

from athletes.models import Capacity, Observation
from scoring.models import CheckSet, Prescription
from tests.scoring.sessions import block, document, place, work
from tests.scoring.test_check_sets import check_sets, current, url
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db

HELD = document(
    "A plank",
    block("main", work("p", "plank", "plank", hold_s=60), aim=[{"kind": "time", "lower": 60, "upper": 300}]),
)


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, "Nia Moor", 70.0)
    add_athlete(world, "Tove Ash")
    drain(world.cast)
    return world


@pytest.mark.parametrize(("seconds", "stored"), [(90.0, True), (36_000.0, False)])
def test_a_hold_beyond_belief_is_refused(world: World, seconds: float, stored: bool) -> None:
    """Ten hours of plank are a wrong unit; a minute and a half is a plank."""
    session = place(world, HELD)
    drain(world.cast)
    with world.cast.inside():
        rows = Prescription.objects.filter(athlete=world.athletes["Nia Moor"], session=session)
        given = rows.latest("number")
    sent = {"work": "p", "variation": "plank", "hold_s": seconds, "ended_by": "failure"}
    answer = ApiClient(world.cast.coach.token).post(url(world, f"prescriptions/{given.id}/check-sets"), sent)
    if stored:
        assert answer.status_code == 201, answer.content
    else:
        problem = assert_problem(answer, "implausible_set", 422, at="#/confirmed")
        assert "one of the staff who has seen it" in problem["detail"]
    with world.cast.inside():
        assert CheckSet.objects.exists() is stored
        assert Observation.objects.filter(source="check_set").exists() is stored


def test_a_set_of_nobody_knows_how_much_is_kept_and_tells_nothing(world: World) -> None:
    """Stored with what was told; a weighing that comes later makes no capacity of what nobody could judge."""
    sent = {
        "work": "b", "variation": "goblet_squat", "load_kg": 60.0, "repetitions": 20, "ended_by": "planned",
        "confirmed": True,
    }  # fmt: skip
    assert current(world, "Tove Ash") is not None
    answer = ApiClient(world.cast.coach.token).post(check_sets(world, "Tove Ash"), sent)
    assert answer.status_code == 201, answer.content
    drain(world.cast)
    with world.cast.inside():
        assert CheckSet.objects.get().load_kg == 60.0
        assert not Observation.objects.filter(source="check_set").exists()
        assert not Capacity.objects.filter(athlete=world.athletes["Tove Ash"]).exists()
