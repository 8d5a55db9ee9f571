"""Helpers of the devstack tests: a runner as a subprocess, and looks at what still runs."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from services.devstack import state
from services.devstack.clean import clean
from services.devstack.postgres_server import PostgresServer
from services.devstack.redis_server import RedisServer

ROOT = Path(__file__).resolve().parent.parent.parent


@dataclass(frozen=True)
class Runner:
    """A running `tests.devstack.runner`."""

    process: subprocess.Popen[str]
    env: dict[str, str]
    guard: int


@contextmanager
def runner(directory: Path, *command: str) -> Iterator[Runner]:
    """A runner that is ready; ended by SIGTERM at the end of the block, unless it ended before."""
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.devstack.runner", str(directory), *command],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    try:
        line = process.stdout.readline()
        assert line, f"the runner ended before it was ready (exit code {process.wait()})"
        yield Runner(process, **json.loads(line))
    finally:
        if process.poll() is None:
            process.terminate()
        process.wait(timeout=60)
        process.stdout.close()


@contextmanager
def cleaned(directory: Path) -> Iterator[None]:
    """Remove a stack's directory at the end of the block, with data that lie outside it."""
    try:
        yield
    finally:
        clean(directory)


def server_pids(directory: Path) -> tuple[int | None, int | None]:
    """The process ids of the PostgreSQL and the Redis of `directory`; None for one that is down."""
    kept = state.load(directory)
    assert kept is not None
    log = directory / "unused.log"
    return (
        PostgresServer(kept.home, log, None, durable=True).running_pid(),
        RedisServer(kept.home, log, None, durable=True).running_pid(),
    )


def listens(url: str) -> bool:
    """Whether something takes connections at the address."""
    parts = urlsplit(url)
    try:
        socket.create_connection((parts.hostname or "", parts.port or 0), timeout=2).close()
    except OSError:
        return False
    return True
