"""Of tests and results that were corrected again before anybody looked, the last alone is work."""

from __future__ import annotations

import pytest

from athletes.models import Assessment, WorkDone
from scoring.actions.attempts import Report, correct_attempt
from tests.services.pipeline.test_safety_work import count_again, log, place, submit
from tests.support.world import add_athlete, drain, make_world

pytestmark = pytest.mark.django_db


def test_what_was_corrected_twice_between_two_recomputes_is_noted_once() -> None:
    """Of a test and a result: the first was noted, the second never, the third counts alone."""
    world = make_world()
    athlete = add_athlete(world, "Bruna Keel", 62.0, {"goblet_squat": 12})
    attempt = submit(world, athlete, place(world, -3), log(30, 20, 10))
    drain(world.cast)
    actor = world.cast.coach.actor
    with world.cast.inside():
        test = Assessment.objects.get(athlete=athlete)
        assert WorkDone.objects.filter(athlete=athlete).count() == 2
        for repetitions in (9, 8):
            sent = log(repetitions)
            report = Report("set_log", sent, {"set_log": sent}, attempt.performed_at, None)
            attempt, _ = correct_attempt(actor=actor, attempt=attempt, report=report, reason="Miscounted.")
            test = count_again(world, test, repetitions)
    drain(world.cast)
    with world.cast.inside():
        noted = WorkDone.objects.filter(athlete=athlete).values_list("source_id", "repetitions")
        assert set(noted) == {(attempt.id, 8.0), (test.id, 8.0)}
