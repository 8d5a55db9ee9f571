"""Check sets over HTTP: stored once, answered at once, and the prescription follows also inside the freeze."""

import datetime as dt
import json
from dataclasses import asdict
from uuid import uuid4

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.actions.support import local_date
from athletes.day import days_of
from athletes.models import DayChange, Observation
from programming.actions.sessions import schedule_session
from programming.calc.revision import AsWritten, WorkItem
from programming.calc.variation import Option
from programming.models import ScheduledSession
from scoring.actions.day_changes import end_day_change
from scoring.calc.candidate import Candidate
from scoring.calc.check_sets import check_set
from scoring.calc.first_set import judge
from scoring.calc.loss import Window
from scoring.check_advice import advice
from scoring.ground import read_ground
from scoring.models import CheckSet, Prescription
from services.tenancy.context import required_org
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, add_athlete, drain, make_world, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    """The freeze has begun; Nia is new and asked for check sets."""
    world = make_world()
    add_athlete(world, "Nia Moor", 70.0)
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    with world.cast.inside():
        world.cast.harbour.freeze_minutes = 3 * 24 * 60
        world.cast.harbour.save()
    drain(world.cast)
    return world


def current(world: World, name: str) -> Prescription:
    with world.cast.inside():
        rows = Prescription.objects.filter(athlete=world.athletes[name], session=world.session)
        return rows.order_by("-number").first()


def check_sets(world: World, name: str) -> str:
    return url(world, f"prescriptions/{current(world, name).id}/check-sets")


def test_a_check_set_re_issues_inside_the_freeze(world: World, coach: ApiClient) -> None:
    """Seen as an observation of the day; the next number names the set that it rests on."""
    before = current(world, "Nia Moor")
    asked = next(check for check in before.content["check_sets"] if check["work"] == "a")
    sent = coach.post(check_sets(world, "Nia Moor"), {"work": "a", "repetitions": 2, "ended_by": "failure"})
    assert sent.status_code == 201, sent.content
    body = sent.json()
    assert body["variation"] == asked["variation"]
    assert body["next"]["step"] == "ask_coach"
    with world.cast.inside():
        seen = Observation.objects.get(source="check_set", source_id=body["id"])
        assert (seen.kind, seen.repetitions) == ("to_failure", 2.0)
    drain(world.cast)
    after = current(world, "Nia Moor")
    assert after.number == before.number + 1
    assert after.basis["check_sets"] == [body["id"]]
    drain(world.cast)
    assert current(world, "Nia Moor").number == after.number


def test_an_unasked_set_re_issues_too_and_in_the_class(world: World, coach: ApiClient) -> None:
    """Bruna was asked for nothing; twenty minutes into the class she shows less than planned."""
    before = current(world, "Bruna Keel")
    assert not before.content["check_sets"]
    with world.cast.inside():
        begun = timezone.now() - dt.timedelta(minutes=20)
        ScheduledSession.objects.filter(id=world.session.id).update(starts_at=begun)
    sent = coach.post(check_sets(world, "Bruna Keel"), {"work": "a", "repetitions": 5, "ended_by": "failure"})
    assert sent.json()["next"]["step"] == "not_asked"
    drain(world.cast)
    assert current(world, "Bruna Keel").number == before.number + 1


@pytest.mark.parametrize(("days", "accepted"), [(6, True), (8, False), (365, False)])
def test_a_check_set_belongs_to_the_days_before_its_session(
    world: World, coach: ApiClient, days: int, accepted: bool
) -> None:
    """Nothing is prescribed, and so nothing to be checked, more than seven days ahead."""
    at = world.session.starts_at - dt.timedelta(days=days)
    sent = {"work": "a", "repetitions": 8, "ended_by": "planned", "performed_at": at.isoformat()}
    answer = coach.post(check_sets(world, "Bruna Keel"), sent)
    if accepted:
        assert answer.status_code == 201, answer.content
        return
    problem = assert_problem(answer, "invalid_input", 400, at="#/performed_at")
    assert problem["errors"][0]["code"] == "too_long_before_the_session"
    with world.cast.inside():
        assert not CheckSet.objects.exists()


