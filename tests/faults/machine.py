"""The whole service on servers of its own, to be broken: durable PostgreSQL and Redis, web, worker, relay."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import environ
from django.db import connections

from services.devstack import state
from services.devstack.fleet import ROOT, Fleet, ServiceChild, service_commands
from services.devstack.postgres_server import PostgresServer
from services.devstack.processes import choose_port, send, server_account, wait_until
from services.devstack.redis_server import RedisServer
from services.devstack.stack import Stack

ALIASES = {"default": "DATABASE_URL", "owner": "DATABASE_OWNER_URL", "relay": "DATABASE_RELAY_URL"}
STOP_S = 30.0


@dataclass
class Machine:
    """Servers and processes of one test module. The test's own connections lead to the same database."""

    directory: Path
    env: dict[str, str]
    web_port: int
    _restarted: list[subprocess.Popen[bytes]] = field(default_factory=list)

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.web_port}"

    @contextmanager
    def fleet(self, *names: str, env: Mapping[str, str] | None = None) -> Iterator[Fleet]:
        """The named processes, ready, with these additions to the environment; ended with the block."""
        children = [child for child in service_commands(self.web_port) if child.name in names]
        with self.running(children, env=env) as fleet:
            yield fleet

    @contextmanager
    def running(
        self, children: list[ServiceChild], *, env: Mapping[str, str] | None = None
    ) -> Iterator[Fleet]:
        fleet = Fleet(children, self.directory, env={**self.env, **(env or {})}, grace_s=10.0)
        fleet.start()
        try:
            fleet.wait_ready()
            yield fleet
        finally:
            fleet.stop()

    def wipe_redis(self) -> None:
        """kill -9 and a start with nothing: every message is gone."""
        kept = state.load(self.directory)
        assert kept is not None
        assert kept.redis_port is not None
        server = RedisServer(kept.home, self.directory / "redis.log", server_account(), durable=True)
        pid = server.running_pid()
        assert pid is not None
        send(pid, signal.SIGKILL)
        assert wait_until(lambda: server.running_pid() is None, STOP_S)
        for file in sorted(server.data.rglob("*"), reverse=True):
            file.rmdir() if file.is_dir() else file.unlink()
        program = server.program("any")
        self._restarted.append(server.start(program, kept.redis_port, kept.passwords["redis"]))

    def crash_postgres(self) -> None:
        """SIGQUIT: every backend ends at once, the next start recovers from the log."""
        kept = state.load(self.directory)
        assert kept is not None
        assert kept.postgres_port is not None
        server = PostgresServer(kept.home, self.directory / "postgres.log", server_account(), durable=True)
        pid = server.running_pid()
        assert pid is not None
        send(pid, signal.SIGQUIT)
        assert wait_until(lambda: server.running_pid() is None, STOP_S)
        for alias in ALIASES:  # the test's own have died as well
            connections[alias].close()
        self._restarted.append(server.start(server.programs("any"), kept.postgres_port))

    def close(self) -> None:
        for process in self._restarted:
            process.wait(timeout=STOP_S)


@contextmanager
def machine(directory: Path) -> Iterator[Machine]:
    """Start the servers, migrate, and lead this process's connections to the new database."""
    # No address from the environment: what the rest of the test run uses must not be broken.
    with Stack(directory, durable=True, disposable=True, environ={}) as stack:
        env = {
            **os.environ,
            **stack.env,
            "SECRET_KEY": "only-for-tests-" + "y" * 40,
            "DJANGO_SETTINGS_MODULE": "services.settings.base",
        }
        migrate = [sys.executable, str(ROOT / "manage.py"), "migrate", "--verbosity=0"]
        subprocess.run(migrate, env=env, check=True, timeout=120)
        made = Machine(directory, env, choose_port(None))
        with _database_of(stack.env):
            yield made
    made.close()


@contextmanager
def _database_of(env: Mapping[str, str]) -> Iterator[None]:
    kept = {alias: dict(connections[alias].settings_dict) for alias in ALIASES}
    for alias, variable in ALIASES.items():
        connections[alias].close()
        there = environ.Env().db_url_config(env[variable])
        assert urlsplit(env[variable]).hostname == "127.0.0.1"
        names = ("NAME", "USER", "PASSWORD", "HOST", "PORT")
        connections[alias].settings_dict.update({name: there[name] for name in names})
    try:
        yield
    finally:
        for alias, before in kept.items():
            connections[alias].close()
            connections[alias].settings_dict.update(before)
