"""What is odd, but must come in: stored as it was sent, once, and marked for a person where it does not add up."""

from __future__ import annotations

import copy
import uuid
from dataclasses import replace
from typing import Any

import pytest

from tests.contracts.isolation import rolled_back, send
from tests.contracts.matrix_requests import Request, request_for
from tests.contracts.matrix_table import RULES
from tests.contracts.stage import Stage
from tests.support.api import ApiClient, assert_problem
from tests.support.world import drain


def coach(stage: Stage) -> ApiClient:
    return ApiClient(stage.token("coach"))


def base(stage: Stage) -> str:
    return f"/api/v1/organisations/{stage.ours.cast.org.id}"


def attempt(stage: Stage, **fields: Any) -> Request:
    request = request_for("submit_attempt", stage.ours)
    request.body.update(fields)
    return request


def findings(stage: Stage, attempt_id: str) -> set[str]:
    """Codes of the review of an attempt, after what it asked for was recomputed."""
    drain(stage.ours.cast)
    items = coach(stage).get(f"{base(stage)}/reviews", query={"open": "true", "limit": "100"}).json()["items"]
    return {found["code"] for item in items if item["attempt"] == attempt_id for found in item["findings"]}


def as_sent(stage: Stage, attempt_id: str) -> Any:
    return coach(stage).get(f"{base(stage)}/attempts/{attempt_id}").json()["as_sent"]


def rows_of(stage: Stage, repetitions: list[int], elapsed_s: float) -> dict[str, Any]:
    rows = [
        {"work": "a", "variation": "row_45", "ended_by": "planned", "repetitions": n} for n in repetitions
    ]
    return {"sets": rows, "elapsed_s": elapsed_s}


@pytest.mark.parametrize(
    ("repetitions", "elapsed_s"),
    [([60, 60], 900.0), ([20], 300.0), ([20, 20, 20], 1.0), ([0], 0.0), ([2000] * 300, 86_400.0)],
    ids=["too many", "too few", "impossibly fast", "nothing in no time", "everything at its bound"],
)
def test_a_log_that_does_not_add_up_is_stored(stage: Stage, repetitions: list[int], elapsed_s: float) -> None:
    """201 with the log as it was sent; the review appears when the recompute has seen it."""
    request = attempt(stage, set_log=rows_of(stage, repetitions, elapsed_s))
    answer = coach(stage).post(request.address, request.body)
    assert answer.status_code == 201, request.body
    assert as_sent(stage, answer.json()["id"]) == request.body
    assert findings(stage, answer.json()["id"]), request.body


@pytest.mark.parametrize("elapsed_s", [-0.0, 5e-324, 1e-300], ids=str)
@pytest.mark.parametrize("inside", [{}, {"duration_s": 5e-324}, {"load_kg": 1e-300}], ids=str)
def test_the_smallest_numbers_that_there_are_come_through(
    stage: Stage, elapsed_s: float, inside: dict[str, float]
) -> None:
    """Stored, scored and ranked without a division that ends nowhere; the answers hold numbers."""
    rows = [
        {"work": "a", "variation": "row_45", "ended_by": "planned", "repetitions": 20},
        {"work": "b", "variation": "goblet_squat", "ended_by": "failure", "repetitions": 9, "load_kg": 12}
        | inside,
    ]
    request = attempt(stage, set_log={"sets": rows, "elapsed_s": elapsed_s})
    answer = coach(stage).post(request.address, request.body)
    assert answer.status_code == 201, answer.content
    assert findings(stage, answer.json()["id"])
    assert coach(stage).get(f"{base(stage)}/attempts/{answer.json()['id']}").json()["score"] is not None
    ranking = f"{base(stage)}/scheduled-sessions/{request.body['session']}/ranking"
    assert coach(stage).get(ranking).status_code == 200


