"""Logs that cannot be, and athletes of whom nothing is known: whoever asks gets a defined answer with its reason.

Each is walked through everything that reads a result or an athlete: the result with its aim check and review, its
profile, the self-check, the coming prescription with brief, profile, explanation, and a what-if.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import Any

import pytest

from scoring.models import Prescription
from tests.scoring.sessions import block, document, place, work
from tests.scoring.several import a_set, send
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world, url

pytestmark = pytest.mark.django_db

AIM = [
    {"kind": "first_set", "work": "r", "lower": 8, "upper": 20},
    {"kind": "later_sets", "work": "r", "lower": 3},
    {"kind": "share_of_available", "work": "r", "lower": 50, "upper": 90},
    {"kind": "effort", "lower": 4, "upper": 9},
    {"kind": "time", "upper": 1500},
]
WRITTEN = document(
    "Rows and squats",
    block(
        "main",
        work("r", "horizontal_row", "row_45", repetitions=40),
        work("s", "squat", "goblet_squat", load_kg=16, repetitions=30),
        aim=AIM,
        **{"break": {"counts": "rest_longer_than", "rest_over_s": 20, "penalty_s": 10, "penalty": "added"}},
    ),
)


def rows(repetitions: int, ended_by: str = "planned", **more: Any) -> dict[str, Any]:
    return a_set("r", "row_45", ended_by, repetitions=repetitions, **more)


def squats(repetitions: int, ended_by: str = "planned", **more: Any) -> dict[str, Any]:
    return a_set("s", "goblet_squat", ended_by, repetitions=repetitions, **{"load_kg": 16, **more})


def log(*sets: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"set_log": {"sets": list(sets), **more}}


# Each report with the codes of its review; none: it is believed, and what it lacks is told as unknown.
BAD: dict[str, tuple[dict[str, Any], set[str]]] = {
    "six hundred rows at once": (
        log(rows(600), squats(30), elapsed_s=900.0), {"too_many_repetitions", "implausible_performance"},
    ),
    "half a ton": (
        log(rows(40), squats(30, load_kg=500.0), elapsed_s=900.0), {"implausible_performance"},
    ),
    "forty rows in a second": (
        log(rows(40, duration_s=1.0), squats(30), elapsed_s=900.0), {"impossible_speed"},
    ),
    "forty rows in no time": (
        log(rows(40, duration_s=0.0), squats(30, duration_s=0.0), elapsed_s=0.0), {"impossible_speed"},
    ),
    "nothing in any set": (log(rows(0, "failure"), squats(0, "failure"), elapsed_s=60.0), {"missing_repetitions"}),
    "no rests": (log(rows(20, "failure"), rows(20), squats(15), squats(15), elapsed_s=400.0), {"rests_missing"}),
    "no rests and no clock": (log(rows(20), rows(20), squats(30)), {"rests_missing", "elapsed_missing"}),
    "a rest longer than the session": (
        log(rows(20, rest_before_s=0.0), rows(20, rest_before_s=3600.0), squats(30), elapsed_s=600.0),
        {"rests_exceed_elapsed"},
    ),
    "a day of rest": (
        log(rows(20, rest_before_s=0.0), rows(20, rest_before_s=86_400.0), squats(30), elapsed_s=86_400.0),
        {"impossible_speed", "over_cap"},  # it fits to the second, and leaves no time to work
    ),
    "squats before rows": (log(squats(30), rows(40), elapsed_s=600.0), {"wrong_start"}),
    "failure with five left": (
        log(rows(40, "failure", rir=5), squats(30), elapsed_s=600.0), {"reserve_at_failure"},
    ),
    "totals of nothing": (
        {"totals": {"work": [{"work": "r", "repetitions": 0}], "elapsed_s": 1.0}}, {"missing_repetitions"},
    ),
}  # fmt: skip


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    drain(world.cast)
    return world


def unreasoned(body: Any, at: str = "") -> Iterator[str]:
    """Places that are null without the reason that stands beside them."""
    if isinstance(body, dict):
        for name, value in body.items():
            if value is None and f"{name}_reason" in body and not body[f"{name}_reason"]:
                yield f"{at}/{name}"
            yield from unreasoned(value, f"{at}/{name}")
    if isinstance(body, list):
        for number, value in enumerate(body):
            yield from unreasoned(value, f"{at}/{number}")


def read(world: World, path: str) -> Any:
    answer = ApiClient(world.cast.coach.token).get(url(world, path))
    assert answer.status_code == 200, f"{path}: {answer.content.decode()[:500]}"
    found = answer.json()
    assert list(unreasoned(found)) == [], path
    return found


def walk_result(world: World, attempt: str, name: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """(the result, its profile), and the self-check of it answers."""
    read(world, f"athletes/{world.athletes[name].id}/forecast-checks")
    read(world, "forecast-checks")
    return read(world, f"attempts/{attempt}"), read(world, f"attempts/{attempt}/profile")


def walk_coming(world: World, name: str) -> dict[str, Any]:
    """What is prescribed next, in every form; the what-if without a wish, or why there is none."""
    with world.cast.inside():
        rows_ = Prescription.objects.filter(athlete=world.athletes[name], session=world.session)
        row = rows_.order_by("-number").first()
    assert row is not None
    for part in ("", "/brief", "/profile", "/explanation"):
        read(world, f"prescriptions/{row.id}{part}")
    plan = [{"work": "a", "repetitions": 12, "rest_before_s": 0}]
    for body in ({}, {"pacing": [{"share": 0.8, "rest_s": 30}]}, {"plan": plan}):
        answer = ApiClient(world.cast.coach.token).post(url(world, f"prescriptions/{row.id}/what-if"), body)
        assert answer.status_code in (200, 400, 422), answer.content.decode()[:500]
        found = answer.json()
        if answer.status_code == 200:
            assert list(unreasoned(found)) == []
        else:
            assert found["code"] in ("invalid_input", "held_for_safety") and found["detail"], found
            assert all(one["code"] and one["detail"] for one in found["errors"]), found
    return dict(row.content)


@pytest.mark.parametrize("name", BAD)
def test_a_log_that_cannot_be_has_an_answer_everywhere(world: World, name: str) -> None:
    """Stored, with what to look at; nothing is concluded from what is in doubt; the next one is prescribed."""
    report, codes = BAD[name]
    session = place(world, WRITTEN, dt.timedelta(hours=-1))
    sent = send(world, session, "Bruna Keel", **report)
    assert sent.status_code == 201, sent.json()
    drain(world.cast)
    told, profile = walk_result(world, sent.json()["id"], "Bruna Keel")
    review = told["review"]
    assert review is not None and review["open"], told["review_reason"]
    assert codes <= {one["code"] for one in review["findings"]}, review["findings"]
    for one in told["scores"][0]["aim"]:
        assert one["state"] in ("met", "missed", "unknown"), one
        assert one["state"] == "met" or (one["cause"] and one["sentence"]), one
    assert profile["counted_from"] == "log"
    if "totals" in report:
        assert profile["reason"] == "totals_tell_no_sets"
    walk_coming(world, "Bruna Keel")


@pytest.mark.parametrize("mass", [None, 70.0])
def test_of_whom_nothing_is_known_everything_has_an_answer(world: World, mass: float | None) -> None:
    """No test, no result, and not even a weighing: prescription, brief, what-if, self-check; then a first log."""
    if mass is None:
        add_athlete(world, "Ola Brandt")
    else:
        add_athlete(world, "Ola Brandt", mass)
    drain(world.cast)
    content = walk_coming(world, "Ola Brandt")
    assert content["work"] or content["reasons"] or content["check_sets"], content
    person = world.athletes["Ola Brandt"].id
    assert read(world, f"athletes/{person}/forecast-checks")["items"] == []
    summary = ApiClient(world.cast.coach.token).get(url(world, "forecast-checks"), query={"athlete": person})
    assert (summary.status_code, summary.json()["movements"], summary.json()["scores"]) == (200, [], [])

    session = place(world, WRITTEN, dt.timedelta(hours=-1))
    sent = send(world, session, "Ola Brandt", **log(rows(10, "failure"), squats(12), elapsed_s=300.0))
    assert sent.status_code == 201, sent.json()
    drain(world.cast)
    told, _ = walk_result(world, sent.json()["id"], "Ola Brandt")
    assert all(one["state"] == "met" or one["cause"] for one in told["scores"][0]["aim"])
    walk_coming(world, "Ola Brandt")


@pytest.mark.parametrize(("plan", "codes"), [
    ([{"work": "a", "repetitions": 60, "rest_before_s": 0}], None),
    ([{"work": "a", "repetitions": 61, "rest_before_s": 0}], {"more_than_left"}),
    ([{"work": "a", "repetitions": 9, "rest_before_s": 1799}, {"work": "b", "repetitions": 9, "rest_before_s": 9}],
     {"rests_too_long"}),
])  # fmt: skip
def test_a_plan_that_cannot_be_performed_says_so(
    world: World, plan: list[dict[str, Any]], codes: set[str] | None
) -> None:
    """Sixty rows at once of somebody with sixteen are foreseen to fail; what nobody could do is refused."""
    with world.cast.inside():
        row = Prescription.objects.get(athlete=world.athletes["Bruna Keel"], session=world.session)
    path = url(world, f"prescriptions/{row.id}/what-if")
    answer = ApiClient(world.cast.coach.token).post(path, {"plan": plan})
    if codes is None:
        assert answer.status_code == 200
        assert answer.json()["sets"][0]["likely"] == "probably_not" and answer.json()["fails"]
        return
    assert answer.status_code == 400
    assert {one["code"] for one in answer.json()["errors"]} == codes
