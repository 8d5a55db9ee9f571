"""Faults call work and versions by their names, point at what was sent, and tell no fault that is none."""

from __future__ import annotations

from typing import Any

import pytest

from athletes.performed import Settings, setting_problems
from programming.calc.reader import child
from scoring.calc.attempt import SetEntry
from scoring.calc.finding import excess_findings, reserve_findings
from tests.scoring.sessions import block, document, place, work
from tests.scoring.test_candidates import plan
from tests.scoring.test_check_sets import current
from tests.support.api import ApiClient, assert_problem
from tests.support.pointers import WORK
from tests.support.world import World, drain, url, world_of

WHO = "Nia Moor"


@pytest.fixture
def world(db: None) -> World:
    world = world_of(WHO, 70.0)
    drain(world.cast)
    return world


def test_an_override_points_at_what_was_sent(world: World, coach: ApiClient) -> None:
    """One work of two was named, the second of the session: it stands first in the request."""
    body = {"work": [{"work": "b", "variation": "goblet_squat", "load_kg": 17}], "reason": "I know her."}
    answer = coach.post(url(world, f"prescriptions/{current(world, WHO).id}/overrides"), body)
    problem = assert_problem(answer, "invalid_input", 400, at=child("#", WORK, 0))
    assert [one["code"] for one in problem["errors"]] == ["not_a_setting_here"]


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"variation": "push_up_floor", "repetitions": 9}, "Name a variation of Suspension row from"),
        ({"variation": "row_45", "hold_s": 9.0}, "Suspension row is counted in repetitions: send that."),
        ({"variation": "row_45", "repetitions": 9, "load_kg": 5}, "The variation has no adjustable load;"),
    ],
)
def test_a_result_is_told_by_names(world: World, coach: ApiClient, sent: dict[str, Any], said: str) -> None:
    """Nobody on the floor knows the keys of the catalogue."""
    rows = document(
        "Rows",
        block(
            "main", work("a", "horizontal_row", "row_45", repetitions=9), aim=[{"kind": "time", "upper": 900}]
        ),
    )
    body = {
        "session": str(place(world, rows).id),
        "athlete": str(world.athletes[WHO].id),
        "performed_at": "2026-01-01T10:00:00Z",
        "set_log": {"elapsed_s": 60, "sets": [{"work": "a", "ended_by": "planned", **sent}]},
    }
    detail = assert_problem(coach.post(url(world, "attempts"), body), "invalid_input", 400)["errors"][0][
        "detail"
    ]
    assert detail.startswith(said) and "horizontal_row" not in detail


def test_help_alone_is_no_contradiction() -> None:
    """Of dumbbells there is none; that there was a load and help at once is another matter."""
    pair = plan("dumbbell_press").variations["overhead_press_dumbbells"].variation
    found = setting_problems(pair, Settings(load_kg=8.0, assistance_kg=8.0))
    assert [(one.pointer, one.code) for one in found] == [("#/assistance_kg", "not_adjustable")]
    assert "_" not in found[0].detail


def test_failure_with_something_left_is_asked_about() -> None:
    """In the sets that say so, by their numbers."""
    sets = [
        SetEntry("a", 10, "failure", rir=2),
        SetEntry("a", 10, "failure", rir=0),
        SetEntry("a", 10, "planned", rir=3),
        SetEntry("a", 10, "failure"),
        SetEntry("a", 9, "failure", rir=1),
    ]
    [found] = reserve_findings(sets)
    assert found.code == "reserve_at_failure" and found.detail.startswith("Set 1, 5 ended by failure")
    assert reserve_findings(sets[1:4]) == ()


def test_own_amounts_are_not_called_written() -> None:
    """Thirty-nine were prescribed of sixty written; what is said is true of both."""
    rows = plan("push_up").doc.blocks[0]
    [found] = excess_findings(rows, [39.0], [109.0], [39.0])
    assert found.said({"a": "Push-up"}) == "148 repetitions of Push-up are reported, 39 were to be done."
