"""What if a session is done in sets that somebody writes down: what becomes of each, and what nobody could do."""

from dataclasses import replace
from typing import Any

import pytest

from programming.plans import session_plan
from scoring.calc.forecast import BlockForecast
from scoring.calc.prescription import PrescriptionResult
from scoring.content_plan import plan_reason
from scoring.models import Prescription
from scoring.restraint import Restraint
from scoring.working_out import Worked
from tests.scoring.known import NAME, given, known_world
from tests.scoring.several import a_set, send
from tests.scoring.test_what_if import ask, told
from tests.support.api import ApiClient, assert_problem
from tests.support.pointers import WORK
from tests.support.world import World, add_athlete, drain, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    return known_world()


def sets_of(content: dict[str, Any]) -> list[dict[str, Any]]:
    """The plan of a prescription as somebody would send it back."""
    return [
        {"work": one["work"], "repetitions": one["repetitions"], "rest_before_s": one["rest_before_s"]}
        for one in content["plan"]
    ]


def test_the_plan_that_was_prescribed_comes_out_about_as_prescribed(world: World, coach: ApiClient) -> None:
    content = given(world).content
    found = told(world, coach, plan=sets_of(content))
    assert [(one["number"], one["work"]) for one in found["sets"]] == [
        (number, one["work"]) for number, one in enumerate(content["plan"], start=1)
    ]
    # A policy adapts to the day and a list does not, so it comes out no better, and not much worse.
    best, listed = content["expected"]["score"]["p50"], found["content"]["expected"]["score"]["p50"]
    assert 0.95 * best < listed < 1.5 * best
    assert found["sets"][0]["there_probability"] > 0.5
    assert found["profile"]["whole"]["sets"] == len(found["content"]["plan"])


def test_other_rests_give_another_score_and_other_chances(world: World, coach: ApiClient) -> None:
    plan = sets_of(given(world).content)
    short = told(world, coach, plan=[{**one, "rest_before_s": 0} for one in plan])
    long = told(world, coach, plan=[plan[0], *({**one, "rest_before_s": 60} for one in plan[1:])])
    there = [sum(one["there_probability"] for one in found["sets"]) for found in (short, long)]
    assert there[0] < there[1]
    breaks = [found["content"]["expected"]["breaks"]["p50"] for found in (short, long)]
    assert breaks[0] >= breaks[1]


def test_a_set_that_nobody_has_in_them_is_told_so(world: World, coach: ApiClient) -> None:
    """Forty rows at once, of somebody with sixteen: the set fails, and what is missing is made up."""
    found = told(world, coach, plan=[{"work": "a", "repetitions": 40, "rest_before_s": 0}])
    first = found["sets"][0]
    assert (first["there_probability"], first["likely"]) == (0.0, "probably_not")
    assert 10 <= first["done"]["p50"] <= 22
    assert found["fails"] == [
        "Set 1 (Suspension row, 40) is probably not there: as it is written in 0 of 100 cases; where it is begun,"
        f" {first['done']['p50']:g} are likely."
    ]


def test_a_plan_that_is_not_finished_in_time_says_so(world: World, coach: ApiClient) -> None:
    """One set of each and a rest of almost the whole time between: what is there is not all that is asked."""
    content = given(world).content
    first = next(one for one in content["plan"] if one["work"] == "a")["repetitions"]
    plan = [
        {"work": "a", "repetitions": first, "rest_before_s": 0},
        {"work": "b", "repetitions": 5, "rest_before_s": 1500},
    ]
    found = told(world, coach, plan=plan)
    share = found["content"]["expected"]["finish_probability"]
    assert share < 0.1
    assert found["fails"][0].endswith(f" All of it is done in time in {100 * share:.0f} of 100 cases.")
    prescribed = told(world, coach, plan=sets_of(content))
    assert (
        "in time" not in prescribed["fails"][0]
        or prescribed["content"]["expected"]["finish_probability"] < 0.8
    )


def test_nothing_is_stored_of_a_plan(world: World, coach: ApiClient) -> None:
    before = given(world)
    told(world, coach, plan=sets_of(before.content))
    with world.cast.inside():
        assert Prescription.objects.filter(athlete=world.athletes[NAME]).count() == before.number


