"""What fails again and again is set aside and seen; a broker that says nothing is not even asked."""

from __future__ import annotations

import datetime as dt
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from uuid import UUID, uuid4

import pytest
import requests
from django.utils import timezone

from programming.models import ScheduledSession
from scoring.models import Attempt, Prescription, Ranking
from services.changes.actions import record_change
from services.changes.models import Change
from services.devstack.fleet import ROOT, service_commands
from services.devstack.processes import choose_port, wait_until
from tests.faults.derived import undone
from tests.faults.machine import Machine
from tests.faults.results import result_of
from tests.support.world import World, add_athlete, make_world

pytestmark = pytest.mark.stack

# The end of a test that hangs, not a measure.
WAIT_S = 60.0


@pytest.fixture(scope="module")
def world(own_machine: Machine) -> World:
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 9, "goblet_squat": 18})
    add_athlete(world, "Idris Vane", 84.0, {"row_45": 33, "goblet_squat": 40})
    return world


def ranking_change(world: World, subject: UUID) -> Change:
    with world.cast.inside():
        return Change.objects.get(kind="ranking", subject=subject)


def scraped(port: int) -> str:
    """What the relay tells whoever watches over it."""
    http = requests.Session()
    http.trust_env = False
    return http.get(f"http://127.0.0.1:{port}/metrics", timeout=WAIT_S).text


def ask_for_ranking(world: World, subject: UUID) -> None:
    with world.cast.inside():
        record_change(kind="ranking", subject=subject)


def test_what_keeps_failing_is_parked_until_the_next_write(own_machine: Machine, world: World) -> None:
    """A ranking of a session that is not there: tried twice, parked with its error, alone.

    Everything else goes on. When the cause is gone, the next write of the subject does it.
    """
    cast, subject = world.cast, uuid4()
    port = choose_port(None)
    env = {"CHANGE_MAX_TRIES": "2", "CHANGE_LEASE_S": "5", "RELAY_METRICS_PORT": str(port)}
    with own_machine.fleet("worker", "relay", env=env) as fleet:
        ask_for_ranking(world, subject)
        assert wait_until(lambda: ranking_change(world, subject).parked_at is not None, WAIT_S)
        parked = ranking_change(world, subject)
        assert (parked.tries, parked.done) == (2, 0)
        assert parked.error.startswith("NotFound: ")
        assert "\ndosewright_changes_parked 1.0\n" in scraped(port)
        assert b"recompute_failed" in fleet.log("worker").read_bytes()
        assert wait_until(lambda: undone(cast) == 1, WAIT_S), "a parked change holds the others up"
        with cast.inside():
            row = ScheduledSession.objects.get(id=world.session.id)
            row.id, row._state.adding = subject, True
            row.save(force_insert=True)
        assert undone(cast) == 1, "a parked change must wait for a write of its own"
        ask_for_ranking(world, subject)
        assert wait_until(lambda: undone(cast) == 0, WAIT_S)
    done = ranking_change(world, subject)
    assert (done.parked_at, done.error, done.tries, done.done) == (None, "", 0, done.version)
    with cast.inside():
        assert Ranking.objects.filter(session_id=subject).exists()


@contextmanager
def black_hole() -> Iterator[tuple[str, list[object]]]:
    """An address that takes every connection and never says a word; and the connections so far."""
    taken: list[object] = []
    with socket.create_server(("127.0.0.1", 0)) as server:

        def take() -> None:
            while True:
                try:
                    taken.append(server.accept())
                except OSError:
                    return

        thread = threading.Thread(target=take)
        thread.start()
        try:
            yield f"redis://127.0.0.1:{server.getsockname()[1]}/0", taken
        finally:
            server.shutdown(socket.SHUT_RDWR)
            thread.join()
            for connection, _ in taken:  # type: ignore[misc]
                connection.close()


def test_a_submission_never_asks_the_broker(own_machine: Machine, world: World) -> None:
    """With a broker that is silent, a result is stored and acknowledged, and nobody has talked to it.

    The relay does talk to it, so the count of connections is one that can rise.
    """
    cast, athlete = world.cast, world.athletes["Bruna Keel"]
    result = result_of(athlete.id, world.session.id, 1)
    with black_hole() as (address, taken), own_machine.fleet("web", env={"REDIS_URL": address}):
        http = requests.Session()
        http.trust_env = False
        answer = http.post(
            f"{own_machine.url}/api/v1/organisations/{cast.org.id}/attempts",
            json=result.body,
            headers={**cast.coach.headers, "Idempotency-Key": result.key},
            timeout=WAIT_S,
        )
        assert answer.status_code == 201, answer.text
        with cast.inside():
            assert Attempt.objects.get(athlete=athlete).id == UUID(answer.json()["id"])
            assert Change.objects.filter(kind="athlete", subject=athlete.id).exists()
        assert taken == []
        children = [child for child in service_commands(own_machine.web_port) if child.name == "relay"]
        with own_machine.running(children, env={"REDIS_URL": address}) as fleet:
            assert wait_until(lambda: bool(taken), WAIT_S)
            fleet.kill("relay")  # it would wait out its time with the silent one first


def test_the_sweep_prescribes_what_came_near(own_machine: Machine, world: World) -> None:
    """A session that time alone has brought within seven days, asked for by nobody.

    The sweep runs as the beat would start it: through the broker, in a worker.
    """
    cast, name = world.cast, "services.pipeline.tasks.sweep"
    with own_machine.fleet("worker", "relay"):
        assert wait_until(lambda: undone(cast) == 0, WAIT_S)
        with cast.inside():
            row = ScheduledSession.objects.get(id=world.session.id)
            row.id, row._state.adding = uuid4(), True
            row.starts_at = timezone.now() + dt.timedelta(days=6, hours=23)
            row.save(force_insert=True)
        assert prescribed(world, row.id) == set()
        celery = [sys.executable, "-m", "celery", "--app=services.celery"]
        call = [*celery, "call", name, "--queue=low"]
        subprocess.run(call, env=own_machine.env, cwd=ROOT, check=True, timeout=WAIT_S, capture_output=True)
        everybody = {athlete.id for athlete in world.athletes.values()}
        assert wait_until(lambda: prescribed(world, row.id) == everybody, WAIT_S)


def prescribed(world: World, session: UUID) -> set[UUID]:
    with world.cast.inside():
        return set(Prescription.objects.filter(session_id=session).values_list("athlete_id", flat=True))
