"""Whatever dies while results arrive: none acknowledged is lost, none counts twice, all are recomputed."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import pytest
from django.db.models import Count
from django.utils import timezone

from programming.actions.sessions import schedule_session
from programming.models import ScheduledSession
from scoring.models import Attempt, OfficialScore, SetLog
from services.changes.models import Change
from services.devstack.fleet import Fleet
from services.devstack.processes import wait_until
from tests.faults.derived import begun, from_scratch, stored, undone
from tests.faults.machine import Machine
from tests.faults.results import BREAKS, Result, result_of
from tests.faults.submitter import Submitter
from tests.support.cast import Cast
from tests.support.world import World, add_athlete, make_world

pytestmark = pytest.mark.stack

# One result each: a later result of the same athlete would have a lost recompute made up for.
ATHLETES = 84
DOUBLED = 14
# Far longer than a machine of its own needs; the end of the test, not a measure.
DRAIN_S = 150.0
# Short, so that what a dead worker had begun is soon handed out again; one organisation has a quarter of 32.
SETTINGS = {"CHANGE_LEASE_S": "3", "CHANGE_IN_FLIGHT": "32"}


@dataclass
class Crowd:
    """Athletes with a session whose results arrive and one that they are prescribed for."""

    world: World
    coming: ScheduledSession
    results: list[Result]

    @property
    def cast(self) -> Cast:
        return self.world.cast


@pytest.fixture(scope="module")
def crowd(own_machine: Machine) -> Crowd:
    world = make_world()
    for number in range(ATHLETES):
        tests = {"row_45": 8 + number % 20, "goblet_squat": 15 + number % 30} if number % 4 else {}
        add_athlete(world, f"Athlete {number:03}", 55.0 + number % 40, tests)
    with world.cast.inside():
        coming = schedule_session(
            actor=world.cast.coach.actor,
            revision_id=world.revision.id,
            location_id=world.cast.harbour.id,
            starts_at=timezone.now() + dt.timedelta(days=4),
        )
    results = [
        result_of(athlete.id, world.session.id, number)
        for number, athlete in enumerate(world.athletes.values())
    ]
    return Crowd(world, coming, results)


def drained(cast: Cast) -> bool:
    return wait_until(lambda: undone(cast) == 0, DRAIN_S)


class Storm:
    """Sends results in portions; a fault strikes in the middle of each."""

    def __init__(self, machine: Machine, fleet: Fleet, clients: Submitter, cast: Cast) -> None:
        self.machine, self.fleet, self.clients, self.cast = machine, fleet, clients, cast
        self.caught_at_work = 0

    def portion(self, results: list[Result], fault: str) -> None:
        before = self.clients.count()
        self.clients.send(results)
        assert wait_until(lambda: self.clients.count() >= before + len(results) // 3, 60.0), fault
        getattr(self, fault)()
        self.fleet.check()

    def worker(self) -> None:
        """Kill the worker and its pool while they compute."""
        self.fleet.wait_ready("worker")
        self.caught_at_work += wait_until(lambda: begun(self.cast) > 0, 20.0)
        self.fleet.kill("worker")
        self.fleet.start_again("worker")

    def relay(self) -> None:
        self.fleet.kill("relay")
        self.fleet.start_again("relay")

    def web(self) -> None:
        self.fleet.kill("web")
        self.fleet.start_again("web")

    def broker(self) -> None:
        self.machine.wipe_redis()

    def database(self) -> None:
        self.machine.crash_postgres()


FAULTS = ("worker", "relay", "broker", "worker", "database", "relay", "web")


def test_no_result_is_lost_or_counted_twice(own_machine: Machine, crowd: Crowd) -> None:
    """Worker, relay, broker, database and web are killed while 84 athletes send one result each.

    The list of what the clients saw acknowledged is held against the tables, and what is derived from the
    results against a computation from scratch.
    """
    cast, results = crowd.cast, crowd.results
    with own_machine.fleet("web", "worker", "relay", env=SETTINGS) as fleet:
        assert drained(cast)
        clients = Submitter(own_machine.url, cast.org.id, cast.coach.token)
        storm = Storm(own_machine, fleet, clients, cast)
        clients.send(results[:DOUBLED], twice=True)
        single, size = results[DOUBLED:], (ATHLETES - DOUBLED) // len(FAULTS)
        for number, fault in enumerate(FAULTS):
            storm.portion(single[number * size : (number + 1) * size], fault)
        clients.send(single[len(FAULTS) * size :])
        clients.finish()
        assert clients.refused == []
        assert drained(cast), f"{undone(cast)} changes are left"
    assert storm.caught_at_work == FAULTS.count("worker")
    assert clients.repeats > 0, "no fault was felt by a client"
    assert_stored_once(crowd, clients)
    assert_recomputed(crowd)


def assert_stored_once(crowd: Crowd, clients: Submitter) -> None:
    """Every acknowledgement names the one stored row of its athlete, which holds what was sent."""
    assert len(clients.acknowledged) == ATHLETES
    doubled = [clients.acknowledged[result.athlete] for result in crowd.results[:DOUBLED]]
    assert {len(answers) for answers in doubled} == {3}
    with crowd.cast.inside():
        rows = {row.athlete_id: row for row in Attempt.objects.filter(session=crowd.world.session)}
        assert Attempt.objects.count() == len(rows) == ATHLETES
        sets = Attempt.objects.annotate(n=Count("sets")).values_list("n", flat=True)
        assert set(sets) == {5}
        assert SetLog.objects.count() == 5 * ATHLETES
    for result in crowd.results:
        answers = clients.acknowledged[result.athlete]
        assert {answer.attempt for answer in answers} == {rows[result.athlete].id}
        assert rows[result.athlete].as_sent == result.body


def assert_recomputed(crowd: Crowd) -> None:
    """Nothing waits or is parked; every derived row is that of a computation from scratch."""
    cast, session, coming = crowd.cast, crowd.world.session.id, crowd.coming.id
    athletes = [result.athlete for result in crowd.results]
    with cast.inside():
        assert not Change.objects.filter(parked_at__isnull=False).exists()
        by_hand = {result.athlete: (result.score_s, BREAKS) for result in crowd.results}
        scores = OfficialScore.objects.values_list("athlete_id", "score_s", "breaks")
        assert {athlete: (score_s, breaks) for athlete, score_s, breaks in scores} == by_hand
    once = stored(cast, session, coming)
    again = from_scratch(cast, session, coming, athletes)
    assert len(once.prescriptions) == len(once.scores) == ATHLETES
    assert len(once.capacities) == 2 * ATHLETES
    for part in ("scores", "observations", "capacities", "ranking", "prescriptions"):
        assert getattr(once, part) == getattr(again, part), part
    ranked = [row["athlete"] for row in once.ranking["official"]]
    assert sorted(ranked) == sorted(map(str, athletes))