def test_a_check_set_that_is_sent_again_later_is_the_same_one(world: World, coach: ApiClient) -> None:
    """Without performed_at the first sending says when; with another instant it is another set."""
    sent = {"work": "a", "repetitions": 8, "ended_by": "planned", "client_id": "pad-2"}
    first = coach.post(check_sets(world, "Bruna Keel"), sent)
    again = coach.post(check_sets(world, "Bruna Keel"), sent)
    assert (first.status_code, again.status_code) == (201, 200)
    assert again.json() == first.json()
    other = (timezone.now() - dt.timedelta(hours=1)).isoformat()
    moved = coach.post(check_sets(world, "Bruna Keel"), {**sent, "performed_at": other})
    assert_problem(moved, "client_id_reused", 409)


def test_a_mistyped_set_is_replaced_once(world: World, coach: ApiClient) -> None:
    """The replaced set tells nothing any more; a second replacement of it is refused."""
    first = coach.post(
        check_sets(world, "Bruna Keel"), {"work": "a", "repetitions": 2, "ended_by": "failure"}
    ).json()
    again = {"work": "a", "repetitions": 12, "ended_by": "failure", "replaces": first["id"]}
    second = coach.post(check_sets(world, "Bruna Keel"), {**again, "client_id": "pad-1"})
    assert second.status_code == 201
    repeated = coach.post(check_sets(world, "Bruna Keel"), {**again, "client_id": "pad-1"})
    assert (repeated.status_code, repeated.json()) == (200, second.json())
    assert_problem(
        coach.post(check_sets(world, "Bruna Keel"), {**again, "repetitions": 13, "client_id": "pad-1"}),
        "client_id_reused",
        409,
    )
    assert_problem(coach.post(check_sets(world, "Bruna Keel"), again), "check_set_already_replaced", 409)
    with world.cast.inside():
        seen = Observation.objects.filter(source="check_set").values_list("source_id", "repetitions")
        assert [(str(key), count) for key, count in seen] == [(second.json()["id"], 12.0)]


def test_what_check_sets_took_is_known_to_the_next_prescription(world: World, coach: ApiClient) -> None:
    """By work and unit; a set that another one replaces was not done, one after another adds up."""
    sent = {"work": "a", "repetitions": 12, "ended_by": "failure"}
    first = coach.post(check_sets(world, "Nia Moor"), sent).json()
    coach.post(check_sets(world, "Nia Moor"), {**sent, "repetitions": 9, "replaces": first["id"]})
    coach.post(check_sets(world, "Nia Moor"), {**sent, "repetitions": 4})
    with world.cast.inside():
        ground = read_ground(world.athletes["Nia Moor"].id, {world.session.id: world.session.local_date})
    assert dict(ground.done[world.session.id]) == {("a", "repetitions"): 13.0}


def test_after_pain_what_works_the_same_muscles_is_left_out_and_not_checked(
    world: World, coach: ApiClient
) -> None:
    """Until somebody ends the change of the day, or the set turns out to be mistyped."""
    asked = current(world, "Nia Moor").content["check_sets"]
    assert [one["work"] for one in asked] == ["a", "b"]
    sent = {"work": "a", "repetitions": 3, "rir": 5, "ended_by": "pain"}
    hurt = coach.post(check_sets(world, "Nia Moor"), sent).json()
    assert hurt["next"]["step"] == "stop"
    drain(world.cast)
    after = current(world, "Nia Moor").content
    assert after["day"]["sore_muscle_groups"]
    assert "a" not in [one["work"] for one in (*after["work"], *after["check_sets"])]
    reasons = {one["reason"] for one in after["ruled_out"] if one["work"] == "a"}
    assert reasons
    assert all(one.startswith("sore:") for one in reasons)

    version = {name: hurt[name] for name in ("variation", "load_kg") if hurt[name] is not None}
    mistyped = {**sent, **version, "repetitions": 12, "ended_by": "planned", "replaces": hurt["id"]}
    assert coach.post(check_sets(world, "Nia Moor"), mistyped).status_code == 201
    drain(world.cast)
    again = current(world, "Nia Moor").content
    assert not again["day"]["sore_muscle_groups"]
    assert "a" in [one["work"] for one in again["work"]]
    assert "a" not in [one["work"] for one in again["check_sets"]], "one set of a movement in a session"


