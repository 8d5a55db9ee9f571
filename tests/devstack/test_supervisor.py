"""Supervised processes live together, end together and leave nothing behind."""

from __future__ import annotations

import os
import signal
import sys
from pathlib import Path

import pytest

from services.devstack.children import Entry, end_children, register, registered
from services.devstack.processes import began, wait_until
from services.devstack.supervisor import Child, ChildEndedError, Supervisor
from tests.devstack.support import cleaned, runner, server_pids

WAIT_S = 20.0
SLEEP = [sys.executable, "-c", "import time; time.sleep(600)"]
# Has a child of its own, and writes both ids; neither takes SIGTERM, or ("obey") the child alone not.
STUBBORN = """
import os, signal, sys, time
signal.signal(signal.SIGTERM, signal.SIG_IGN)
child = os.fork()
if child:
    if "obey" in sys.argv:
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
    with open(sys.argv[1] + ".part", "w") as stream:
        stream.write(f"{os.getpid()} {child}")
    os.rename(sys.argv[1] + ".part", sys.argv[1])
time.sleep(600)
"""


def pids_in(path: Path) -> list[int]:
    """The ids that `STUBBORN` wrote, once it did."""
    assert wait_until(path.exists, WAIT_S)
    return [int(word) for word in path.read_text().split()]


def gone(pids: list[int]) -> bool:
    """Whether none of the processes runs any more."""
    return wait_until(lambda: all(began(pid) is None for pid in pids), WAIT_S)


def test_a_signal_ends_all_children(tmp_path: Path) -> None:
    """SIGTERM to the supervisor ends every child and returns; handlers are put back."""
    before = signal.getsignal(signal.SIGTERM)
    supervisor = Supervisor([Child("one", SLEEP), Child("two", SLEEP)], tmp_path, grace_s=10)
    seen: list[int] = []

    def ready() -> None:
        seen.extend(entry.pid for entry in registered(tmp_path))
        os.kill(os.getpid(), signal.SIGTERM)

    supervisor.run(ready)
    assert len(seen) == 2
    assert gone(seen)
    assert registered(tmp_path) == []
    assert signal.getsignal(signal.SIGTERM) is before


def test_a_child_that_ends_is_named_with_its_last_words(tmp_path: Path) -> None:
    """When one child ends, the error says which and why, and the others are ended."""
    failing = [sys.executable, "-c", "import sys; print('the port is taken', flush=True); sys.exit(3)"]
    supervisor = Supervisor([Child("web", SLEEP), Child("relay", failing)], tmp_path, grace_s=10)
    seen: list[int] = []
    with pytest.raises(
        ChildEndedError, match=r"(?s)relay ended with exit code 3.*the port is taken"
    ) as caught:
        supervisor.run(ready=lambda: seen.extend(entry.pid for entry in registered(tmp_path)))
    assert (caught.value.name, caught.value.code) == ("relay", 3)
    assert len(seen) == 2
    assert gone(seen)


def test_a_stubborn_child_goes_with_its_whole_group(tmp_path: Path) -> None:
    """A child that ignores SIGTERM is killed after the grace, together with what it started."""
    written = tmp_path / "pids"
    supervisor = Supervisor(
        [Child("worker", [sys.executable, "-c", STUBBORN, str(written)])], tmp_path, grace_s=0.3
    )
    supervisor.start()
    pids = pids_in(written)
    assert all(began(pid) for pid in pids)
    supervisor.stop()
    assert gone(pids)


def test_grandchildren_of_a_killed_child_are_ended(tmp_path: Path) -> None:
    """kill -9 of a child leaves its own children behind; the supervisor ends those as well."""
    written = tmp_path / "pids"
    supervisor = Supervisor(
        [Child("worker", [sys.executable, "-c", STUBBORN, str(written)])], tmp_path, grace_s=1
    )

    def kill() -> None:
        os.kill(pids_in(written)[0], signal.SIGKILL)

    with pytest.raises(ChildEndedError, match="was ended by signal 9"):
        supervisor.run(ready=kill)
    assert gone(pids_in(written))


def test_a_command_that_does_not_exist_ends_the_others(tmp_path: Path) -> None:
    """A child that cannot be started is an error, not a half-running system."""
    supervisor = Supervisor([Child("one", SLEEP), Child("two", [str(tmp_path / "absent")])], tmp_path)
    with pytest.raises(FileNotFoundError):
        supervisor.start()
    assert registered(tmp_path) == []


def test_a_killed_runner_leaves_no_child(tmp_path: Path) -> None:
    """After kill -9 of the runner the guard ends its children with everything they started."""
    written = tmp_path / "pids"
    directory = tmp_path / "run"
    with (
        cleaned(directory),
        runner(directory, sys.executable, "-c", STUBBORN, str(written), "obey") as running,
    ):
        pids = pids_in(written)
        running.process.kill()
        assert wait_until(lambda: server_pids(directory) == (None, None), 30.0)
    assert gone(pids)


def test_only_the_registered_process_itself_is_ended(tmp_path: Path) -> None:
    """An id that belongs to another process by now is left alone."""
    bystander = Supervisor([Child("bystander", SLEEP)], tmp_path / "other")
    bystander.start()
    try:
        (entry,) = registered(tmp_path / "other")
        register(tmp_path, [Entry("old", entry.pid, "another boot:1")])
        end_children(tmp_path)
        assert began(entry.pid) == entry.began
        register(tmp_path, [entry])
        end_children(tmp_path)
        assert gone([entry.pid])
    finally:
        bystander.stop()


def test_the_environment_of_a_child_is_the_one_given(tmp_path: Path) -> None:
    """A child sees the common environment and its own additions, nothing of the caller's."""
    show = [sys.executable, "-c", "import os; print(sorted(os.environ.items()), flush=True)"]
    supervisor = Supervisor([Child("one", show, {"B": "2"})], tmp_path, env={"A": "1", "LC_ALL": "C"})
    supervisor.start()
    assert wait_until(lambda: "]" in supervisor.log("one").read_text(), WAIT_S)
    supervisor.stop()
    shown = supervisor.log("one").read_text()
    assert "('A', '1')" in shown
    assert "('B', '2')" in shown
    assert "'PATH'" not in shown
