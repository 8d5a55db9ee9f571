"""One result that arrives twice at once under one client_id is one result, wherever the two meet."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connections
from django.utils import timezone

from scoring.actions import attempts
from scoring.actions.attempts import Report, submit_attempt
from scoring.models import Attempt
from tests.support.world import World, add_athlete, make_world

pytestmark = pytest.mark.usefixtures("committed")

DATA = {
    "sets": [{"work": "a", "variation": "row_45", "repetitions": 20, "ended_by": "failure"}],
    "elapsed_s": 600.0,
}


def submit(world: World, report: Report) -> tuple[Attempt, bool]:
    with world.cast.inside():
        return submit_attempt(
            actor=world.cast.coach.actor,
            session_id=world.session.id,
            athlete_id=world.athletes["Bruna Keel"].id,
            report=report,
        )


def elsewhere(run: Callable[[], Any]) -> Any:
    """The value of `run`, called on a connection of its own, to its commit."""
    found: list[Any] = []

    def work() -> None:
        try:
            found.append(run())
        finally:
            connections.close_all()

    thread = threading.Thread(target=work)
    thread.start()
    thread.join(timeout=30.0)
    return found[0]


@pytest.mark.parametrize("other_comes", ["before the look", "after the look"])
def test_the_other_one_commits_in_between(monkeypatch: pytest.MonkeyPatch, other_comes: str) -> None:
    """The second sender gets the stored result, as not stored now, and no conflict; one row is there."""
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0)
    body = {"client_id": "phone-1", "set_log": DATA}
    report = Report("set_log", DATA, body, timezone.now(), "phone-1")
    look, others = attempts._known, []

    def interrupted(*args: Any) -> Attempt | None:
        monkeypatch.setattr(attempts, "_known", look)
        if other_comes == "before the look":
            others.append(elsewhere(lambda: submit(world, report)))
        known = look(*args)
        if other_comes == "after the look":
            others.append(elsewhere(lambda: submit(world, report)))
        return known

    monkeypatch.setattr(attempts, "_known", interrupted)
    mine, stored = submit(world, report)
    ((other, other_stored),) = others
    assert (mine.id, stored, other_stored) == (other.id, False, True)
    with world.cast.inside():
        assert Attempt.objects.count() == 1
