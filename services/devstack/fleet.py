"""The processes of the service on one machine: web, worker, relay, beat.

    fleet = Fleet(service_commands(port), directory, env={**os.environ, **stack.env})
    fleet.run(ready=lambda: fleet.wait_ready())     # until a signal; or start() … stop()

Knows command lines and the environment alone, so that it can be used before anything is configured.
"""

from __future__ import annotations

import http.client
import os
import signal
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from services.devstack.children import Entry, end_groups, register
from services.devstack.processes import StackError, send, tail, wait_until, work_done
from services.devstack.roles import ROLE_OF_SETTING
from services.devstack.supervisor import Child, Supervisor

ROOT: Final = Path(__file__).resolve().parent.parent.parent
# A first start compiles the numeric kernels: two minutes on two quiet cores, and many times that beside other work.
# So what still works is waited for; what does nothing for so long, or is not done after an hour, never will be.
IDLE_S: Final = 120.0
LONGEST_S: Final = 3600.0
# What a process writes to its log once it does its work; it is looked for in what was logged since the start.
READY_LINE: Final = {"worker": b"worker_ready", "relay": b"relay_leads", "beat": b"beat_ready"}


# Which addresses of the database a process gets, as in docker-compose.yml: one that asks for more fails here too.
# The worker's relay address is for the sweep, which needs the ids of all organisations.
DATABASES_OF: Final[Mapping[str, frozenset[str]]] = {
    "web": frozenset({"DATABASE_URL"}),
    "worker": frozenset({"DATABASE_URL", "DATABASE_RELAY_URL"}),
    "relay": frozenset({"DATABASE_URL", "DATABASE_RELAY_URL"}),
    "beat": frozenset({"DATABASE_URL"}),
}


@dataclass(frozen=True)
class ServiceChild(Child):
    """A process of the service; `port` is where the web answers, None for the others."""

    port: int | None = None


