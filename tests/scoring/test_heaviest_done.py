"""A load that pain ended is none that the body knows."""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone

from athletes.actions.assessments import Performance, record_assessment
from athletes.performed import Settings
from scoring.actions.attempts import Report, submit_attempt
from scoring.done_before import done_before
from tests.scoring.sessions import block, document, place, work
from tests.support.world import World, world_of

pytestmark = pytest.mark.django_db

WHO = "Ada Reed"
KEY = "kettlebell_clean"
DAY = dt.timedelta(days=1)


@pytest.fixture
def world(db: None) -> World:
    return world_of(WHO, 64.0)


def log(world: World, *sets: tuple[float, str]) -> None:
    clean = work("b", "kettlebell_clean", KEY, repetitions=20, load_kg=24)
    session = place(
        world, document("Cleans", block("main", clean, aim=[{"kind": "time", "upper": 900}])), -DAY
    )
    rows = [
        {"work": "b", "variation": KEY, "repetitions": 5, "ended_by": ended_by, "load_kg": kg}
        for kg, ended_by in sets
    ]
    data = {"sets": rows, "elapsed_s": 300.0}
    with world.cast.inside():
        submit_attempt(
            actor=world.cast.coach.actor,
            session_id=session.id,
            athlete_id=world.athletes[WHO].id,
            report=Report("set_log", data, {"set_log": data}, timezone.now() - DAY, None),
        )


def heaviest(world: World) -> float | None:
    variation = world.variation(KEY)
    with world.cast.inside():
        who = world.athletes[WHO].id
        return done_before([who])[who].heaviest.get(variation)


def test_of_a_log(world: World) -> None:
    log(world, (12.0, "planned"), (24.0, "pain"))
    assert heaviest(world) == 12.0


@pytest.mark.parametrize(("ended_by", "kg"), [("pain", 12.0), ("failure", 16.0)])
def test_of_a_test(world: World, ended_by: str, kg: float) -> None:
    log(world, (12.0, "planned"))
    variation = world.variation(KEY)
    with world.cast.inside():
        tested = Performance("to_failure", 5, timezone.now() - DAY, Settings(load_kg=16.0), ended_by=ended_by)
        record_assessment(
            actor=world.cast.coach.actor,
            athlete=world.athletes[WHO],
            variation_id=variation,
            tested=tested,
            now=timezone.now(),
        )
    assert heaviest(world) == kg
