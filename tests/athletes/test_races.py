"""The same thing sent twice at the same moment, over two connections."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator

import pytest
from django.db import connection

from athletes.actions.assessments import Performance, correct_assessment
from athletes.actions.athletes import create_athlete
from athletes.actions.priors import take_prior_snapshot
from athletes.errors import AlreadyCorrected
from athletes.models import Assessment, Athlete, Observation, PriorSnapshot
from athletes.performed import Settings
from services.changes.models import Change
from tests.athletes.conftest import NOW, Team, days_ago, make_team
from tests.support.cast import make_cast

pytestmark = pytest.mark.usefixtures("committed")


@pytest.fixture
def apart(committed: None) -> Iterator[Team]:
    cast = make_cast()
    with cast.inside():
        team = make_team(cast)
    yield team
    with cast.inside():  # what stays due would be sent in the tests of the relay
        Change.objects.all().delete()


def at_once(team: Team, act: Callable[[int], object], threads: int = 4) -> list[object]:
    """What each of the threads got, or the exception that it met; all start their work together."""
    gate, results = threading.Barrier(threads, timeout=20), [None] * threads

    def run(n: int) -> None:
        try:
            with team.cast.inside():
                gate.wait()
                results[n] = act(n)
        except Exception as error:  # each outcome is asserted by the test
            results[n] = error
        finally:
            connection.close()

    workers = [threading.Thread(target=run, args=(n,)) for n in range(threads)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join(timeout=30)
    return results


def test_one_client_id_makes_one_athlete(apart: Team):
    """Every sender gets the same row, one of them as its maker."""

    def send(_: int):
        return create_athlete(
            actor=apart.cast.coach.actor, name="Remy", location_id=apart.cast.mill.id, client_id="r-1"
        )

    results = at_once(apart, send)

    assert sorted(created for _, created in results) == [False, False, False, True]
    assert len({athlete.id for athlete, _ in results}) == 1
    with apart.cast.inside():
        assert Athlete.objects.filter(client_id="r-1").count() == 1


def test_two_corrections_of_one_test_leave_one(apart: Team):
    """The others are told that it was corrected already; one observation remains."""
    with apart.cast.inside():
        wrong = apart.test(apart.noor, "deadlift_barbell", 50, load_kg=60.0)

    def correct(n: int):
        return correct_assessment(
            actor=apart.cast.coach.actor,
            assessment=wrong,
            variation_id=apart.variation("deadlift_barbell"),
            tested=Performance("one_rm", 1, days_ago(5), Settings(load_kg=140.0)),
            reason=f"Version {n}.",
            now=NOW,
        )

    results = at_once(apart, correct)

    refused = [r for r in results if isinstance(r, AlreadyCorrected)]
    assert len(refused) == 3, results
    with apart.cast.inside():
        assert Assessment.objects.filter(replaces=wrong).count() == 1
        assert Observation.objects.count() == 1


def test_snapshots_taken_at_once_are_one(apart: Team):
    """No number is given twice and none is skipped."""
    results = at_once(apart, lambda _: take_prior_snapshot(org=apart.cast.org))

    assert {getattr(r, "number", r) for r in results} == {1}
    with apart.cast.inside():
        assert PriorSnapshot.objects.count() == 1
