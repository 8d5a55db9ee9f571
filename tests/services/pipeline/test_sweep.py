"""Time alone makes a prescription due when its session comes into the horizon."""

import datetime as dt

import pytest
from django.utils import timezone

from scoring.models import Prescription
from scoring.queries import athletes_without_prescription
from services.pipeline.sweep import sweep_organisations
from tests.support.world import add_athlete, drain, make_world

pytestmark = pytest.mark.usefixtures("committed")


def test_a_session_that_comes_into_the_horizon_is_prescribed(time_machine_factory: object) -> None:
    """Placed nine days ahead: nothing yet. Three days later the sweep asks for it, once."""
    world = make_world(starts_in=dt.timedelta(days=9))
    athlete = add_athlete(world, "Bruna Keel", 62.0, {"row_45": 9})
    drain(world.cast)
    with world.cast.inside():
        assert not Prescription.objects.exists()
    now = timezone.now()
    with time_machine_factory(now + dt.timedelta(days=3)):
        sweep_organisations()
        assert drain(world.cast) == 1
        with world.cast.inside():
            assert Prescription.objects.get().athlete_id == athlete.id
            later = timezone.now() + dt.timedelta(days=7)
            assert athletes_without_prescription(timezone.now(), later) == []
        sweep_organisations()
        assert drain(world.cast) == 0
