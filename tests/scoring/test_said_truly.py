"""Small answers that used to say less, or something else, than what is so."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from programming.plans import session_plan
from scoring.beyond import _what_tells
from scoring.brief_words import option_said, overridden_lines
from scoring.calc.prescription import CheckSet as AskedSet
from scoring.calc.prescription import PrescriptionResult
from scoring.content_plan import plan_reason
from scoring.errors import ReachCheckRunning
from scoring.models import CheckSet
from scoring.names import Names
from scoring.restraint import Restraint
from scoring.words import listed
from scoring.working_out import Worked
from tests.scoring.known import NAME, given, known_world
from tests.scoring.several import ROUNDS, a_set, document, place, send
from tests.scoring.test_check_sets import check_sets
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    return known_world()


def test_a_profile_says_which_prescription_holds(world: World, coach: ApiClient) -> None:
    """Null while it holds; afterwards the one that does."""
    old = given(world)
    first = coach.get(url(world, f"prescriptions/{old.id}/profile")).json()
    assert (first["superseded_by"], first["replaced_by"]) == (None, None)
    body = {"work": [], "reason": "As it is.", "acknowledged": []}
    assert coach.post(url(world, f"prescriptions/{old.id}/overrides"), body).status_code == 201
    later = coach.get(url(world, f"prescriptions/{old.id}/profile")).json()
    assert later["superseded_by"] == str(given(world).id)


def test_a_profile_of_a_corrected_result_names_the_correction(world: World, coach: ApiClient) -> None:
    log = {"set_log": {"sets": [a_set("a", "row_45", repetitions=10)], "elapsed_s": 600.0}}
    sent = send(world, world.session, NAME, client=coach, **log).json()
    body = {**log, "performed_at": sent["performed_at"], "reason": "A set was missing."}
    made = coach.post(url(world, f"attempts/{sent['id']}/corrections"), body)
    assert made.status_code == 201, made.json()
    found = coach.get(url(world, f"attempts/{sent['id']}/profile")).json()
    assert (found["superseded_by"], found["replaced_by"]) == (None, made.json()["id"])


def test_of_a_machine_no_number_is_available(world: World, coach: ApiClient) -> None:
    """Not that a capacity is missing: who runs out of breath goes on more slowly."""
    session = place(world, document(ROUNDS))
    sets = [a_set("machine", "row_machine", energy_kcal=15, duration_s=60.0, rest_before_s=0.0)]
    sent = send(world, session, NAME, client=coach, set_log={"sets": sets, "elapsed_s": 600.0})
    assert sent.status_code == 201, sent.json()
    (share,) = coach.get(url(world, f"attempts/{sent.json()['id']}/profile")).json()["shares"]
    assert (share["available"], share["available_reason"]) == (None, "paced_work_has_no_set_limit")


def test_what_tells_how_much_can_be_done_of_machine_work() -> None:
    assert _what_tells(None) == "nothing tells whether that can be done"


def test_a_version_has_one_name_in_a_brief() -> None:
    """The one that was stored, as in the cautions, whatever the catalogue calls it by now."""
    option = {
        "variation": "row_45", "variation_name": "Row as it was called", "load_kg": None, "assistance_kg": None,
        "height_cm": None,
    }  # fmt: skip
    assert option_said(option, Names(variations={"row_45": "Row by another name"})) == "Row as it was called"


def test_names_with_commas_are_told_apart() -> None:
    assert listed(["Push-up, hands raised", "Row"]) == "Push-up, hands raised; Row"
    assert listed(["Push-up", "Row"]) == "Push-up, Row"
    told = {"overridden_by": {"reason": "So.", "acknowledged": ["volume_cap:r", "minor"]}}
    lines = overridden_lines(told, Names(works={"r": "Row, second time"}))
    assert "the limit of the amount of Row, second time; more than" in lines[1]


def test_a_block_that_waits_for_its_check_set_is_not_infeasible(world: World) -> None:
    """Beside one that cannot be prescribed: of that one the block itself says so."""
    with world.cast.inside():
        plan = session_plan(world.session.id)
    none = PrescriptionResult(
        feasible=False, chosen=(), closest=(), forecast=None, conditions=(), p_all=None, candidates=(), ruled_out=(),
        reasons=(), alternatives=(), check_sets=(), warm_up=(),
    )  # fmt: skip
    waits = replace(none, feasible=True, check_sets=(object.__new__(AskedSet),))
    restraint = Restraint({}, True, frozenset(), {}, {})
    assert plan.block.key == "main"
    assert plan_reason(Worked({"one": none, "main": waits}, None, restraint)) == "after_check_set"
    assert plan_reason(Worked({"one": none, "main": none}, None, restraint)) == "infeasible"


def test_who_waits_for_another_calculation_is_told_of_both_kinds() -> None:
    assert ReachCheckRunning.title == "A reach check or a what-if is running"


@pytest.mark.parametrize(("rir", "status"), [(None, 201), (0, 201), (2, 400)])
def test_a_set_to_failure_has_nothing_left(
    world: World, coach: ApiClient, rir: int | None, status: int
) -> None:
    """Both cannot be: nothing is guessed of which is meant."""
    body = {"work": "a", "repetitions": 12, "ended_by": "failure", "rir": rir}
    answer = coach.post(check_sets(world, NAME), body)
    if status == 400:
        problem = assert_problem(answer, "invalid_input", 400, at="#/rir")
        assert [one["code"] for one in problem["errors"]] == ["reserve_after_failure"]
    assert answer.status_code == status, answer.json()


def doubtful(**more: Any) -> dict[str, Any]:
    return {"work": "a", "repetitions": 900, "ended_by": "planned", **more}


def test_a_doubt_tells_both_numbers(world: World, coach: ApiClient) -> None:
    """Nobody has sent 902."""
    problem = assert_problem(coach.post(check_sets(world, NAME), doubtful(rir=2)), "implausible_set", 422)
    assert "That is the 900 that were done, and the 2 that were left." in problem["detail"]
    alone = assert_problem(coach.post(check_sets(world, NAME), doubtful()), "implausible_set", 422)
    assert "that were left" not in alone["detail"]


def test_who_is_held_reads_so_with_a_doubt(world: World, coach: ApiClient) -> None:
    """Whether a set is believed or not, nobody who is held is asked to do it again."""
    path = check_sets(world, NAME)
    body = {"kind": "pain", "site": "shoulder", "side": "left", "severity": 8}
    sent = coach.post(url(world, f"athletes/{world.athletes[NAME].id}/reports"), body)
    assert sent.status_code == 201, sent.json()
    problem = assert_problem(coach.post(path, doubtful()), "implausible_set", 422)
    assert problem["detail"].startswith("You are held: pain was reported.")
    with world.cast.inside():
        assert not CheckSet.objects.exists()
