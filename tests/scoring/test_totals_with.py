"""Totals that say what they were done with, where a session allows more than one version."""

from __future__ import annotations

from typing import Any

import pytest

from scoring.models import Attempt, Ranking
from tests.scoring.several import send
from tests.support.api import assert_problem
from tests.support.pointers import WORK
from tests.support.world import World, drain, world_of

pytestmark = pytest.mark.django_db

WHO = "Bruna Keel"
ROWS = {"work": "a", "repetitions": 60}
SQUATS = {"work": "b", "repetitions": 80}
WITH_ROWS = {**ROWS, "variation": "row_45"}
AS_WRITTEN = {**SQUATS, "variation": "goblet_squat", "load_kg": 16}
EASIER = {**SQUATS, "variation": "body_weight_squat"}


@pytest.fixture
def world(db: None) -> World:
    return world_of(WHO, 62.0)


def totals(world: World, *work: dict[str, Any]) -> Any:
    sent = {"elapsed_s": 900, "breaks": 2, "work": list(work)}
    return send(world, world.session, WHO, totals=sent)


@pytest.mark.parametrize(
    ("work", "division"),
    [
        ((WITH_ROWS, AS_WRITTEN), "as_written"),
        ((WITH_ROWS, EASIER), "own_version"),
        ((WITH_ROWS, {**AS_WRITTEN, "load_kg": 12}), "own_version"),
    ],
)
def test_the_division_is_by_what_was_done(
    world: World, work: tuple[dict[str, Any], ...], division: str
) -> None:
    """Nobody was prescribed anything, so that nothing else could tell."""
    made = totals(world, *work)
    assert made.status_code == 201, made.content
    drain(world.cast)
    with world.cast.inside():
        (row,) = Ranking.objects.get(session=world.session).official
    assert row["division"] == division


def test_without_a_version_it_is_as_before(world: World) -> None:
    """Also where one of two is named: of the other nobody knows."""
    assert totals(world, WITH_ROWS, SQUATS).status_code == 201
    drain(world.cast)
    with world.cast.inside():
        (row,) = Ranking.objects.get(session=world.session).official
    assert row["division"] == "own_version"


@pytest.mark.parametrize(
    ("one", "at", "code"),
    [
        ({**SQUATS, "variation": "row_45"}, f"#/totals/{WORK}/1/variation", "unknown_variation"),
        (
            {**EASIER, "load_kg": 16, "variation": "nothing_known"},
            f"#/totals/{WORK}/1/variation",
            "unknown_variation",
        ),
        ({**EASIER, "height_cm": 30}, f"#/totals/{WORK}/1/height_cm", "not_adjustable"),
        ({**SQUATS, "load_kg": 16}, f"#/totals/{WORK}/1", "required"),
    ],
)
def test_what_it_cannot_be_done_with_is_refused(
    world: World, one: dict[str, Any], at: str, code: str
) -> None:
    """At its place, and nothing is stored."""
    problem = assert_problem(totals(world, ROWS, one), "invalid_input", 400, at=at)
    assert code in {fault["code"] for fault in problem["errors"]}
    with world.cast.inside():
        assert not Attempt.objects.exists()