def test_pain_in_a_check_set_is_heeded_in_every_session_of_the_day_and_the_next(
    world: World, coach: ApiClient
) -> None:
    """Later that day and on the next as after a sore day's word, until it is ended; not on the third day.
    More of what hurt is asked for nowhere, and no capacity is learned from the set.
    """
    actor, first = world.cast.coach.actor, world.session
    assert actor is not None
    today = local_date(timezone.now(), world.athletes["Nia Moor"].zone)

    def on_day(session: ScheduledSession, days: int) -> ScheduledSession:
        """The date alone, so that no test depends on the hour at which it runs."""
        session.local_date = today + dt.timedelta(days=days)
        session.save()
        return session

    with world.cast.inside():
        on_day(first, 0)
        others = [
            on_day(
                schedule_session(
                    actor=actor,
                    revision_id=world.revision.id,
                    location_id=world.cast.harbour.id,
                    starts_at=first.starts_at + dt.timedelta(hours=days + 1),
                ),
                days,
            )
            for days in (0, 1, 2)
        ]
    drain(world.cast)

    def works(session: ScheduledSession) -> set[str]:
        with world.cast.inside():
            rows = Prescription.objects.filter(athlete=world.athletes["Nia Moor"], session=session)
            content = rows.order_by("-number").first().content
        return {one["work"] for one in (*content["work"], *content["closest"], *content["check_sets"])}

    assert all("a" in works(one) for one in (first, *others))
    sent = {"work": "a", "repetitions": 3, "rir": 5, "ended_by": "pain"}
    assert coach.post(check_sets(world, "Nia Moor"), sent).status_code == 201
    drain(world.cast)
    with world.cast.inside():
        assert not Observation.objects.filter(source="check_set").exists()
        made = DayChange.objects.get()
    (told,) = coach.get(url(world, f"scheduled-sessions/{first.id}/day-changes")).json()["items"]
    assert (told["id"], told["until"]) == (str(made.id), (today + dt.timedelta(days=1)).isoformat())
    assert ["a" in works(one) for one in (first, *others)] == [False, False, False, True]

    with world.cast.inside():
        end_day_change(actor=actor, change=made)
    drain(world.cast)
    assert all("a" in works(one) for one in (first, *others))


@pytest.mark.parametrize(("after", "spared"), [(0, True), (1, True), (2, False)])
def test_what_lasts_holds_until_its_date_for_sessions_it_was_not_made_for(
    world: World, after: int, spared: bool
) -> None:
    """A change of one session until the day after it; another session on, one and two days after."""
    athlete, day = world.athletes["Nia Moor"], world.session.local_date
    other = uuid4()
    with world.cast.inside():
        until = day + dt.timedelta(days=1)
        DayChange.objects.create(
            org_id=world.cast.org.id, session=world.session, athlete=athlete, kind="sore",
            muscle_groups=["quadriceps"], until=until, made_by_id=world.cast.coach.actor.person_id,
        )  # fmt: skip
        found = days_of(athlete.id, {other: day + dt.timedelta(days=after)})
        of_nobody_else = days_of(world.athletes["Bruna Keel"].id, {other: day})
    assert (other in found) is spared
    assert of_nobody_else == {}


