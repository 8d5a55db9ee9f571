"""What is told of a time that nobody can mean is refused where it is; a log of several years comes in."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.utils import timezone

from athletes.models import Assessment, Athlete, BodyMass
from programming.models import ScheduledSession
from scoring.models import Attempt
from tests.scoring import several
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, world_of

pytestmark = pytest.mark.django_db

WHO = "Bruna Keel"
DAY = dt.timedelta(days=1)
YEAR = 365.25 * DAY
LOG = [
    {"work": "a", "variation": "row_45", "repetitions": 60, "ended_by": "planned"},
    {"work": "b", "variation": "goblet_squat", "load_kg": 16, "repetitions": 80, "ended_by": "planned"},
]


@pytest.fixture
def world(db: None) -> World:
    return world_of(WHO, 62.0)


def weigh(world: World, when: dt.datetime, **more: Any) -> Any:
    path = several.url(world, f"athletes/{world.athletes[WHO].id}/body-mass")
    sent = {"body_mass_kg": 61.5, "measured_at": when.isoformat(), **more}
    return ApiClient(world.cast.coach.token).post(path, sent)


def assess(world: World, when: dt.datetime, **more: Any) -> Any:
    path = several.url(world, f"athletes/{world.athletes[WHO].id}/assessments")
    sent = {
        "variation": str(world.variation("row_45")), "kind": "to_failure", "repetitions": 14,
        "performed_at": when.isoformat(), **more,
    }  # fmt: skip
    return ApiClient(world.cast.coach.token).post(path, sent)


def result(world: World, when: dt.datetime, **more: Any) -> Any:
    with world.cast.inside():
        ScheduledSession.objects.filter(id=world.session.id).update(starts_at=when)
    sent = {
        "session": str(world.session.id), "athlete": str(world.athletes[WHO].id),
        "performed_at": when.isoformat(), "set_log": {"elapsed_s": 900, "sets": LOG}, **more,
    }  # fmt: skip
    return ApiClient(world.cast.coach.token).post(several.url(world, "attempts"), sent)


WAYS = [(weigh, "#/measured_at"), (assess, "#/performed_at"), (result, "#/performed_at")]


@pytest.mark.parametrize(("tell", "at"), WAYS)
def test_a_year_that_no_clock_was_set_to_is_refused(world: World, tell: Any, at: str) -> None:
    """Of the year 2000, and a day more than ten years ago; nothing is stored, and it is said what to check."""
    now = timezone.now()
    for when in (dt.datetime(2000, 5, 4, 18, tzinfo=dt.UTC), now - 3661 * DAY):
        problem = assert_problem(tell(world, when), "invalid_input", 400, at=at)
        (fault,) = problem["errors"]
        assert fault["code"] == "too_long_ago"
        assert f"on {when.date()}" in fault["detail"] and "Check the year" in fault["detail"]
    with world.cast.inside():
        assert not Attempt.objects.exists() and not Assessment.objects.exists()
        assert BodyMass.objects.count() == 1


@pytest.mark.parametrize(("tell", "at"), WAYS)
def test_before_birth_nobody_did_anything(world: World, tell: Any, at: str) -> None:
    """By the athlete's own calendar, the day itself not included; stored once, it is answered as it was."""
    now = timezone.now()
    born = (now - 6 * YEAR).date()
    noon = dt.datetime.combine(born, dt.time(12), tzinfo=dt.UTC)
    early = tell(world, noon - 2 * DAY, client_id="one")
    assert early.status_code == 201, early.content
    with world.cast.inside():
        Athlete.objects.filter(id=world.athletes[WHO].id).update(born_on=born)
    again = tell(world, noon - 2 * DAY, client_id="one")
    assert (again.status_code, again.json()["id"]) == (200, early.json()["id"])
    if tell is not result:
        problem = assert_problem(tell(world, noon - 2 * DAY), "invalid_input", 400, at=at)
        assert [fault["code"] for fault in problem["errors"]] == ["before_birth"]
        assert str(born) in problem["errors"][0]["detail"]
        assert tell(world, noon + 2 * DAY).status_code == 201


def test_a_result_before_birth_is_refused(world: World) -> None:
    """The first of its session."""
    born = (timezone.now() - 6 * YEAR).date()
    with world.cast.inside():
        Athlete.objects.filter(id=world.athletes[WHO].id).update(born_on=born)
    when = dt.datetime.combine(born, dt.time(12), tzinfo=dt.UTC) - 2 * DAY
    problem = assert_problem(result(world, when), "invalid_input", 400, at="#/performed_at")
    assert [fault["code"] for fault in problem["errors"]] == ["before_birth"]


@pytest.mark.parametrize(("tell", "at"), WAYS)
def test_a_log_of_five_years_comes_in(world: World, tell: Any, at: str) -> None:
    """And one of almost ten."""
    assert tell(world, timezone.now() - 5 * YEAR).status_code == 201
    if tell is not result:
        assert tell(world, timezone.now() - 3640 * DAY).status_code == 201
