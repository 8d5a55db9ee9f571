"""Results that meet something else: the same one sent twice at once, or a prescription that is being worked out."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connections
from django.utils import timezone

from scoring.actions import attempts, prescriptions
from scoring.actions.attempts import Report, correct_attempt, submit_attempt
from scoring.errors import ResultAlreadyCorrected
from scoring.models import Attempt, Prescription
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


def correct(world: World, attempt: Attempt, report: Report) -> tuple[Attempt, bool]:
    with world.cast.inside():
        return correct_attempt(
            actor=world.cast.coach.actor, attempt=attempt, report=report, reason="Misread."
        )


@pytest.mark.parametrize("other", ["the same", "another id", "no id"])
def test_two_corrections_of_one_result_at_once(monkeypatch: pytest.MonkeyPatch, other: str) -> None:
    """Sent twice it is one; two of them are the first, and a conflict that says so. The chain never forks."""
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0)
    first, _ = submit(world, Report("set_log", DATA, {"set_log": DATA}, timezone.now(), None))
    data = {**DATA, "elapsed_s": 610.0}
    ids = {"the same": ("a", "a"), "another id": ("a", "b"), "no id": (None, None)}[other]
    mine, theirs = (Report("set_log", data, {"set_log": data}, timezone.now(), one) for one in ids)
    hold, others = attempts.hold_athlete, []

    def interrupted(*args: Any) -> None:
        """The other one passes every look of ours and commits before we have the athlete."""
        monkeypatch.setattr(attempts, "hold_athlete", hold)
        others.append(elsewhere(lambda: correct(world, first, theirs)))
        hold(*args)

    monkeypatch.setattr(attempts, "hold_athlete", interrupted)
    if other == "the same":
        stored, now = correct(world, first, mine)
        assert (stored.id, now) == (others[0][0].id, False)
    else:
        with pytest.raises(ResultAlreadyCorrected):
            correct(world, first, mine)
    assert others[0][1] is True
    with world.cast.inside():
        assert Attempt.objects.filter(replaces=first).count() == 1
        assert Attempt.objects.count() == 2


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


def test_a_result_that_comes_during_the_calculation_gets_no_new_prescription(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Committed after the recompute has looked for results: what was worked out meanwhile is thrown away."""
    world = make_world()
    athlete = add_athlete(world, "Bruna Keel", 62.0)
    report = Report("set_log", DATA, {"set_log": DATA}, timezone.now(), None)
    calculate = prescriptions.work_out

    def interrupted(*args: Any) -> Any:
        elsewhere(lambda: submit(world, report))
        return calculate(*args)

    monkeypatch.setattr(prescriptions, "work_out", interrupted)
    with world.cast.inside():
        issued = prescriptions.issue_prescriptions(athlete_id=athlete.id, now=timezone.now())
        assert issued == []
        assert Attempt.objects.count() == 1
        assert not Prescription.objects.exists()
