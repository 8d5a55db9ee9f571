"""From results to load days, through the worker's own recompute."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.utils import timezone

from athletes.actions.loads import BEGINNING
from athletes.actions.training_logs import Trained, log_training
from athletes.models import LoadDay, LoadSummary
from scoring.actions.attempts import Report, correct_attempt, submit_attempt
from scoring.models import Attempt
from services.pipeline.loads import note_load
from tests.scoring.sessions import place
from tests.support.world import SESSION, World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db

DAY = dt.timedelta(days=1)


@pytest.fixture
def world() -> World:
    made = make_world()
    add_athlete(made, "Bruna Keel", 62.0, {"row_45": 9, "goblet_squat": 18})
    return made


def report(performed_at: dt.datetime, **told: Any) -> Report:
    totals = {"elapsed_s": 700.0, "breaks": 2, "work": [{"work": "a", "repetitions": 40}]}
    return Report("totals", totals, {"totals": totals, **told}, performed_at, None, **told)


def send(world: World, days: int, **told: Any) -> Attempt:
    session = place(world, {**SESSION, "title": f"{days} ago"}, -days * DAY)
    with world.cast.inside():
        actor, athlete = world.cast.coach.actor, world.athletes["Bruna Keel"]
        assert actor is not None
        at = timezone.now() - days * DAY
        sent = report(at, **told)
        return submit_attempt(actor=actor, session_id=session.id, athlete_id=athlete.id, report=sent)[0]


def days_of(world: World) -> list[tuple[Any, ...]]:
    with world.cast.inside():
        rows = LoadDay.objects.filter(athlete=world.athletes["Bruna Keel"]).order_by("local_date")
        return [(row.local_date, row.state, row.load_au) for row in rows]


def test_a_result_with_effort_and_minutes_is_load_and_one_without_is_not_0(world: World) -> None:
    """All from the first of them on is written, the days between too."""
    first, second = send(world, 4, effort=7.0, minutes=50.0), send(world, 2, effort=7.0)
    drain(world.cast)
    assert days_of(world) == [
        (first.local_date, "reported", 350.0),
        (first.local_date + DAY, "unreported", None),
        (second.local_date, "incomplete", None),
    ]


def test_a_corrected_result_takes_its_load_along(world: World) -> None:
    """To an earlier day and back to a later one: what it leaves is left; what is not sent again stays as told."""
    attempt = send(world, 3, effort=6.0, minutes=40.0)
    drain(world.cast)
    actor = world.cast.coach.actor
    assert actor is not None
    for days in (5, 1):
        with world.cast.inside():
            sent = report(timezone.now() - days * DAY)
            attempt, _ = correct_attempt(actor=actor, attempt=attempt, report=sent, reason="Another day.")
        drain(world.cast)
        assert days_of(world) == [(attempt.local_date, "reported", 240.0)]


def test_what_is_logged_beside_results_is_of_the_same_day(world: World) -> None:
    attempt = send(world, 2, effort=5.0, minutes=60.0)
    with world.cast.inside():
        actor, athlete = world.cast.coach.actor, world.athletes["Bruna Keel"]
        assert actor is not None
        trained = Trained("running", 3.0, 30.0, attempt.performed_at)
        log_training(actor=actor, athlete=athlete, trained=trained, now=timezone.now())
    drain(world.cast)
    assert days_of(world) == [(attempt.local_date, "reported", 390.0)]
    with world.cast.inside():
        row = LoadDay.objects.get(athlete=world.athletes["Bruna Keel"])
        assert row.by_modality == {"programme": [300.0, 60.0, 1], "running": [90.0, 30.0, 1]}


def test_rows_of_another_method_are_all_written_anew(world: World) -> None:
    """Also where the change speaks of a later day; a change that names no day then leaves all as it is."""
    send(world, 9, effort=5.0, minutes=60.0), send(world, 2, effort=5.0, minutes=60.0)
    drain(world.cast)
    before, athlete = days_of(world), world.athletes["Bruna Keel"]
    with world.cast.inside():
        LoadSummary.objects.update(method_version=0)
        LoadDay.objects.update(load_au=1.0)
        note_load(athlete_id=athlete.id, from_date=timezone.now().date())
        assert days_of(world) == before
        LoadDay.objects.update(load_au=1.0)
        note_load(athlete_id=athlete.id, from_date=None)
        assert {load for *_, load in days_of(world)} == {1.0}
        note_load(athlete_id=athlete.id, from_date=BEGINNING)
        assert days_of(world) == before
