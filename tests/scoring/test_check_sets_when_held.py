"""A check set of somebody who is held is stored and answered with the hold's words, never with advice to go on."""

import datetime as dt

import pytest
from django.utils import timezone

from athletes.actions.holds import set_hold
from athletes.actions.reports import Told, create_report
from athletes.guidance import text
from athletes.safety_words import AFTER_STRONG_PAIN, SAFE_ALTERNATIVES
from scoring.models import CheckSet
from tests.scoring.test_check_sets import check_sets, current, url
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db

EASY = {"work": "a", "repetitions": 60, "ended_by": "failure"}
"""More than enough: without a hold they are told to begin."""


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, "Nia Moor", 70.0)
    drain(world.cast)
    return world


def report(world: World, **told: object) -> None:
    with world.cast.inside():
        create_report(
            actor=world.cast.coach.actor,
            athlete=world.athletes["Nia Moor"],
            told=Told(happened_at=timezone.now() - dt.timedelta(minutes=1), **told),
            now=timezone.now(),
        )


def send(world: World, path: str | None = None, **change: object) -> dict:
    coach = ApiClient(world.cast.coach.token)
    answer = coach.post(path or check_sets(world, "Nia Moor"), {**EASY, **change})
    assert answer.status_code in (200, 201), answer.content
    return answer.json()["next"]


def test_a_warning_sign_is_answered_with_the_emergency_text(world: World) -> None:
    """Directly after the report, before anything was worked out, and for the old prescription afterwards."""
    free = send(world)
    assert free["step"] == "take_harder"
    assert "rest, then begin with it." in free["text"]
    shown = url(world, f"prescriptions/{current(world, 'Nia Moor').id}/check-sets")
    report(world, kind="red_flag", sign="chest_pain")
    for _ in range(2):
        told = send(world, shown, repetitions=59)
        assert (told["step"], told["option"], told["rest_s"]) == ("stop", None, None)
        assert told["text"] == f"{text('emergency')} {SAFE_ALTERNATIVES['red_flag']}"
        drain(world.cast)
    with world.cast.inside():
        assert CheckSet.objects.count() == 3


def test_a_set_that_is_sent_again_is_answered_by_what_holds_now(world: World) -> None:
    """The phone that did not hear the first answer must not hear it after the report."""
    assert send(world, client_id="pad-1")["step"] == "take_harder"
    report(world, kind="red_flag", sign="collapse")
    assert send(world, client_id="pad-1")["step"] == "stop"


@pytest.mark.parametrize("ended_by", ["failure", "pain"])
def test_strong_pain_and_a_hold_of_the_staff_stop_too(world: World, ended_by: str) -> None:
    """With what is offered meanwhile, and who ends the hold."""
    shown = url(world, f"prescriptions/{current(world, 'Nia Moor').id}/check-sets")
    with world.cast.inside():
        set_hold(
            actor=world.cast.coach.actor,
            athlete=world.athletes["Nia Moor"],
            reason="Looks unwell; see her physician first.",
            now=timezone.now(),
        )
    told = send(world, shown, ended_by=ended_by)
    assert (told["step"], told["option"]) == ("stop", None)
    assert SAFE_ALTERNATIVES["set_by_staff"] in told["text"]
    assert ("report the pain" in told["text"]) == (ended_by == "pain")
    report(world, kind="pain", site="knee", side="left", severity=8)
    assert AFTER_STRONG_PAIN in send(world, shown)["text"]


def test_without_a_version_the_hold_is_told_before_anything_else(world: World) -> None:
    """A held prescription names none, so that the set cannot be stored; nobody is only asked for the version."""
    report(world, kind="pain", site="knee", side="left", severity=8)
    drain(world.cast)
    assert current(world, "Nia Moor").content["work"] == []
    answer = ApiClient(world.cast.coach.token).post(check_sets(world, "Nia Moor"), EASY)
    problem = assert_problem(answer, "invalid_input", 400, at="#/variation")
    for detail in (problem["detail"], problem["errors"][0]["detail"]):
        assert detail.startswith("You are held: pain was reported")
        assert "say which version was done" in detail
