"""Of a result held against its forecast: what is fresh, which totals are as told, and whose day it was."""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone

from athletes.models import Athlete
from scoring.calc.forecast import BlockForecast, PlannedSet, Spread, WorkForecast
from scoring.held import _is_foreseen_fresh
from scoring.models import Attempt, ForecastCheck
from tests.scoring.known import NAME, given
from tests.scoring.several import send
from tests.scoring.test_forecast_checks import USUAL, as_told, left_out, report
from tests.support.world import World, add_athlete, drain, make_world


@pytest.fixture
def world(db: None) -> World:
    world = make_world(starts_in=dt.timedelta(minutes=45))
    add_athlete(world, NAME, 62.0, {"row_45": 16, "goblet_squat": 24})
    drain(world.cast)
    return world


@pytest.mark.parametrize(("share", "fresh"), [(0.96, True), (0.95, True), (0.94, False), (0.31, False)])
def test_nearly_all_that_is_there_is_fresh(share: float, fresh: bool) -> None:
    """Twenty fresh: the plan begins the work with a share of them."""
    none = Spread(0.0, 0.0, 0.0)
    part = WorkForecast("a", Spread(15.0, 20.0, 25.0), None, None)
    plan = (PlannedSet("a", 8.0, 0, available=20.0 * share),)
    frozen = BlockForecast((None,) * 19, 1.0, none, 0.8, 40.0, (part,), plan, 64)
    assert _is_foreseen_fresh(frozen, "a") == fresh


@pytest.mark.django_db
@pytest.mark.parametrize(("more_kg", "why"), [(0.0, ""), (4.0, "other_version")])
def test_totals_that_name_what_was_prescribed_count(world: World, more_kg: float, why: str) -> None:
    """The version and the load as told are no other ones for being named."""
    told = {one["work"]: one for one in given(world).content["work"]}
    squats = {"variation": told["b"]["variation"], "load_kg": told["b"]["load_kg"] + more_kg}
    totals = {"elapsed_s": 700.0, "breaks": 2, "work": [
        {"work": "a", "repetitions": 60, "variation": told["a"]["variation"]},
        {"work": "b", "repetitions": 80, **squats},
    ]}  # fmt: skip
    now = timezone.now().isoformat()
    assert send(world, world.session, NAME, totals=totals, performed_at=now).status_code == 201
    drain(world.cast)
    assert left_out(world) == {"": why}


@pytest.mark.django_db
def test_a_check_has_the_day_of_the_athlete_s_clock(world: World) -> None:
    """Half a day east or west of Greenwich one of the two is on another date than the instant's in UTC."""
    now = timezone.now()
    zone = "Pacific/Kiritimati" if now.hour >= 11 else "Pacific/Pago_Pago"
    with world.cast.inside():
        Athlete.objects.filter(id=world.athletes[NAME].id).update(zone=zone)
    report(world, as_told(given(world), *USUAL))
    with world.cast.inside():
        attempt = Attempt.objects.get()
        days = set(ForecastCheck.objects.values_list("local_date", flat=True))
    assert days == {attempt.local_date}
    assert attempt.local_date != attempt.performed_at.astimezone(dt.UTC).date()
