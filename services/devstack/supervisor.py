"""A small supervisor: several named processes that live and end together."""

from __future__ import annotations

import os
import signal
import subprocess
import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

from services.devstack.children import SUPERVISOR, Entry, end_children, end_groups, register
from services.devstack.processes import StackError, began, spawn, tail

LOOK_S = 0.2


@dataclass(frozen=True)
class Child:
    """One process to run: its name (also of its log file), its command, additions to the environment.

    `without` names variables of the common environment that it does not get.
    """

    name: str
    command: Sequence[str]
    environment: Mapping[str, str] = field(default_factory=dict)
    without: frozenset[str] = frozenset()


class ChildEndedError(StackError):
    """A supervised process ended by itself; the message holds the end of its log."""

    def __init__(self, name: str, code: int, log: Path) -> None:
        how = f"was ended by signal {-code}" if code < 0 else f"ended with exit code {code}"
        super().__init__(f"{name} {how}; the end of {log}:\n{tail(log)}")
        self.name = name
        self.code = code


class Supervisor:
    """Runs `children` until a signal arrives or one of them ends; then ends all of them.

    Parameters
    ----------
    children
        Started in this order, ended in the reverse one.
    directory
        Logs go to `<directory>/<name>.log`. In the directory of a `Stack`, its guard also ends
        these processes when the runner is killed.
    env
        The environment of all children; the caller's own by default.
    grace_s
        Seconds between the request to end and the kill. Above the longest task's soft limit when
        tasks must be finished.
    """

    def __init__(
        self,
        children: Sequence[Child],
        directory: Path,
        *,
        env: Mapping[str, str] | None = None,
        grace_s: float = 15.0,
    ) -> None:
        self._children = list(children)
        self._directory = Path(directory).absolute()
        self._env = dict(os.environ if env is None else env)
        self._grace_s = grace_s
        self._running: list[tuple[Child, subprocess.Popen[bytes], Entry]] = []
        self._told = threading.Event()

    def log(self, name: str) -> Path:
        """The log file of one child."""
        return self._directory / f"{name}.log"

    def start(self) -> None:
        """Start all children; when one cannot be started the others are ended again."""
        self._directory.mkdir(parents=True, exist_ok=True)
        end_children(self._directory, SUPERVISOR)
        try:
            for child in self._children:
                self._start_one(child)
        except BaseException:
            self.stop()
            raise

    def _start_one(self, child: Child) -> None:
        common = {name: value for name, value in self._env.items() if name not in child.without}
        process = spawn(child.command, log=self.log(child.name), environment={**common, **child.environment})
        entry = Entry(child.name, process.pid, began(process.pid) or "")
        self._running.append((child, process, entry))
        register(self._directory, [entry for _, _, entry in self._running])

    def check(self) -> None:
        """Raise `ChildEndedError` when a child has ended."""
        for child, process, _ in self._running:
            code = process.poll()
            if code is not None:
                raise ChildEndedError(child.name, code, self.log(child.name))

    def wait(self) -> None:
        """Return when a signal told to end (see `run`); raise when a child ended first."""
        while not self._told.wait(LOOK_S):
            self.check()

    def stop(self) -> None:
        """End all children with everything they started; a second call does nothing."""
        running, self._running = self._running[::-1], []
        if not running:
            return
        reaper = threading.Thread(target=lambda: [process.wait() for _, process, _ in running])
        reaper.start()
        end_groups([entry for _, _, entry in running], self._grace_s)
        reaper.join()
        register(self._directory, [])

    def run(self, ready: Callable[[], None] = lambda: None) -> None:
        """Start, call `ready` once, wait for SIGINT, SIGTERM or SIGHUP, end all children.

        Only in the main thread. Raises `ChildEndedError` when a child ended by itself, after the
        others were ended. A second signal during the end changes nothing.
        """

        def tell(number: int, frame: FrameType | None) -> None:
            self._told.set()

        numbers = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
        before = {number: signal.signal(number, tell) for number in numbers}
        try:
            self.start()
            ready()
            self.wait()
        finally:
            self.stop()
            for number, handler in before.items():
                signal.signal(number, handler)
