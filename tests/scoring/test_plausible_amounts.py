"""A typing error in seconds, metres or kilocalories is asked about; what a very fit person does is not."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.performed import MassHistory, mass_history
from programming.actions.catalogue import install_catalogue
from programming.models import VariationVersion
from programming.plans import variation_entries
from scoring.calc.attempt import SetEntry
from scoring.observed import Logged
from scoring.plausible import surprises
from tests.support.cast import Cast

pytestmark = pytest.mark.django_db
DAY = dt.date(2030, 3, 20)
MASSES = mass_history([(DAY, 75.0)])


def logged(key: str, amount: float, unit: str, duration_s: float | None = None, **entry) -> Logged:
    version = VariationVersion.objects.get(variation__key=key)
    done = variation_entries([version.id])[version.id]
    return Logged(SetEntry("a", amount, unit=unit, duration_s=duration_s, **entry), done)


@pytest.fixture
def inside(cast: Cast):
    with cast.inside():
        install_catalogue(org=cast.org)
        yield


@pytest.mark.parametrize(
    ("key", "amount", "unit", "seconds", "asked"),
    [
        ("plank", 400.0, "hold_s", None, False),  # far above the typical 100 s, within what people do
        ("plank", 80_000.0, "hold_s", None, True),  # a day
        ("run_course", 3000.0, "distance_m", 600.0, False),  # 5 m/s: fast
        ("run_course", 10_000.0, "distance_m", 600.0, True),  # 60 km/h
        ("run_course", 100.0, "distance_m", 12.0, False),  # a sprint is no matter of two parameters
        ("run_course", 10_000.0, "distance_m", 1600.0, False),  # the best of the world: 6.3 m/s
        ("row_machine", 2000.0, "distance_m", 380.0, False),
        ("row_machine", 2000.0, "distance_m", 38.0, True),
        ("fan_bike", 15.0, "energy_kcal", 40.0, False),
        ("fan_bike", 1500.0, "energy_kcal", 60.0, True),
        (
            "fan_bike",
            1500.0,
            "energy_kcal",
            None,
            False,
        ),  # without a time there is nothing to hold it against
        ("fan_bike", 15.0, "energy_kcal", 0.0, False),
    ],
)
def test_what_is_asked_about(inside, key, amount, unit, seconds, asked) -> None:
    """Only what is beyond four spreads between people and at least double."""
    found = surprises([logged(key, amount, unit, seconds)], MASSES, DAY)

    assert bool(found) == asked
    if asked:
        assert found[0].code == "implausible_performance"
        assert f"{amount:g}" in found[0].detail and "_" not in found[0].detail


def test_one_finding_a_movement_and_two_queries(inside) -> None:
    """However many sets of whatever kind; none at all where no capacity is kept; no body mass, no judgement of a
    body-weight hold.
    """
    sets = [logged("plank", 80_000.0, "hold_s")] * 3 + [logged("fan_bike", 1500.0, "energy_kcal", 60.0)] * 30
    sets += [logged("bench_press_barbell", 10.0, "repetitions", load_kg=300.0)] * 2
    with CaptureQueriesContext(connection) as queries:
        found = surprises(sets, MASSES, DAY)
    assert (len(found), len(queries)) == (3, 2)
    assert "300 kg" in found[-1].detail
    jump = logged("box_jump", 5.0, "repetitions")
    with CaptureQueriesContext(connection) as queries:
        assert surprises([jump], MASSES, DAY) == ()
    assert len(queries) == 0
    assert surprises([logged("plank", 80_000.0, "hold_s")], MassHistory(), DAY) == ()


def test_one_surprise_hides_no_other(inside) -> None:
    """Forty squats with 90 kg at the chest are asked about beside a bench press that nobody does, and once each."""
    squat = logged("goblet_squat", 40.0, "repetitions", load_kg=90.0)
    press = logged("bench_press_barbell", 10.0, "repetitions", load_kg=300.0)

    alone = surprises([squat], MASSES, DAY)
    both = surprises([press, squat, press, squat], MASSES, DAY)

    assert ["at the chest" in one.detail for one in alone] == [True]
    assert [("Bench press" in one.detail, "at the chest" in one.detail) for one in both] == [
        (True, False),
        (False, True),
    ]


def test_a_variation_is_asked_about_once(inside) -> None:
    """Five hundred kilograms at the chest are beyond the legs and beyond the hands."""
    squat = logged("goblet_squat", 40.0, "repetitions", load_kg=500.0)
    assert len(surprises([squat, squat], MASSES, DAY)) == 1
