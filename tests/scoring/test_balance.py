"""Training balance from stored results and prescriptions, and the shares that a coach wants, over HTTP."""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.actions.group_members import add_group_members
from athletes.models import Athlete
from programming.actions.groups import create_group
from programming.models import ScheduledSession
from programming.plans import session_plan
from scoring.actions import prescriptions
from scoring.actions.session_work import book_planned
from scoring.models import SessionWork
from services.tenancy.actor import Role
from tests.scoring.known import NAME, given, known_world
from tests.scoring.several import a_set, correct, send
from tests.support.api import ApiClient, assert_problem
from tests.support.cast import add_member, make_person
from tests.support.world import World, add_athlete, drain, url

pytestmark = pytest.mark.django_db

STRENGTH = [
    a_set("a", "row_45", "failure", repetitions=5, rest_before_s=rest) for rest in (0.0, 120.0, 120.0)
] + [a_set("b", "goblet_squat", "planned", repetitions=6, load_kg=16.0, rir=2, rest_before_s=90.0)]


@pytest.fixture
def world(db: None) -> World:
    return known_world()


def balance(world: World, coach: ApiClient, of: str = "", **query: str) -> dict[str, Any]:
    of = of or f"athletes/{world.athletes[NAME].id}"
    last = (timezone.now() + dt.timedelta(days=7)).date().isoformat()
    answer = coach.get(url(world, f"{of}/balance"), query={"until_date": last, **query})
    assert answer.status_code == 200, answer.json()
    found: dict[str, Any] = answer.json()
    return found


def logged(world: World, coach: ApiClient, sets: list[dict[str, Any]]) -> Any:
    sent = send(world, world.session, NAME, client=coach, set_log={"sets": sets, "elapsed_s": 900.0})
    assert sent.status_code == 201, sent.json()
    drain(world.cast)
    return sent.json()


def named(lines: list[dict[str, Any]], name: str) -> dict[str, Any]:
    (found,) = (line for line in lines if line["name"] == name)
    return found


def test_what_is_planned_is_that_of_the_prescription(world: World, coach: ApiClient) -> None:
    """As many sets as the plan has, under what its profile says that they train."""
    profile = coach.get(url(world, f"prescriptions/{given(world).id}/profile")).json()["whole"]

    found = balance(world, coach)

    assert found["planned"] == {"sessions": 1, "without_sets": []}
    assert found["done"] == {"sessions": 0, "without_sets": []}
    (line,) = found["sets_by_quality"]
    assert (line["name"], line["planned"]["sets"]) == (profile["trains"], profile["sets"])
    assert line["planned"]["work_s"] == pytest.approx(profile["work_s"], abs=0.1)
    assert line["planned"]["unknown_sets"] == 0
    assert (line["done_share"], line["done_share_reason"]) == (None, "nothing_counted")
    sets = {one["name"]: one["planned"]["sets"] for one in found["sets_by_pattern"]}
    assert set(sets) == {"horizontal_pull", "squat"}
    assert sum(sets.values()) == profile["sets"]
    assert found["cyclical_by_quality"] == []


def test_a_forecast_at_hand_books_what_the_stored_one_does(world: World) -> None:
    """The recompute has it from the calculation, an override reads it from the row; another one books otherwise."""
    row = given(world)
    with world.cast.inside():
        plans = {world.session.id: session_plan(world.session.id)}
        booked = SessionWork.objects.get(origin="planned").entries
        book_planned([row], plans)
        assert SessionWork.objects.get(origin="planned").entries == booked != []
        nothing: dict[str, None] = {}
        book_planned([row], plans, {world.session.id: nothing})
        assert SessionWork.objects.get(origin="planned").entries != booked


