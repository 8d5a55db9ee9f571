"""What an override may not step over: a hold of one's own or of somebody else's, the unit, and what can be done."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import timezone

from athletes.actions.holds import release_hold, set_hold
from athletes.actions.reports import Told, create_report
from athletes.actions.screenings import record_screening
from athletes.calc.caution import FAR_MORE_FACTOR
from athletes.guidance import question_set
from athletes.models import Athlete, StaffHold
from scoring.actions.day_changes import Change, make_day_change
from scoring.models import Override, Prescription
from tests.support.api import ApiClient, assert_problem
from tests.support.pointers import WORK
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db

ROWS = {"work": "a", "variation": "row_45"}
SQUATS = {"work": "b", "variation": "goblet_squat", "load_kg": 12}
DONE = {"row_45": 16, "goblet_squat": 24}


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, DONE)
    drain(world.cast)
    return world


def bruna(world: World) -> Athlete:
    return world.athletes["Bruna Keel"]


def send(world: World, member: Any, *work: dict[str, Any], acknowledged: tuple[str, ...] = ()) -> Any:
    """An override of what Bruna is prescribed now."""
    with world.cast.inside():
        given = Prescription.objects.filter(athlete=bruna(world), session=world.session).latest("number")
    path = f"/api/v1/organisations/{world.cast.org.id}/prescriptions/{given.id}/overrides"
    sent = {"work": list(work) or [ROWS, SQUATS], "reason": "A hard day.", "acknowledged": list(acknowledged)}
    return ApiClient(member.token).post(path, sent)


def hold_by_staff(world: World) -> StaffHold:
    with world.cast.inside():
        actor = world.cast.coach.actor
        row, _ = set_hold(actor=actor, athlete=bruna(world), reason="Fever.", now=timezone.now())
    return row


def is_coach(world: World, member: Any) -> None:
    """Bruna is the person of this member."""
    with world.cast.inside():
        bruna(world).person = member.person
        bruna(world).save()


def test_nobody_prescribes_past_a_hold_on_themselves(world: World) -> None:
    """A coach who trains too; another coach may, and once it is released it is an override like any other."""
    is_coach(world, world.cast.coach)
    hold = hold_by_staff(world)
    drain(world.cast)
    named = ("hold:set_by_staff",)
    assert_problem(send(world, world.cast.coach, acknowledged=named), "own_hold", 403)
    with world.cast.inside():
        assert not Override.objects.exists()
    made = send(world, world.cast.owner, acknowledged=named)
    assert made.status_code == 201, made.content
    with world.cast.inside():
        release_hold(
            actor=world.cast.owner.actor, athlete=bruna(world), code="set_by_staff", cause=hold.id,
            reason="Well again.", now=timezone.now(),
        )  # fmt: skip
    drain(world.cast)
    assert send(world, world.cast.coach).status_code == 201


def test_one_s_own_warning_sign_stays_a_warning_sign(world: World) -> None:
    """Neither overridden nor, by the rules of reports, acknowledged by oneself."""
    is_coach(world, world.cast.coach)
    with world.cast.inside():
        told = Told("red_flag", timezone.now(), sign="chest_pain")
        create_report(actor=world.cast.coach.actor, athlete=bruna(world), told=told, now=timezone.now())
    drain(world.cast)
    sent = send(world, world.cast.coach, acknowledged=("hold:red_flag",))
    assert_problem(sent, "held_for_safety", 422)


@pytest.mark.parametrize("code", ["set_by_staff", "screening_yes"])
def test_staff_of_the_session_do_not_prescribe_past_a_hold_of_elsewhere(world: World, code: str) -> None:
    """They see a guest of another place for the day and not the hold, which they could not release either."""
    staff = world.cast.staff
    with world.cast.inside():
        if code == "screening_yes":
            answers = {key: key == "chest_pain" for key in question_set().keys}
            record_screening(
                actor=world.cast.coach.actor, athlete=bruna(world), version=question_set().version,
                answers=answers, used_to_vigorous_effort=True, now=timezone.now(),
            )  # fmt: skip
    if code == "set_by_staff":
        hold_by_staff(world)
    drain(world.cast)
    named = (f"hold:{code}",)
    at_home = send(world, staff, acknowledged=named)
    assert at_home.status_code == 201, "staff of where the athlete trains may release it"
    with world.cast.inside():
        Athlete.objects.filter(id=bruna(world).id).update(location=world.cast.mill)
        make_day_change(
            actor=world.cast.coach.actor, session=world.session, athlete_id=bruna(world).id,
            change=Change("drop_in"), now=timezone.now(),
        )  # fmt: skip
    drain(world.cast)
    assert_problem(send(world, staff, acknowledged=named), "not_your_hold", 403)
    assert send(world, world.cast.coach, acknowledged=named).status_code == 201


@pytest.mark.parametrize("unit", ["hold_s", "distance_m", "energy_kcal"])
def test_an_amount_is_told_in_the_unit_of_the_work(world: World, unit: str) -> None:
    """Seconds are not stored as repetitions; the answer says what to send."""
    answer = send(world, world.cast.coach, {**SQUATS, unit: 30})
    problem = assert_problem(answer, "invalid_input", 400, at=f"#/{WORK}/0/{unit}")
    [fault] = problem["errors"]
    assert fault["code"] == "wrong_unit"
    assert "send that" in fault["detail"] and "repetitions" in fault["detail"]
    with world.cast.inside():
        assert not Override.objects.exists()


def test_more_than_can_be_done_is_named_or_refused(world: World) -> None:
    """2000 of what was done 24 times: refused with both reasons until it is named; named, it is kept with that."""
    asked = {**SQUATS, "repetitions": 2000}
    problem = assert_problem(send(world, world.cast.coach, asked), "needs_acknowledgement", 422)
    [fault] = problem["errors"]
    assert fault["code"] == "beyond_capacity:b"
    assert (
        "at least 2000 repetitions at a time can be done on less than 1 in 100 such days" in fault["detail"]
    )
    assert "2000 repetitions in the session" in fault["detail"]
    assert f"up to {24 * FAR_MORE_FACTOR:g} " in fault["detail"], "the test of last week was the largest bout"
    made = send(world, world.cast.coach, asked, acknowledged=("beyond_capacity:b",))
    assert made.status_code == 201, made.content
    assert made.json()["acknowledged"] == ["beyond_capacity:b"]


@pytest.mark.parametrize("asked", [{}, {"repetitions": 80}, {"repetitions": 20}])
def test_as_much_as_is_written_needs_no_name(world: World, asked: dict[str, int]) -> None:
    """80 are written; what the coach has written for everybody is no matter of the override."""
    assert send(world, world.cast.coach, {**SQUATS, **asked}).json()["acknowledged"] == []


def test_light_work_beyond_the_count_of_the_curve_is_named_too(world: World) -> None:
    """Without a load the model counts no more; so many are still far more than was done of late."""
    air = {"work": "b", "variation": "body_weight_squat", "repetitions": 400}
    problem = assert_problem(send(world, world.cast.coach, air), "needs_acknowledgement", 422)
    assert [fault["code"] for fault in problem["errors"]] == ["beyond_capacity:b"]
