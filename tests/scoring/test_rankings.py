"""The ranking by forecast compares a result with the forecast of what was done, or not at all."""

import datetime as dt
from typing import Any

import pytest
from django.utils import timezone

from scoring.actions.attempts import Report, submit_attempt
from scoring.models import Prescription, Ranking
from services.tenancy.context import required_org
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db

ROW = {"variation": "row_45", "load_kg": None, "assistance_kg": None, "height_cm": None}
SQUAT = {"variation": "goblet_squat", "load_kg": 16.0, "assistance_kg": None, "height_cm": None}
ONE_DAY_AGO = dt.timedelta(days=-1)


def prescribed(world: World, issued: dt.timedelta) -> Prescription:
    """A prescription of these versions, with the forecast of a real one and four observations behind it."""
    athlete = add_athlete(world, "Bruna Keel", 62.0, {"row_45": 20, "goblet_squat": 30})
    drain(world.cast)
    with world.cast.inside():
        real = Prescription.objects.get(athlete=athlete)
        return Prescription.objects.create(
            org_id=required_org(),
            session=world.session,
            athlete=athlete,
            number=real.number + 1,
            feasible=True,
            forecast=real.forecast,
            content={**real.content, "work": [{"work": "a", **ROW}, {"work": "b", **SQUAT}]},
            basis={**real.basis, "capacities": {"a": {"observations": 4}}},
            fingerprint="0" * 64,
            method_version=1,
            issued_at=timezone.now() + issued,
        )


def by_forecast(issued: dt.timedelta, data: dict[str, Any]) -> tuple[int | None, list[str]]:
    """(rank, notes) of the one result, performed three minutes ago."""
    world = make_world()
    kind = "set_log" if "sets" in data else "totals"
    given = prescribed(world, issued)
    with world.cast.inside():
        report = Report(kind, data, {kind: data}, timezone.now() - dt.timedelta(minutes=3), None, given.id)
        submit_attempt(
            actor=world.cast.coach.actor,
            session_id=world.session.id,
            athlete_id=given.athlete_id,
            report=report,
        )
    drain(world.cast)
    with world.cast.inside():
        (row,) = Ranking.objects.get(session=world.session).by_forecast["rows"]
    return row["rank"], row["notes"]


def log(row: dict[str, Any], squat: dict[str, Any]) -> dict[str, Any]:
    sets = [{"work": "a", **row, "repetitions": 30}, {"work": "b", **squat, "repetitions": 40}] * 2
    return {"sets": [{**one, "ended_by": "planned"} for one in sets], "elapsed_s": 600.0}


@pytest.mark.parametrize(
    ("row", "squat"),
    [
        ({**ROW, "variation": "row_60"}, SQUAT),
        (ROW, {**SQUAT, "load_kg": 24.0}),
        (ROW, {**SQUAT, "variation": "body_weight_squat", "load_kg": None}),
    ],
)
def test_another_version_is_not_held_against_this_forecast(
    row: dict[str, Any], squat: dict[str, Any]
) -> None:
    """Something easier than told beats no forecast; something harder loses to none."""
    assert by_forecast(ONE_DAY_AGO, log(row, squat)) == (None, ["another_version"])


def test_what_was_told_is_ranked() -> None:
    """The same versions and loads, by a prescription that was there before."""
    assert by_forecast(ONE_DAY_AGO, log(ROW, SQUAT))[0] == 1


def test_a_forecast_made_afterwards_is_none() -> None:
    """A forecast that was issued after the result was done has nothing to foresee."""
    assert by_forecast(dt.timedelta(), log(ROW, SQUAT)) == (None, ["another_version"])


def test_totals_go_by_the_prescription_that_they_name() -> None:
    """Totals name no versions."""
    work = [{"work": "a", "repetitions": 60}, {"work": "b", "repetitions": 80}]
    data = {"elapsed_s": 600.0, "breaks": 2, "work": work}
    assert by_forecast(ONE_DAY_AGO, data)[0] == 1
