"""What a late failure of a result teaches, from the log that was sent to the capacity that is stored."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.utils import timezone

from athletes.actions.capacities import recompute_capacities
from athletes.models import Athlete, Capacity, Observation
from scoring.actions.scores import score_attempts
from scoring.models import Attempt
from tests.scoring.sessions import place
from tests.scoring.several import a_set, send
from tests.scoring.test_tiring import ROWS, WHO
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world, url

SETS = [(14, "planned", None), (14, "planned", 90), (11, "failure", 90), (9, "failure", 90)]


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, WHO, 68.0, {"row_45": 20})
    drain(world.cast)
    return world


def report(sets: list[tuple[int, str, int | None]]) -> dict[str, Any]:
    rows = [a_set("r", "row_45", ended, repetitions=n, rest_before_s=rest) for n, ended, rest in sets]
    performed_at = (timezone.now() - dt.timedelta(hours=29)).isoformat()
    return {"performed_at": performed_at, "set_log": {"sets": rows, "elapsed_s": 900}}


def sent(world: World, coach: ApiClient) -> str:
    answer = send(world, place(world, ROWS, -dt.timedelta(hours=30)), WHO, client=coach, **report(SETS))
    assert answer.status_code == 201, answer.content
    drain(world.cast)
    return str(answer.json()["id"])


def late(world: World) -> list[Observation]:
    with world.cast.inside():
        rows = Observation.objects.filter(athlete=world.athletes[WHO], source="attempt")
        return list(rows.order_by("ordinal"))


def inputs(world: World) -> str:
    with world.cast.inside():
        return Capacity.objects.get(athlete=world.athletes[WHO], movement__key="horizontal_row").inputs


def test_a_late_failure_is_kept_with_what_was_spent(world: World, coach: ApiClient) -> None:
    """One of the two that failed, beside the bound of the first; a second recompute finds nothing to do."""
    before = inputs(world)
    sent(world, coach)
    rows = late(world)
    assert [(row.ordinal, row.kind, row.spent_usual is None) for row in rows] == [
        (0, "at_least", True), (2, "to_failure", False),
    ]  # fmt: skip
    assert inputs(world) != before
    with world.cast.inside():
        who, today = world.athletes[WHO].id, timezone.now().date()
        assert score_attempts(athlete_id=who) == frozenset()
        assert recompute_capacities(athlete_id=who, today=today) == frozenset()
    assert [row.id for row in late(world)] == [row.id for row in rows]


def test_it_is_read_for_people_of_the_sex(world: World, coach: ApiClient) -> None:
    """Given later, it makes another capacity of the same row."""
    sent(world, coach)
    rows, before = late(world), inputs(world)
    with world.cast.inside():
        who = world.athletes[WHO].id
        Athlete.objects.filter(id=who).update(sex="female")
        assert recompute_capacities(athlete_id=who, today=timezone.now().date())
    assert inputs(world) != before
    assert [row.id for row in late(world)] == [row.id for row in rows]


def test_a_correction_without_the_rest_takes_it_back(world: World, coach: ApiClient) -> None:
    of = sent(world, coach)
    unrested = [(14, "planned", None), (14, "planned", None), (11, "failure", None)]
    answer = coach.post(url(world, f"attempts/{of}/corrections"), report(unrested) | {"reason": "No rests."})
    assert answer.status_code == 201, answer.content
    drain(world.cast)
    assert [(row.ordinal, row.spent_usual) for row in late(world)] == [(0, None)]


def test_of_a_result_that_nobody_believes_nothing_is_kept(world: World, coach: ApiClient) -> None:
    """Two thousand rows in a set before it: somebody has to look at it first."""
    session = place(world, ROWS, -dt.timedelta(hours=30))
    sets = [(2000, "planned", None), (14, "planned", 90), (11, "failure", 90)]
    assert send(world, session, WHO, client=coach, **report(sets)).status_code == 201
    drain(world.cast)
    with world.cast.inside():
        assert Attempt.objects.filter(athlete=world.athletes[WHO]).exists()
    assert late(world) == []