def test_what_is_not_stored_after_all_is_not_booked(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    """A result has come while the next prescription was worked out."""
    row = given(world)
    with world.cast.inside():
        SessionWork.objects.all().delete()
        row.pk, row.number = uuid4(), row.number + 1
        monkeypatch.setattr(prescriptions, "taken_of", lambda athlete, sessions: set(sessions))
        plans = {world.session.id: session_plan(world.session.id)}
        assert prescriptions.store(row.athlete_id, [row], plans) == []
        assert not SessionWork.objects.exists()
        monkeypatch.undo()
        assert prescriptions.store(row.athlete_id, [row], plans) == [world.session.id]
        assert SessionWork.objects.get().origin == "planned"


def test_what_is_done_counts_as_what_it_trained(world: World, coach: ApiClient) -> None:
    """Sets of five in a session for endurance are strength; three to failure and one with two left are hard."""
    logged(world, coach, STRENGTH)

    found = balance(world, coach)

    line = named(found["sets_by_quality"], "maximal_strength")
    assert (line["done"]["sets"], line["done"]["hard_sets"], line["done_share"]) == (4, 4, 1.0)
    assert named(found["sets_by_pattern"], "horizontal_pull")["done_share"] == 0.75
    assert found["done"] == {"sessions": 1, "without_sets": []}
    assert found["athletes"] == 1


def test_a_correction_is_booked_in_place_of_what_it_corrects(world: World, coach: ApiClient) -> None:
    """Once, and again as endurance; booking twice is booking once."""
    sent = logged(world, coach, STRENGTH)
    correct(coach, world, sent["id"], [a_set("a", "row_45", "failure", repetitions=20)])

    found = balance(world, coach)

    done = {line["name"]: line["done"]["sets"] for line in found["sets_by_quality"] if line["done"]["sets"]}
    assert done == {"local_muscular_endurance": 1}
    with world.cast.inside():
        assert SessionWork.objects.filter(origin="done").count() == 1


def test_totals_and_what_nobody_believes_have_no_sets(world: World, coach: ApiClient) -> None:
    """They are sessions all the same, and said to be without sets."""
    totals = {"elapsed_s": 600.0, "breaks": 3, "work": [{"work": "a", "repetitions": 60}]}
    assert send(world, world.session, NAME, client=coach, totals=totals).status_code == 201
    drain(world.cast)
    assert balance(world, coach)["done"] == {
        "sessions": 1, "without_sets": [{"reason": "totals_tell_no_sets", "sessions": 1}]
    }  # fmt: skip


def test_an_impossible_log_is_not_booked(world: World, coach: ApiClient) -> None:
    """Until somebody has looked at it; then it is."""
    logged(world, coach, [a_set("a", "row_45", "failure", repetitions=400)])
    assert balance(world, coach)["done"]["without_sets"] == [{"reason": "not_believed", "sessions": 1}]
    review = coach.get(url(world, "reviews")).json()["items"][0]
    answer = coach.patch(
        url(world, f"reviews/{review['id']}"),
        json={"accepted": True, "resolution": "I was there."},
        if_match=f'"{review["id"]}-1"',
    )
    assert answer.status_code == 200, answer.json()
    drain(world.cast)
    assert balance(world, coach)["done"]["without_sets"] == []


def test_only_sessions_of_the_days_that_are_on(world: World, coach: ApiClient) -> None:
    """Neither what lies outside the days, nor a cancelled session, nor one of somebody who is away from it."""
    assert balance(world, coach)["planned"]["sessions"] == 1
    before = balance(world, coach, from_date="2020-01-01", until_date="2020-03-01")
    assert (before["planned"]["sessions"], before["athletes"]) == (0, 0)
    with world.cast.inside():
        ScheduledSession.objects.update(cancelled_at=timezone.now())
    assert balance(world, coach)["planned"]["sessions"] == 0


# Targets.

TARGET = {
    "sets_by_quality": [
        {"name": "maximal_strength", "share": 0.25},
        {"name": "local_muscular_endurance", "share": 0.75},
    ],
    "sets_by_pattern": [],
    "cyclical_by_quality": [],
}


def test_a_target_is_written_read_and_replaced(world: World, coach: ApiClient) -> None:
    """First with If-None-Match, then with the ETag that was read; the balance is held against it."""
    path = url(world, "balance-target")
    assert_problem(coach.get(path), "not_found", 404)
    assert_problem(coach.put(path, json=TARGET), "precondition_required", 428)
    made = coach.put(path, json=TARGET, headers={"If-None-Match": "*"})
    assert (made.status_code, made.json()["version"]) == (201, 1)
    assert made.json()["sets_by_quality"][1] == {"name": "maximal_strength", "share": 0.25}
    first = coach.put(path, json=TARGET, headers={"If-None-Match": "*"})
    assert "one already" in assert_problem(first, "precondition_failed", 412)["detail"]
    again = coach.put(path, json=TARGET, if_match=made.headers["ETag"])
    assert (again.status_code, again.json()["version"]) == (200, 2)
    assert_problem(coach.put(path, json=TARGET, if_match=made.headers["ETag"]), "precondition_failed", 412)
    assert coach.get(path).json() == again.json()

    logged(world, coach, STRENGTH)
    found = balance(world, coach)

    strength = named(found["sets_by_quality"], "maximal_strength")
    assert (strength["target_share"], strength["ahead"]) == (0.25, 0.75)
    assert named(found["sets_by_quality"], "local_muscular_endurance")["ahead"] == -0.75
    assert named(found["sets_by_pattern"], "squat")["ahead_reason"] == "no_target"
    assert (found["target_of"], found["target_version"]) == ("organisation", 2)


@pytest.mark.parametrize(
    ("shares", "code"),
    [
        ([("skill", 0.5)], "sum_not_one"),
        ([("skill", 0.5), ("skill", 0.5)], "duplicate"),
        ([("juggling", 1.0)], "invalid_choice"),
        ([("skill", 1.5)], "max_value"),
    ],
)
def test_shares_that_are_none(
    world: World, coach: ApiClient, shares: list[tuple[str, float]], code: str
) -> None:
    body = {**TARGET, "sets_by_quality": [{"name": name, "share": share} for name, share in shares]}
    answer = coach.put(url(world, "balance-target"), json=body, headers={"If-None-Match": "*"})
    problem = assert_problem(answer, "invalid_input", 400)
    assert {error["code"] for error in problem["errors"]} == {code}
    assert all(error["pointer"].startswith("#/sets_by_quality") for error in problem["errors"])


def group_of(world: World, *athletes: Athlete) -> str:
    with world.cast.inside():
        actor = world.cast.coach.actor
        assert actor is not None
        group = create_group(actor=actor, name=f"Shift {len(athletes)}")
        add_group_members(
            actor=actor,
            group=group,
            athlete_ids=[athlete.id for athlete in athletes],
            from_date=timezone.now().date() - dt.timedelta(days=30),
        )
    return str(group.id)


def test_a_group_is_added_up_and_held_against_its_own_target(world: World, coach: ApiClient) -> None:
    """Two members, one of whom has logged; the group's target before the organisation's, also for an athlete."""
    other = add_athlete(world, "Ravi Sund", 80.0, {"row_45": 12, "goblet_squat": 20})
    drain(world.cast)
    group = group_of(world, world.athletes[NAME], other)
    logged(world, coach, STRENGTH)
    own = {**TARGET, "sets_by_quality": [{"name": "maximal_strength", "share": 1.0}]}
    for path, sent in (("balance-target", TARGET), (f"groups/{group}/balance-target", own)):
        assert coach.put(url(world, path), json=sent, headers={"If-None-Match": "*"}).status_code == 201

    found = balance(world, coach, f"groups/{group}")

    assert (found["planned"]["sessions"], found["done"]["sessions"], found["athletes"]) == (2, 1, 2)
    assert (found["target_of"], named(found["sets_by_quality"], "maximal_strength")["ahead"]) == (
        "group",
        0.0,
    )
    alone = [balance(world, coach, f"athletes/{athlete.id}") for athlete in (world.athletes[NAME], other)]
    for name in ("sets_by_quality", "sets_by_pattern"):
        for line in found[name]:
            parts = [one for each in alone for one in each[name] if one["name"] == line["name"]]
            assert line["planned"]["sets"] == sum(one["planned"]["sets"] for one in parts)
    assert balance(world, coach)["target_of"] == "organisation"
    assert balance(world, coach, group=group)["target_of"] == "group"


def test_who_reads_a_balance(world: World, coach: ApiClient) -> None:
    """A group's is the staff's, of those whom they know of; a target is the coaches' to write."""
    group = group_of(world, world.athletes[NAME])
    cast = world.cast
    elsewhere = make_person("Milla")
    add_member(cast.org, elsewhere, Role.LOCATION_STAFF, (cast.mill,))
    athlete, staff, other = (ApiClient(one.token) for one in (cast.athlete, cast.staff, elsewhere))
    assert_problem(athlete.get(url(world, f"groups/{group}/balance")), "forbidden", 403)
    assert balance(world, staff, f"groups/{group}")["athletes"] == 1
    assert balance(world, other, f"groups/{group}")["athletes"] == 0
    assert_problem(other.get(url(world, f"athletes/{world.athletes[NAME].id}/balance")), "not_found", 404)
    sent = staff.put(url(world, "balance-target"), json=TARGET, headers={"If-None-Match": "*"})
    assert_problem(sent, "forbidden", 403)


@pytest.mark.parametrize(
    ("query", "parameter", "code"),
    [
        ({"from_date": "2030-01-02", "until_date": "2030-01-01"}, "from_date", "out_of_range"),
        ({"from_date": "2028-01-01", "until_date": "2030-01-01"}, "from_date", "out_of_range"),
        ({"until_date": "never"}, "until_date", "invalid"),
        ({"group": "00000000-0000-4000-8000-000000000000"}, "group", "unknown_reference"),
    ],
)
def test_days_that_cannot_be_asked(
    world: World, coach: ApiClient, query: dict[str, str], parameter: str, code: str
) -> None:
    path = url(world, f"athletes/{world.athletes[NAME].id}/balance")
    problem = assert_problem(coach.get(path, query=query), "invalid_input", 400)
    assert [(one["parameter"], one["code"]) for one in problem["errors"]] == [(parameter, code)]


def test_a_group_costs_the_same_for_three_members_as_for_thirty(world: World, coach: ApiClient) -> None:
    counts = []
    balance(world, coach)  # the first use of a token is written down
    for size in (3, 30):
        with world.cast.inside():
            athletes = Athlete.objects.bulk_create(
                Athlete(org=world.cast.org, name=f"M {size} {n}", location=world.cast.harbour, zone="UTC")
                for n in range(size)
            )
            SessionWork.objects.bulk_create(
                SessionWork(
                    org=world.cast.org, session=world.session, athlete=athlete, origin=origin,
                    entries=[["sets", "skill", "squat", 3, 2, 1, 60.0]], method_version=1,
                    computed_at=timezone.now(),
                )
                for athlete in athletes
                for origin in ("planned", "done")
            )  # fmt: skip
        group = group_of(world, *athletes)
        with CaptureQueriesContext(connection) as queries:
            found = balance(world, coach, f"groups/{group}")
        counts.append(len(queries))
        assert named(found["sets_by_quality"], "skill")["done"]["hard_sets"] == 2 * size
    assert counts[0] == counts[1]