def test_the_same_client_id_is_the_same_set(world: World, coach: ApiClient) -> None:
    """Sent twice by a phone without a net: stored once, and 200 the second time."""
    when = (timezone.now() - dt.timedelta(minutes=1)).isoformat()
    body = {
        "work": "b",
        "repetitions": 9,
        "rir": 4,
        "ended_by": "planned",
        "performed_at": when,
        "client_id": "pad-7",
    }
    answers = [coach.post(check_sets(world, "Bruna Keel"), body) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [201, 200]
    assert answers[0].json()["id"] == answers[1].json()["id"]


@pytest.mark.parametrize(
    ("change", "status", "code"),
    [
        ({"work": "zz"}, 400, "invalid_input"),
        ({"variation": "plank"}, 400, "invalid_input"),
        ({"load_kg": 12.0, "variation": "row_45"}, 400, "invalid_input"),
        ({"repetitions": 1900}, 422, "implausible_set"),
        ({"hold_s": 20.0}, 400, "invalid_input"),
    ],
    ids=["work", "variation", "setting", "implausible", "two_amounts"],
)
def test_what_cannot_be_meant_is_refused(
    world: World, coach: ApiClient, change: dict, status: int, code: str
) -> None:
    """And stores nothing."""
    body = {"work": "a", "repetitions": 9, "ended_by": "failure", **change}
    assert_problem(coach.post(check_sets(world, "Bruna Keel"), body), code, status)
    with world.cast.inside():
        assert not CheckSet.objects.exists()


def test_after_the_day_nothing_is_checked_any_more(world: World, coach: ApiClient) -> None:
    """A set told a day later is no check set."""
    with world.cast.inside():
        ScheduledSession.objects.filter(id=world.session.id).update(
            starts_at=timezone.now() - dt.timedelta(hours=13)
        )
    answer = coach.post(
        check_sets(world, "Bruna Keel"), {"work": "a", "repetitions": 9, "ended_by": "failure"}
    )
    assert_problem(answer, "session_over", 422)


ASKED = {
    "work": "a",
    "stop_at": 8,
    "reserve_at_least": 2,
    "reserve_at_most": 12,
    "rest_after_s": 600,
    "if_easier_needed": {"variation": "easier"},
    "if_harder_possible": {"variation": "harder"},
}


@pytest.mark.parametrize(
    ("amount", "rir", "ended_by", "step"),
    [
        (8, 2, "planned", "keep"),
        (8, 12, "planned", "keep"),
        (8, 1, "planned", "take_easier"),
        (8, 13, "planned", "take_harder"),
        (9, None, "failure", "take_easier"),
        (10, None, "failure", "keep"),
        (21, None, "failure", "take_harder"),
        (8, None, "planned", "unclear"),
        (8, 5, "pain", "stop"),
    ],
)
def test_the_answer_follows_what_was_asked(amount: int, rir: int | None, ended_by: str, step: str) -> None:
    """Asked: eight with two to twelve left, so ten to twenty in all."""
    told = advice({"check_sets": [ASKED]}, "a", amount, rir, ended_by)
    assert told.step == step
    assert told.option is None, "what the set shows names no version"


@pytest.mark.parametrize(("most", "one_sided"), [(12, False), (None, True)])
def test_without_a_most_a_set_shows_only_that_it_is_not_too_hard(most: int | None, one_sided: bool) -> None:
    """Kept both times; said apart, and known apart by whoever must not let it be begun with yet."""
    content = {"check_sets": [{**ASKED, "reserve_at_most": most}]}
    told = advice(content, "a", 8, 5, "planned")
    assert (told.step, told.one_sided) == ("keep", one_sided)
    assert told.text.startswith("Not too hard:" if one_sided else "The version fits:")


WINDOWS = [(1, 3), (6, 20), (8, 12), (12, 20), (14, 28), (20, 30), (30, None), (None, 15), (40, 60)]


@pytest.mark.parametrize(("lower", "upper"), WINDOWS)
def test_every_step_can_be_told_by_who_stops_as_asked(lower: int | None, upper: int | None) -> None:
    """Whatever is available in truth: with what the interface takes (ten left at most), the step is the right one."""
    window = Window(lower, upper, low_is_hard=True)
    options = [
        Candidate(Option("any", None, None, None, kg), np.exp(np.linspace(0.0, 5.0, 1025)) * 20.0 / kg)
        for kg in (10.0, 20.0, 40.0)
    ]
    judged = judge(options, [window])
    middle = next(one for one in judged if one.candidate is options[1])
    asked = check_set(
        WorkItem("a", "any", 80.0, AsWritten("any", None, None, None)), middle, judged, [window]
    )
    assert asked is not None
    content = {"check_sets": [{**asdict(asked), "if_easier_needed": None, "if_harder_possible": None}]}
    for able in range(1, 80):
        # As told: to `stop_at`, or to where so many are left; more than ten is told as ten.
        done = max(min(asked.stop_at, able - asked.reserve_at_least), 1)
        left = min(able - done, 10)
        step = advice(content, "a", done, left, "planned").step
        right = "keep"
        if able < (3 if lower is None else lower):
            right = "take_easier"
        elif upper is not None and able > upper:
            right = "take_harder"
        assert step == right, (able, done, left)


def test_a_list_costs_the_same_for_three_rows_and_thirty() -> None:
    """The number of queries does not grow with the number of check sets."""
    found = []
    for count in (3, 30):
        world = make_world()
        athlete = add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
        drain(world.cast)
        given = current(world, "Bruna Keel")
        with world.cast.inside():
            version = given.basis["variation_versions"]["a"]
            CheckSet.objects.bulk_create(
                CheckSet(
                    org_id=required_org(), prescription=given, session=world.session, athlete=athlete, work="a",
                    variation_version_id=version, amount=8.0, unit="repetitions", ended_by="planned",
                    performed_at=timezone.now(), zone="UTC", local_date=timezone.now().date(),
                    sent_by=world.cast.coach.person,
                )
                for _ in range(count)
            )  # fmt: skip
        with CaptureQueriesContext(connection) as queries:
            answer = ApiClient(world.cast.coach.token).get(
                check_sets(world, "Bruna Keel"), query={"limit": "50"}
            )
        assert len(json.loads(answer.content)["items"]) == count
        found.append(len(queries))
    assert found[0] == found[1]
