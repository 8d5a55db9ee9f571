"""Time alone makes a prescription due when its session comes into the horizon."""

import datetime as dt
from uuid import UUID

import pytest
import structlog
from django.db import connection
from django.utils import timezone

from scoring.models import Prescription
from scoring.queries import athletes_without_prescription
from services.pipeline import sweep
from services.pipeline.sweep import sweep_organisations
from services.tenancy.context import required_org
from tests.support.cast import make_organisation
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


def test_one_organisation_in_trouble_stops_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its statement fails as the database would let it fail; it is counted, and all others are still seen."""
    bad, good = make_organisation("In trouble"), make_organisation("Well")
    seen: list[UUID] = []

    def look(now: dt.datetime, until: dt.datetime) -> list[UUID]:
        seen.append(required_org())
        if seen[-1] == bad.id:
            with connection.cursor() as cursor:
                cursor.execute("SELECT 1 / 0")
        return []

    # The same trouble whether it comes first or last.
    for order in ([bad.id, good.id], [good.id, bad.id]):
        seen.clear()
        monkeypatch.setattr(sweep, "organisation_ids", lambda order=order: order)
        monkeypatch.setattr(sweep, "athletes_without_prescription", look)
        before = sweep.SWEPT.labels("failed")._value.get()
        with structlog.testing.capture_logs() as logs:
            assert sweep_organisations() == 1
        assert seen == order
        assert sweep.SWEPT.labels("failed")._value.get() == before + 1
        assert [(one["event"], one["organisation"]) for one in logs] == [("sweep_failed", str(bad.id))]
