"""People of elsewhere at a location, with a group or as a guest: what its staff may do for them, and how far."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.actions.group_members import add_group_members
from athletes.models import Athlete, GroupMember
from programming.actions.groups import create_group
from programming.actions.sessions import schedule_session
from programming.models import ScheduledSession
from scoring.actions.day_changes import Change, end_day_change, make_day_change
from scoring.models import Prescription
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, add_athlete, drain, make_world, url

pytestmark = pytest.mark.django_db

WHO = "Nia Moor"


@pytest.fixture
def world(db: None) -> World:
    """Nia trains at the mill; the staff is that of the harbour."""
    world = make_world()
    add_athlete(world, WHO, 70.0, {"row_45": 16, "goblet_squat": 24})
    with world.cast.inside():
        Athlete.objects.filter(id=world.athletes[WHO].id).update(location=world.cast.mill)
        world.athletes[WHO].refresh_from_db()
    return world


@pytest.fixture
def staff(world: World) -> ApiClient:
    return ApiClient(world.cast.staff.token)


@pytest.fixture
def visit(world: World) -> ScheduledSession:
    """A session at the harbour for a group that Nia is in on that day only."""
    actor, soon = world.cast.coach.actor, timezone.now() + dt.timedelta(days=1)
    with world.cast.inside():
        group = create_group(actor=actor, name="Early birds")
        session = schedule_session(
            actor=actor,
            revision_id=world.revision.id,
            location_id=world.cast.harbour.id,
            group_id=group.id,
            starts_at=soon,
        )
        day = session.local_date
        who = [world.athletes[WHO].id]
        add_group_members(actor=actor, group=group, athlete_ids=who, from_date=day, until_date=day)
    drain(world.cast)
    return session


def sheet(world: World, client: ApiClient, **query: str) -> list[dict[str, Any]]:
    items: list[dict[str, Any]] = client.get(url(world, "prescriptions"), query=query).json()["items"]
    return items


def result(world: World, session: ScheduledSession) -> dict[str, Any]:
    row = {"work": "a", "variation": "row_45", "repetitions": 30, "ended_by": "planned"}
    squat = {
        "work": "b",
        "variation": "goblet_squat",
        "load_kg": 16,
        "repetitions": 40,
        "ended_by": "planned",
    }
    return {
        "session": str(session.id),
        "athlete": str(world.athletes[WHO].id),
        "performed_at": (timezone.now() - dt.timedelta(minutes=5)).isoformat(),
        "set_log": {"sets": [row, squat, row, squat], "elapsed_s": 640.0},
    }


def test_staff_coaches_who_comes_with_a_group(
    world: World, staff: ApiClient, visit: ScheduledSession
) -> None:
    """Sheet, override, check set, result, correction: all in that session; the athlete's page stays closed."""
    (given,) = sheet(world, staff, session=str(visit.id), current="true")
    path = url(world, f"prescriptions/{given['id']}")
    assert staff.get(path).status_code == 200
    assert given["athlete_name"] == WHO, "the page that has the name stays closed"
    lighter = {"work": [{"work": "b", "variation": "goblet_squat", "load_kg": 12}], "reason": "Less today."}
    assert staff.post(f"{path}/overrides", lighter).status_code == 201
    sent = staff.post(url(world, "attempts"), result(world, visit))
    assert sent.status_code == 201, sent.content
    attempt = url(world, f"attempts/{sent.json()['id']}")
    assert staff.post(f"{attempt}/notes", {"text": "Knees in."}).status_code == 201
    again = {**result(world, visit), "reason": "Read too early."}
    del again["session"], again["athlete"]
    assert staff.post(f"{attempt}/corrections", again).status_code == 201
    assert len(staff.get(url(world, "attempts"), query={"session": str(visit.id)}).json()["items"]) == 2
    assert_problem(staff.get(url(world, f"athletes/{world.athletes[WHO].id}")), "not_found", 404)


def test_staff_reports_who_comes_with_a_group(
    world: World, staff: ApiClient, visit: ScheduledSession
) -> None:
    """A sign of an emergency is taken, held and answered; no report is shown, and none taken days later."""
    path = url(world, f"athletes/{world.athletes[WHO].id}/reports")
    flag = {"kind": "red_flag", "sign": "chest_pain"}
    answer = staff.post(path, flag)
    assert answer.status_code == 201, answer.content
    assert answer.json()["emergency"]["text"]
    assert answer.json()["hold"]["code"] == "red_flag"
    assert_problem(staff.get(path), "not_found", 404)
    with world.cast.inside():
        later = visit.local_date + dt.timedelta(days=2)
        ScheduledSession.objects.filter(id=visit.id).update(local_date=later)
    assert_problem(staff.post(path, flag), "not_found", 404)


def test_it_ends_with_the_session(world: World, staff: ApiClient, visit: ScheduledSession) -> None:
    """Another session of the athlete, another group's, and the same one once the membership was a mistake."""
    with world.cast.inside():
        at_home = schedule_session(
            actor=world.cast.coach.actor,
            revision_id=world.revision.id,
            location_id=world.cast.mill.id,
            starts_at=timezone.now() + dt.timedelta(days=1),
        )
    drain(world.cast)
    who = str(world.athletes[WHO].id)
    assert [one["session"] for one in sheet(world, staff, athlete=who)] == [str(visit.id)]
    for session in (at_home, world.session):  # at the mill, and for whoever trains at the harbour
        assert_problem(staff.post(url(world, "attempts"), result(world, session)), "invalid_input", 400)
    with world.cast.inside():
        GroupMember.objects.update(until_date=None, from_date=visit.local_date + dt.timedelta(days=1))
    assert sheet(world, staff, athlete=who) == []
    assert_problem(staff.post(url(world, "attempts"), result(world, visit)), "invalid_input", 400)


def test_staff_records_the_result_of_a_guest(world: World, staff: ApiClient) -> None:
    """While the drop-in stands; that it was ended hides the result again."""
    athlete = world.athletes[WHO]
    actor = world.cast.coach.actor
    with world.cast.inside():
        change, _ = make_day_change(
            actor=actor,
            session=world.session,
            athlete_id=athlete.id,
            change=Change(kind="drop_in"),
            now=timezone.now(),
        )
    sent = staff.post(url(world, "attempts"), result(world, world.session))
    assert sent.status_code == 201, sent.content
    path = url(world, f"attempts/{sent.json()['id']}")
    assert staff.get(path).status_code == 200
    with world.cast.inside():
        end_day_change(actor=actor, change=change)
    assert_problem(staff.get(path), "not_found", 404)


def test_a_sheet_costs_the_same_for_three_and_for_thirty(
    world: World, staff: ApiClient, visit: ScheduledSession
) -> None:
    """Who comes with the group is part of the one statement."""

    def cost() -> int:
        with CaptureQueriesContext(connection) as captured:
            sheet(world, staff, session=str(visit.id))
        return len(captured)

    def issue(numbers: range) -> None:
        with world.cast.inside():
            first = Prescription.objects.filter(session=visit).earliest("number")
            for number in numbers:
                first.pk, first.number, first._state.adding = None, number, True
                first.save(force_insert=True)

    issue(range(2, 4))
    cost()  # the first request of a token notes its use
    three = cost()
    issue(range(4, 31))
    assert cost() == three
    assert len(sheet(world, staff, session=str(visit.id), limit="200")) == 30
