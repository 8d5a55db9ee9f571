"""A long table on its way in: other work overtakes it, and a worker that is killed leaves it where it was."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
import requests
from django.utils import timezone

from athletes.models import TrainingLog
from scoring.models import OfficialScore
from services.devstack.processes import wait_until
from services.exchange.models import ImportRow
from tests.faults.machine import Machine
from tests.faults.results import result_of
from tests.support.world import World, add_athlete, make_world

pytestmark = pytest.mark.stack

ROWS = 3_000
# The end of a test that hangs, not a measure.
WAIT_S = 300.0


@pytest.fixture(scope="module")
def world(own_machine: Machine) -> World:
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 9, "goblet_squat": 18})
    add_athlete(world, "Signe Aalto")
    return world


class Browser:
    """What a coach does over HTTP."""

    def __init__(self, machine: Machine, world: World) -> None:
        self.base = f"{machine.url}/api/v1/organisations/{world.cast.org.id}"
        self.headers = world.cast.coach.headers
        self.http = requests.Session()
        self.http.trust_env = False

    def post(self, path: str, body: dict[str, Any], **headers: str) -> Any:
        answer = self.http.post(
            f"{self.base}/{path}", json=body, headers={**self.headers, **headers}, timeout=60
        )
        assert answer.status_code == 201, answer.text
        return answer.json()

    def get(self, path: str) -> Any:
        answer = self.http.get(f"{self.base}/{path}", headers=self.headers, timeout=60)
        assert answer.status_code == 200, answer.text
        return answer.json()


def five_years() -> str:
    """A run every other day or so, back from last week; no two alike."""
    last = timezone.now().date() - dt.timedelta(days=7)
    rows = [
        f"Signe Aalto,running,4,{20 + n / 100:.2f},{last - dt.timedelta(days=n // 2)}" for n in range(ROWS)
    ]
    return "athlete,modality,effort,minutes,date\n" + "\n".join(rows) + "\n"


def test_a_killed_worker_leaves_a_long_table_where_it_was(own_machine: Machine, world: World) -> None:
    """Rows that were taken stay, those of the piece in hand are taken again, and each came in once. A result that is
    sent meanwhile is scored before the table is through.
    """
    with own_machine.fleet("web", "worker", "relay", env={"CHANGE_LEASE_S": "5"}) as fleet:
        coach = Browser(own_machine, world)
        made = coach.post("imports", {"kind": "training", "csv": five_years()})

        def progress() -> int:
            return int(coach.get(f"imports/{made['id']}")["rows_done"])

        assert wait_until(lambda: progress() > 0, WAIT_S), "the table does not get on"
        fleet.kill("worker")
        before = progress()
        assert 0 < before < ROWS
        result = result_of(world.athletes["Bruna Keel"].id, world.session.id, 1)
        sent = coach.post("attempts", result.body, **{"Idempotency-Key": result.key})
        fleet.start_again("worker")
        fleet.wait_ready("worker")

        def is_scored() -> bool:
            with world.cast.inside():
                return OfficialScore.objects.filter(attempt=sent["id"], score_s=result.score_s).exists()

        assert wait_until(is_scored, WAIT_S), "nothing else is done while a table comes in"
        assert before <= progress() < ROWS, "the result had to wait until the table was through"
        assert wait_until(lambda: coach.get(f"imports/{made['id']}")["state"] == "done", WAIT_S)
        told = coach.get(f"imports/{made['id']}")
    assert (told["created_rows"], told["duplicate_rows"], told["invalid_rows"]) == (ROWS, 0, 0)
    with world.cast.inside():
        assert TrainingLog.objects.filter(athlete=world.athletes["Signe Aalto"]).count() == ROWS
        numbers = ImportRow.objects.filter(taken=made["id"]).values_list("number", flat=True)
        assert sorted(numbers) == list(range(1, ROWS + 1))