def _part(name: str, command: Sequence[str], port: int | None = None, **environment: str) -> ServiceChild:
    paths = {"PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}
    without = frozenset(ROLE_OF_SETTING) - DATABASES_OF[name]
    return ServiceChild(name, command, {**paths, **environment}, without, port)


def service_commands(
    port: int,
    *,
    workers: int = 2,
    web_workers: int = 2,
    web_threads: int = 4,
    beat_schedule: Path | None = None,
) -> list[ServiceChild]:
    """The processes in the order in which they start.

    Parameters
    ----------
    port
        Where the web listens on 127.0.0.1.
    workers
        Processes that recompute.
    web_workers, web_threads
        Processes of the web, and threads in each of them.
    beat_schedule
        The file in which the beat notes its last runs; without one there is no beat.
    """
    python = sys.executable
    celery = [python, "-m", "celery", "--app=services.celery"]
    web = [python, "-m", "gunicorn", "services.wsgi:application", f"--bind=127.0.0.1:{port}"]
    web += [f"--workers={web_workers}", f"--threads={web_threads}", "--worker-class=gthread"]
    # The kernels are compiled once, in the parent, before the port is opened.
    web += ["--preload"]
    web += ["--graceful-timeout=10", "--timeout=60", "--no-control-socket"]
    # One for both queues: a second one would keep the kernels in memory twice, on a machine that serves one person.
    worker = [*celery, "worker", "--queues=recompute,low", f"--concurrency={workers}", "--hostname=worker@%h"]
    # One worker has nobody to talk to; less traffic on the broker.
    worker += ["--without-gossip", "--without-mingle"]
    children = [
        _part("web", web, port, DATABASE_USE_POOL="1", COOKIES_OVER_HTTP="1"),
        _part("worker", worker),
        _part("relay", [python, str(ROOT / "manage.py"), "relay"]),
    ]
    if beat_schedule is not None:
        beat = [*celery, "beat", f"--schedule={beat_schedule}", "--pidfile="]
        children.append(_part("beat", beat))
    return children


class Fleet(Supervisor):
    """A supervisor of the service's processes, which can also be killed and started by name.

    Parameters
    ----------
    children
        See `service_commands`.
    directory, env, grace_s
        See `Supervisor`.
    """

    def __init__(
        self,
        children: Sequence[ServiceChild],
        directory: Path,
        *,
        env: Mapping[str, str] | None = None,
        grace_s: float = 15.0,
    ) -> None:
        super().__init__(children, directory, env=env, grace_s=grace_s)
        self._by_name = {child.name: child for child in children}
        self._offset: dict[str, int] = {}

    def _start_one(self, child: Child) -> None:
        log = self.log(child.name)
        self._offset[child.name] = log.stat().st_size if log.exists() else 0
        super()._start_one(child)

    def names(self) -> list[str]:
        """The processes that were started and neither killed nor ended since."""
        return [child.name for child, _, _ in self._running]

    def pid(self, name: str) -> int:
        """The process id of a running one; it leads a group of its own."""
        return self._entry(name).pid

    def start_again(self, name: str) -> None:
        """Start one that was killed or ended; `wait_ready(name)` says when it works."""
        if name in self.names():
            raise StackError(f"{name} runs already")
        self._start_one(self._by_name[name])

    def kill(self, name: str) -> None:
        """SIGKILL to the process and everything it started; returns when it is gone."""
        send(self.pid(name), signal.SIGKILL, group=True)
        self._forget(name)

    def end(self, name: str) -> None:
        """Ask one process to end in order (its running task is finished), as `stop` does with all."""
        process = next(process for child, process, _ in self._running if child.name == name)
        entry = self._entry(name)
        send(entry.pid, signal.SIGTERM)
        wait_until(lambda: process.poll() is not None, self._grace_s)
        end_groups([entry], 0.0)
        self._forget(name)

    def wait_ready(self, *names: str, idle_s: float = IDLE_S, longest_s: float = LONGEST_S) -> None:
        """Return when the named processes (all of them, by default) do their work.

        Waits for one that is not ready while it uses the processor or writes to its log, `longest_s` at most. Raises
        `ChildEndedError` when one has ended, `StackError` with the end of its log when it is late.
        """
        for name in names or tuple(self.names()):
            late = self._wait_while_working(name, idle_s, longest_s)
            if late:
                raise StackError(f"{name} is not ready {late}:\n{tail(self.log(name))}")

    def _wait_while_working(self, name: str, idle_s: float, longest_s: float) -> str:
        """Why it was given up; "" when it is ready."""
        ready, deadline, mark = self._is_ready(name), time.monotonic() + longest_s, self._progress(name)
        while not wait_until(ready, min(idle_s, max(0.0, deadline - time.monotonic()))):
            if time.monotonic() >= deadline:
                return f"after {longest_s:.0f} s; this machine is too slow, or too busy with other work"
            before, mark = mark, self._progress(name)
            if mark == before:
                return f"and has done nothing for {idle_s:.0f} s"
        return ""

    def _progress(self, name: str) -> tuple[str | None, int]:
        return work_done(self.pid(name)), self.log(name).stat().st_size

    def _is_ready(self, name: str) -> Callable[[], bool]:
        port = self._by_name[name].port

        def ready() -> bool:
            self.check()
            if port is not None:
                return answers(port)
            return READY_LINE[name] in self._logged(name)

        return ready

    def _logged(self, name: str) -> bytes:
        """What the process has written since its last start."""
        with self.log(name).open("rb") as stream:
            stream.seek(self._offset[name])
            return stream.read()

    def _entry(self, name: str) -> Entry:
        for child, _, entry in self._running:
            if child.name == name:
                return entry
        raise StackError(f"{name} does not run")

    def _forget(self, name: str) -> None:
        for child, process, _ in self._running:
            if child.name == name:
                process.wait()
        self._running = [running for running in self._running if running[0].name != name]
        register(self._directory, [entry for _, _, entry in self._running])


def answers(port: int, path: str = "/readyz") -> bool:
    """Whether the web on 127.0.0.1:`port` is ready to serve."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
    try:
        connection.request("GET", path)
        return connection.getresponse().status == 200
    except (OSError, http.client.HTTPException):
        return False
    finally:
        connection.close()


def environment(stack_env: Mapping[str, str], secret_key: str) -> dict[str, str]:
    """The environment of the processes: the caller's, the servers' addresses, a secret key."""
    return {**os.environ, **stack_env, "SECRET_KEY": secret_key}
