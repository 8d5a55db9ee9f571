"""PostgreSQL and Redis for the demo and the tests, made from whatever this machine has.

    with Stack(Path(".run"), durable=True) as stack:
        os.environ.update(stack.env)

An address in the environment wins (then nothing is started for that service), then the system's
programs, then those in two wheels of the demo lock. A second start in the same directory reuses
data, passwords and, when it can, ports. Servers never outlive their runner: a guard process ends
them when the runner is killed, and the next start ends what a killed guard left over.
"""

from __future__ import annotations

import os
import signal
import subprocess
import threading
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from types import FrameType, TracebackType

from services.devstack import roles, state
from services.devstack.binaries import Source
from services.devstack.children import end_children
from services.devstack.guard import end_servers, release_guard, start_guard
from services.devstack.postgres_server import SUPERUSER, PostgresServer
from services.devstack.processes import StackError, choose_port, port_is_free, server_account
from services.devstack.redis_server import RedisServer

PORT_TRIES = 3


class Stack:
    """The development servers of one directory.

    Parameters
    ----------
    directory
        Holds state, logs and (when reachable for the servers' account) data; made if missing.
    durable
        False switches every protection against a crash off: throw-away clusters only.
    disposable
        Whether the guard removes the data of a killed runner; by default unless durable.
    environ
        Where addresses of running services are looked up; the process environment by default.
    programs
        "any": the system's programs first; "wheels": only those in the wheels.
    """

    def __init__(
        self,
        directory: Path,
        *,
        durable: bool,
        disposable: bool | None = None,
        environ: Mapping[str, str] | None = None,
        programs: Source = "any",
    ) -> None:
        self.directory = Path(directory).absolute()
        self.env: dict[str, str] = {}
        self._durable = durable
        self._disposable = not durable if disposable is None else disposable
        self._environ = os.environ if environ is None else environ
        self._source: Source = programs
        self._lock: state.DirectoryLock | None = None
        self._guard: subprocess.Popen[bytes] | None = None
        self._postgres: tuple[PostgresServer, subprocess.Popen[bytes]] | None = None
        self._redis: tuple[RedisServer, subprocess.Popen[bytes]] | None = None
        self._handlers: dict[signal.Signals, object] = {}

    def start(self) -> Stack:
        """Start what the environment does not name; `env` is complete when this returns."""
        given = external_addresses(self._environ)
        self.directory.mkdir(parents=True, exist_ok=True)
        self.directory.chmod(self.directory.stat().st_mode | 0o011)  # the servers' account passes through
        lock = state.DirectoryLock(self.directory)
        lock.acquire("runner")
        self._lock = lock
        try:
            kept = self._prepare()
            self._guard = start_guard(self.directory, disposable=self._disposable)
            self.env = {**given}
            if "DATABASE_URL" not in given:
                kept = self._start_postgres(kept)
            if "REDIS_URL" not in given:
                kept = self._start_redis(kept)
        except BaseException:
            self.stop()
            raise
        return self

    def _prepare(self) -> state.State:
        """The remembered state, or a first one; leftovers of a killed runner are ended."""
        end_children(self.directory)
        end_servers(self.directory)
        kept = state.load(self.directory)
        account = server_account()
        if kept is None or not kept.home.exists():
            kept = state.State(home=state.make_home(self.directory, account, lasting=not self._disposable))
        for name in (SUPERUSER, *roles.ROLE_OF_SETTING.values(), "redis"):
            kept = kept.with_password(name)
        state.save(self.directory, kept)
        return kept

    def _start_postgres(self, kept: state.State) -> state.State:
        server = PostgresServer(
            kept.home, self.directory / "postgres.log", server_account(), durable=self._durable
        )
        programs = server.programs(self._source)
        server.create(programs, kept.passwords[SUPERUSER])
        for attempt in range(PORT_TRIES):
            port = choose_port(kept.postgres_port)
            try:
                self._postgres = server, server.start(programs, port)
                break
            except StackError:
                # Somebody took the port between the look and the start; anything else is final.
                if port_is_free(port) or attempt == PORT_TRIES - 1:
                    raise
        kept = replace(kept, postgres_port=port)
        state.save(self.directory, kept)
        roles.make_roles(SUPERUSER, kept.passwords[SUPERUSER], port, kept.passwords)
        for setting, role in roles.ROLE_OF_SETTING.items():
            self.env[setting] = roles.url(role, kept.passwords[role], port)
        return kept

    def _start_redis(self, kept: state.State) -> state.State:
        server = RedisServer(kept.home, self.directory / "redis.log", server_account(), durable=self._durable)
        program = server.program(self._source)
        for attempt in range(PORT_TRIES):
            port = choose_port(kept.redis_port, taken=frozenset({kept.postgres_port or 0}))
            try:
                self._redis = server, server.start(program, port, kept.passwords["redis"])
                break
            except StackError:
                if port_is_free(port) or attempt == PORT_TRIES - 1:
                    raise
        kept = replace(kept, redis_port=port)
        state.save(self.directory, kept)
        self.env["REDIS_URL"] = f"redis://:{kept.passwords['redis']}@127.0.0.1:{port}/0"
        return kept

    def stop(self) -> None:
        """End the servers in order; a second call does nothing."""
        if self._redis is not None:
            self._redis[0].stop(self._redis[1])
            self._redis = None
        if self._postgres is not None:
            self._postgres[0].stop(self._postgres[1])
            self._postgres = None
        if self._lock is not None:
            if self._guard is not None:
                release_guard(self._guard)
                self._guard = None
            self._lock.release()
            self._lock = None
        self.env = {}

    def __enter__(self) -> Stack:
        """Start; SIGTERM and SIGHUP end the block in order from here on, as Ctrl-C does anyway."""
        if threading.current_thread() is threading.main_thread():
            for number in (signal.SIGTERM, signal.SIGHUP):
                self._handlers[number] = signal.signal(number, _leave)
        try:
            return self.start()
        except BaseException:
            self._restore_handlers()
            raise

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        try:
            self.stop()
        finally:
            self._restore_handlers()

    def _restore_handlers(self) -> None:
        while self._handlers:
            number, handler = self._handlers.popitem()
            signal.signal(number, handler)  # type: ignore[arg-type]  # what signal.signal() returned


def _leave(number: int, frame: FrameType | None) -> None:
    raise SystemExit(128 + number)


def external_addresses(environ: Mapping[str, str]) -> dict[str, str]:
    """The addresses that the environment names; all five of the database, or none.

    One address cannot stand for all roles: the tests of row-level security would pass as superuser.
    """
    databases = {name: environ[name] for name in roles.ROLE_OF_SETTING if environ.get(name)}
    missing = [name for name in roles.ROLE_OF_SETTING if name not in databases]
    if databases and missing:
        raise StackError(
            f"the environment names {', '.join(databases)} but not {', '.join(missing)}; set all of them "
            "(services/deploy/roles.sql makes the roles), or none to start a private PostgreSQL"
        )
    redis = {"REDIS_URL": environ["REDIS_URL"]} if environ.get("REDIS_URL") else {}
    return {**databases, **redis}
