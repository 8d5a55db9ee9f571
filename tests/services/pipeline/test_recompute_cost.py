"""What a result costs the database: a fixed number of statements, few of them for each session that is to come."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.db.models import F
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from scoring.actions.attempts import Report, submit_attempt
from scoring.models import Prescription
from services.changes.models import Change
from services.pipeline.recompute import recompute_change
from tests.scoring.sessions import place
from tests.support.world import SESSION, World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db

MOST: int = 90
"""Of a result with one session to come, savepoints left out; it were 105 once. Five of them write its load day, two
book what was done and planned.
"""
MOST_FOR_A_SESSION: int = 1
"""They are stored and booked together."""


def statements_of_a_result(world: World) -> tuple[list[str], int]:
    """Those of the recompute that a result asks for, after the first one, which may have to read more; and how many
    prescriptions it issued.
    """
    athlete = world.athletes["Bruna Keel"]
    done = place(world, {**SESSION, "title": "Today"}, dt.timedelta(minutes=1))
    drain(world.cast)
    sets: list[dict[str, Any]] = [
        {"work": "a", "variation": "row_45", "repetitions": 36, "ended_by": "failure"},
        {"work": "b", "variation": "goblet_squat", "repetitions": 44, "load_kg": 16.0, "ended_by": "failure"},
    ]
    data = {"sets": sets, "elapsed_s": 400.0}
    report = Report("set_log", data, {"set_log": data}, timezone.now(), None)
    with world.cast.inside():
        actor = world.cast.coach.actor
        assert actor is not None
        submit_attempt(actor=actor, session_id=done.id, athlete_id=athlete.id, report=report)
        change = Change.objects.get(kind="athlete", subject=athlete.id, version__gt=F("done"))
        before = Prescription.objects.filter(athlete=athlete).count()
    with CaptureQueriesContext(connection) as queries:
        assert recompute_change(org_id=world.cast.org.id, change_id=change.id) == "done"
    with world.cast.inside():
        issued = Prescription.objects.filter(athlete=athlete).count() - before
    return [one["sql"] for one in queries if "SAVEPOINT" not in one["sql"]], issued


def test_a_result_costs_a_bounded_number_of_statements() -> None:
    """It is scored, learned from, and the coming prescription is issued anew."""
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 9, "goblet_squat": 18})
    found, issued = statements_of_a_result(world)
    assert issued == 1
    assert len(found) <= MOST, found


def test_a_further_session_costs_few_more() -> None:
    """What all of them rest on is read once."""
    found = []
    for further in (0, 3):
        world = make_world()
        add_athlete(world, "Bruna Keel", 62.0, {"row_45": 9, "goblet_squat": 18})
        for number in range(further):
            place(world, {**SESSION, "title": f"Further {number}"}, dt.timedelta(days=3 + number))
        found.append(statements_of_a_result(world))
    (one, issued_of_one), (four, issued_of_four) = found
    assert (issued_of_one, issued_of_four) == (1, 4)
    assert len(four) - len(one) <= 3 * MOST_FOR_A_SESSION, four
