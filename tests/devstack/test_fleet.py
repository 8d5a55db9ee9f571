"""The service's processes can be killed, ended and started by name, and say when they work."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from services.devstack.children import registered
from services.devstack.fleet import Fleet, ServiceChild, service_commands
from services.devstack.processes import StackError, began, choose_port, wait_until
from services.devstack.supervisor import ChildEndedError

# Says that it works after a moment, then works; its own child too.
SAYS = """
import os, sys, time
child = os.fork()
if child:
    print("child", child, flush=True)
    time.sleep(0.3)
    print(sys.argv[1], flush=True)
time.sleep(600)
"""


@pytest.fixture
def fleet(tmp_path: Path) -> Iterator[Fleet]:
    children = [
        ServiceChild("worker", [sys.executable, "-c", SAYS, "worker_ready"]),
        ServiceChild("relay", [sys.executable, "-c", SAYS, "relay_leads"]),
    ]
    fleet = Fleet(children, tmp_path, grace_s=5)
    fleet.start()
    yield fleet
    fleet.stop()


def test_a_killed_one_is_gone_with_what_it_started(fleet: Fleet) -> None:
    """kill() ends the whole group; the others go on, and a supervisor does not take it for a failure."""
    fleet.wait_ready()
    pids = [fleet.pid("worker"), int(fleet.log("worker").read_text().split()[1])]
    fleet.kill("worker")
    assert wait_until(lambda: all(began(pid) is None for pid in pids), 10.0)
    assert fleet.names() == ["relay"]
    assert [entry.name for entry in registered(fleet.log("relay").parent)] == ["relay"]
    fleet.check()


def test_readiness_is_that_of_the_present_start(fleet: Fleet) -> None:
    """The line of an earlier start does not count."""
    fleet.wait_ready()
    fleet.kill("worker")
    fleet.start_again("worker")
    with pytest.raises(StackError, match="worker is not ready after 0 s; this machine is too slow"):
        fleet.wait_ready("worker", longest_s=0.0)
    fleet.wait_ready("worker", longest_s=60.0)


# Works without a word for a while, longer than it may do nothing; then says that it is ready, or falls asleep.
WORKS = """
import sys, time
end = time.process_time() + 3.0
while time.process_time() < end:
    pass
print(sys.argv[1], flush=True)
time.sleep(600)
"""


@pytest.mark.parametrize("says", ["worker_ready", "nothing"])
def test_what_still_works_is_waited_for(tmp_path: Path, says: str) -> None:
    """Compilers say nothing for minutes; one that neither works nor writes is given up before the limit."""
    fleet = Fleet([ServiceChild("worker", [sys.executable, "-c", WORKS, says])], tmp_path, grace_s=5)
    fleet.start()
    try:
        if says == "worker_ready":
            fleet.wait_ready(idle_s=1.0)
        else:
            with pytest.raises(StackError, match="worker is not ready and has done nothing for 2 s"):
                fleet.wait_ready(idle_s=2.0)
    finally:
        fleet.stop()


def test_one_that_ended_is_told_while_waiting(fleet: Fleet, tmp_path: Path) -> None:
    """Waiting for a process that has died ends with its name, not with a timeout."""
    broken = Fleet([ServiceChild("worker", [sys.executable, "-c", "raise SystemExit(4)"])], tmp_path / "two")
    broken.start()
    try:
        with pytest.raises(ChildEndedError, match="worker ended with exit code 4"):
            broken.wait_ready(longest_s=60.0)
    finally:
        broken.stop()


def test_ended_in_order_and_started_twice_refused(fleet: Fleet) -> None:
    """end() asks with SIGTERM; what runs is not started a second time."""
    with pytest.raises(StackError, match="relay runs already"):
        fleet.start_again("relay")
    pid = fleet.pid("relay")
    fleet.end("relay")
    assert began(pid) is None
    with pytest.raises(StackError, match="relay does not run"):
        fleet.pid("relay")


def test_the_web_is_ready_when_it_answers(tmp_path: Path) -> None:
    """The port is asked, so a web that has only begun to start is not ready."""
    port = choose_port(None)
    serve = [
        sys.executable,
        "-m",
        "http.server",
        str(port),
        "--bind",
        "127.0.0.1",
        "--directory",
        str(tmp_path),
    ]
    fleet = Fleet([ServiceChild("web", serve, port=port)], tmp_path / "run")
    fleet.start()
    try:
        with pytest.raises(StackError, match="web is not ready after 1 s"):
            fleet.wait_ready(longest_s=1.0)
        (tmp_path / "readyz").write_text("ready")
        fleet.wait_ready(longest_s=60.0)
    finally:
        fleet.stop()


def test_the_beat_is_there_only_with_a_schedule(tmp_path: Path) -> None:
    """One beat is enough for a database, so it is asked for by name."""
    assert [child.name for child in service_commands(8000)] == ["web", "worker", "relay"]
    named = [child.name for child in service_commands(8000, beat_schedule=tmp_path / "beat")]
    assert named == ["web", "worker", "relay", "beat"]