@pytest.mark.parametrize(("plan", "at", "code"), [
    ([], "#/plan", None),
    ([{"work": "a", "repetitions": 10}], "#/plan/0/rest_before_s", "required"),
    ([{"work": "a", "rest_before_s": 10}], "#/plan/0", "one_of"),
    ([{"work": "a", "repetitions": 0, "rest_before_s": 10}], "#/plan/0/repetitions", None),
    ([{"work": "a", "repetitions": 5, "rest_before_s": -1}], "#/plan/0/rest_before_s", None),
    ([{"work": "a", "repetitions": 5, "hold_s": 5, "rest_before_s": 0}], "#/plan/0", "one_of"),
    ([{"work": "z", "repetitions": 5, "rest_before_s": 0}], f"#/plan/0/{WORK}", "unknown_work"),
    ([{"work": "a", "hold_s": 5, "rest_before_s": 0}], "#/plan/0/hold_s", "wrong_unit"),
    ([{"work": "a", "repetitions": 2000, "rest_before_s": 0}], "#/plan/0", "more_than_left"),
    ([{"work": "a", "repetitions": 5, "rest_before_s": 0},
      {"work": "a", "repetitions": 5, "rest_before_s": 14_400}], "#/plan/1", "rests_too_long"),
])  # fmt: skip
def test_what_cannot_be_done_by_anybody_is_refused_at_its_set(
    world: World, coach: ApiClient, plan: list[dict[str, Any]], at: str, code: str | None
) -> None:
    problem = assert_problem(ask(world, coach, plan=plan), "invalid_input", 400, at=at)
    if code is not None:
        assert code in {one["code"] for one in problem["errors"]}


def test_a_set_out_of_turn_names_whose_turn_it_is(world: World, coach: ApiClient) -> None:
    """Rows and squats in turn, swapped at each break: no two sets of rows come one after the other."""
    rows = {"work": "a", "repetitions": 5, "rest_before_s": 10}
    squats = {"work": "b", "repetitions": 5, "rest_before_s": 10}
    problem = assert_problem(
        ask(world, coach, plan=[rows, rows, squats]), "invalid_input", 400, at="#/plan/1"
    )
    assert "the turn of" in problem["errors"][0]["detail"]


def test_a_plan_and_a_pacing_are_not_both(world: World, coach: ApiClient) -> None:
    plan = [{"work": "a", "repetitions": 5, "rest_before_s": 0}]
    assert_problem(ask(world, coach, plan=plan, pacing=[{"share": 0.5, "rest_s": 30}]), "invalid_input", 400)


def test_of_somebody_of_whom_nothing_is_known_a_plan_is_told_all_the_same(
    world: World, coach: ApiClient
) -> None:
    """By what is thought of people in general: the chances are neither none nor certain."""
    newcomer = add_athlete(world, "Ola Brandt", 70.0, {})
    drain(world.cast)
    with world.cast.inside():
        row = Prescription.objects.filter(athlete=newcomer).order_by("-number").first()
    assert row is not None
    body = {"plan": [{"work": "a", "repetitions": 12, "rest_before_s": 0}]}
    answer = coach.post(url(world, f"prescriptions/{row.id}/what-if"), body)
    assert answer.status_code == 200, answer.json()
    (only,) = answer.json()["sets"]
    assert 0.05 < only["there_probability"] < 0.95


def test_impossible_work_says_why_it_has_no_plan(world: World) -> None:
    """Where in the middle of what is foreseen not one repetition is there."""
    row = given(world)
    with world.cast.inside():
        plan = session_plan(row.session_id)
    assert row.forecast is not None
    forecast = BlockForecast.from_json(row.forecast)
    stub = PrescriptionResult(
        feasible=True, chosen=(), closest=(), forecast=replace(forecast, plan=()), conditions=(), p_all=None,
        candidates=(), ruled_out=(), reasons=(), alternatives=(), check_sets=(), warm_up=(),
    )  # fmt: skip
    worked = Worked({plan.block.key: stub}, None, Restraint({}, True, frozenset(), {}, {}))
    assert plan_reason(worked) == "nothing_possible"
    told_all = Worked(
        {plan.block.key: replace(stub, forecast=forecast)}, None, Restraint({}, True, frozenset(), {}, {})
    )
    assert plan_reason(told_all) is None


def test_after_a_result_it_looks_back(world: World, coach: ApiClient) -> None:
    """No override is made any more; what would have come of another version is told all the same."""
    sent = send(
        world,
        world.session,
        NAME,
        client=coach,
        set_log={"sets": [a_set("a", "row_45", "failure", repetitions=5)], "elapsed_s": 600.0},
    )
    assert sent.status_code == 201, sent.json()
    found = told(world, coach)
    assert [one["code"] for one in found["against"]] == ["result_stored"]