@pytest.mark.parametrize(
    "totals",
    [
        {"work": [{"work": "a", "repetitions": 60}]},
        {"work": [{"work": "a", "repetitions": 60}, {"work": "b", "repetitions": 80}], "elapsed_s": None},
        {"work": [{"work": "b", "repetitions": 0}], "elapsed_s": 1, "breaks": 2000},
    ],
    ids=["half of the work", "no time", "nothing done, many breaks"],
)
def test_totals_that_do_not_add_up_are_stored(stage: Stage, totals: dict[str, Any]) -> None:
    """The same for totals."""
    request = attempt(stage)
    del request.body["set_log"]
    request.body["totals"] = totals
    answer = coach(stage).post(request.address, request.body)
    assert answer.status_code == 201, totals
    assert as_sent(stage, answer.json()["id"]) == request.body
    assert findings(stage, answer.json()["id"]), totals


def test_equal_sets_are_two_sets(stage: Stage) -> None:
    """Doing the same twice is no mistake."""
    request = attempt(stage, set_log=rows_of(stage, [20, 20], 900.0))
    answer = coach(stage).post(request.address, request.body)
    assert answer.status_code == 201
    assert len(as_sent(stage, answer.json()["id"])["set_log"]["sets"]) == 2


def test_a_double_submission_is_one_result(stage: Stage) -> None:
    """The same key: the same answer. The same client_id: what is stored. Another content: refused, nothing lost."""
    request, key = attempt(stage, client_id="phone-7-0001"), str(uuid.uuid4())
    first = coach(stage).post(request.address, request.body, idempotency_key=key)
    again = coach(stage).post(request.address, request.body, idempotency_key=key)
    assert (first.status_code, again.status_code) == (201, 201)
    assert again.headers["Idempotency-Replayed"] == "true"
    assert again.json() == first.json()
    other = copy.deepcopy(request.body)
    other["set_log"]["elapsed_s"] += 1
    refused = coach(stage).post(request.address, other, idempotency_key=key)
    assert_problem(refused, "idempotency_key_reused", 422)
    stored = coach(stage).post(request.address, request.body)
    assert (stored.status_code, stored.json()["id"]) == (200, first.json()["id"])
    assert_problem(coach(stage).post(request.address, other), "client_id_reused", 409)
    assert_problem(coach(stage).post(request.address, {**other, "client_id": None}), "result_exists", 409)
    query = {"session": request.body["session"], "athlete": request.body["athlete"]}
    (row,) = coach(stage).get(f"{base(stage)}/attempts", query=query).json()["items"]
    assert row["id"] == first.json()["id"]
    assert as_sent(stage, row["id"]) == request.body


def test_without_a_body_mass(stage: Stage) -> None:
    """A test of body-weight work is refused with the way out; a result is kept, and waits for a person."""
    place = {"name": "Ruta Penn", "location": str(stage.ours.ids["location"])}
    athlete = coach(stage).post(f"{base(stage)}/athletes", place).json()["id"]
    test = request_for("record_assessment", stage.ours)
    refused = coach(stage).post(f"{base(stage)}/athletes/{athlete}/assessments", test.body)
    assert "body-mass" in assert_problem(refused, "body_mass_missing", 422)["detail"]
    request = attempt(stage, athlete=athlete)
    del request.body["prescription"]
    answer = coach(stage).post(request.address, request.body)
    assert answer.status_code == 201
    assert as_sent(stage, answer.json()["id"]) == request.body
    assert "body_mass_missing" in findings(stage, answer.json()["id"])


@pytest.mark.parametrize("name", ["org", "org_id", "id", "created_at", "recorded_by_id", "sha256", "digest"])
def test_no_body_sets_what_is_the_services(stage: Stage, name: str) -> None:
    """A column that no input lists is refused by every operation that reads a body, not silently dropped.

    A report alone is stored, and names what it was not stored with.
    """
    seen = 0
    for case in RULES:
        request = request_for(case, stage.ours)
        if isinstance(request.body, dict):
            body = {**request.body, name: str(stage.theirs.cast.org.id)}
            with rolled_back():
                answer = send(stage.token("owner"), replace(request, body=body))
            seen += 1
            if case == "create_report":
                left_out = [one["field"] for one in answer.json()["taken_otherwise"]]
                assert answer.status_code == 201 and name in left_out
                continue
            assert_problem(answer, "invalid_input", 400, at=f"#/{name}")
    assert seen > 25
