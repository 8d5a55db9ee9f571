"""One athlete of the harbour with tests of both movements, and what stands prescribed for them."""

from scoring.models import Prescription
from tests.support.world import World, add_athlete, drain, make_world

NAME = "Bruna Keel"


def known_world() -> World:
    world = make_world()
    add_athlete(world, NAME, 62.0, {"row_45": 16, "goblet_squat": 24})
    drain(world.cast)
    return world


def given(world: World) -> Prescription:
    with world.cast.inside():
        found = Prescription.objects.filter(athlete=world.athletes[NAME]).order_by("-number").first()
    assert found is not None
    return found
