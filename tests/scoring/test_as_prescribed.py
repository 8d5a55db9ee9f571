"""A result in one word: everything was done as the plan says."""

import datetime as dt

import pytest
from django.utils import timezone

from athletes.models import Observation
from scoring.models import Attempt, OfficialScore, Prescription, SetLog
from tests.scoring.several import send, url
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    # Tested twice, so that a plan is prescribed and no check set is asked for first.
    add_athlete(world, "Idris Vane", 84.0, {"row_45": 18, "goblet_squat": 26})
    drain(world.cast)
    return world


def with_plan(world, name="Idris Vane"):
    """The athlete's prescription, given a plan of 60 rows and 80 squats."""
    with world.cast.inside():
        real = Prescription.objects.filter(athlete=world.athletes[name]).order_by("-number").first()
        row = {"work": "a", "variation": "row_45", "load_kg": None, "assistance_kg": None, "height_cm": None}
        squat = {**row, "work": "b", "variation": "goblet_squat", "load_kg": 16.0}
        plan = [
            {"work": work, "repetitions": count, "rest_before_s": rest}
            for work, count, rest in (
                ("a", 15, 0),
                ("b", 40, 10),
                ("a", 25, 30),
                ("b", 40, 30),
                ("a", 20, 20),
            )
        ]
        content = {**real.content, "feasible": True, "work": [row, squat], "plan": plan, "blocks": []}
        return Prescription.objects.create(
            org_id=real.org_id, session=real.session, athlete=real.athlete, number=real.number + 1,
            feasible=True, content=content, forecast=real.forecast, basis=real.basis, fingerprint="1" * 64,
            method_version=1, issued_at=timezone.now() - dt.timedelta(hours=1),
        )  # fmt: skip


def test_the_sets_are_those_of_the_plan(world):
    """15*, 40*, 25*, 40, 20: three breaks at 20 s on 700 s are 760; the words stay as they were sent."""
    given = with_plan(world)
    said = {"as_prescribed": {"elapsed_s": 700, "rir": 2}, "prescription": str(given.id)}
    answer = send(world, world.session, "Idris Vane", **said)
    assert (answer.status_code, answer.json()["kind"]) == (201, "as_prescribed")
    drain(world.cast)

    with world.cast.inside():
        attempt = Attempt.objects.get()
        assert attempt.as_sent["as_prescribed"] == {"elapsed_s": 700, "rir": 2}
        sets = SetLog.objects.filter(attempt=attempt).order_by("ordinal")
        assert [(s.work, s.amount, s.rest_before_s, s.ended_by, s.rir) for s in sets] == [
            ("a", 15.0, 0.0, "planned", None), ("b", 40.0, 10.0, "planned", None),
            ("a", 25.0, 30.0, "planned", None), ("b", 40.0, 30.0, "planned", None),
            ("a", 20.0, 20.0, "planned", None),
        ]  # fmt: skip
        score = OfficialScore.objects.get()
        assert (score.state, score.value, score.breaks) == ("finished", 760.0, 3)


def test_it_teaches_only_what_was_possible_at_least(world):
    """No set tells how much more there would have been, whatever was said of the reserve."""
    with_plan(world)
    send(world, world.session, "Idris Vane", as_prescribed={"elapsed_s": 700, "rir": 0})
    drain(world.cast)

    with world.cast.inside():
        kinds = set(Observation.objects.filter(source="attempt").values_list("kind", flat=True))
        assert kinds == {"at_least"}


def test_without_a_plan_it_says_nothing(world):
    """Somebody without a prescription, or with one that has no plan, is asked for what was done."""
    add_athlete(world, "Nia Moor", 70.0)
    said = {"as_prescribed": {"elapsed_s": 700}}
    problem = assert_problem(send(world, world.session, "Nia Moor", **said), "nothing_prescribed", 422)
    assert problem["errors"][0]["pointer"] == "#/as_prescribed"

    given = with_plan(world)
    with world.cast.inside():
        empty = {**given.content, "plan": []}
        Prescription.objects.create(
            org_id=given.org_id, session=given.session, athlete=given.athlete, number=given.number + 1,
            feasible=True, content=empty, forecast=None, basis=given.basis, fingerprint="2" * 64,
            method_version=1, issued_at=timezone.now() - dt.timedelta(minutes=30),
        )  # fmt: skip
    problem = assert_problem(send(world, world.session, "Idris Vane", **said), "nothing_prescribed", 422)
    assert problem["errors"][0]["code"] == "no_plan"
    with world.cast.inside():
        assert not Attempt.objects.exists()


def test_it_can_be_corrected_into_a_log(world):
    """And the other way round: corrections are of every kind."""
    given = with_plan(world)
    coach = ApiClient(world.cast.coach.token)
    first = send(world, world.session, "Idris Vane", as_prescribed={"elapsed_s": 700}).json()
    totals = {"elapsed_s": 720, "breaks": 4,
              "work": [{"work": "a", "repetitions": 60}, {"work": "b", "repetitions": 80}]}  # fmt: skip
    body = {"performed_at": first["performed_at"], "reason": "Four breaks.", "prescription": str(given.id)}
    second = coach.post(url(world, f"attempts/{first['id']}/corrections"), {**body, "totals": totals})
    third = coach.post(
        url(world, f"attempts/{second.json()['id']}/corrections"),
        {**body, "as_prescribed": {"elapsed_s": 690}},
    )
    assert (second.status_code, third.status_code) == (201, 201)
    drain(world.cast)

    with world.cast.inside():
        assert list(OfficialScore.objects.values_list("value", flat=True)) == [750.0]  # 690 + 3 x 20


def long_plan(world, sets, version):
    """A prescription of one row a set, as a version of the calculation stored it."""
    given = with_plan(world)
    with world.cast.inside():
        plan = [{"work": "a", "repetitions": 1, "rest_before_s": 5}] * sets
        return Prescription.objects.create(
            org_id=given.org_id, session=given.session, athlete=given.athlete, number=given.number + 1,
            feasible=True, content={**given.content, "plan": plan}, forecast=None, basis=given.basis,
            fingerprint="4" * 64, method_version=version, issued_at=timezone.now() - dt.timedelta(minutes=30),
        )  # fmt: skip


def test_every_set_of_a_long_plan_is_stored(world):
    """Five hundred planned are five hundred done."""
    long_plan(world, 500, version=3)
    answer = send(world, world.session, "Idris Vane", as_prescribed={"elapsed_s": 4000})
    assert answer.status_code == 201, answer.content
    with world.cast.inside():
        assert SetLog.objects.count() == 500


@pytest.mark.parametrize(("sets", "code"), [(400, 422), (399, 201)])
def test_a_plan_that_was_cut_is_no_statement_of_what_was_done(world, sets, code):
    """Until version 2 a plan ended after 400 sets, done or not: who followed it says what was done."""
    long_plan(world, sets, version=2)
    answer = send(world, world.session, "Idris Vane", as_prescribed={"elapsed_s": 4000})
    assert answer.status_code == code, answer.content
    if code == 422:
        assert assert_problem(answer, "nothing_prescribed", 422)["errors"][0]["code"] == "no_plan"
