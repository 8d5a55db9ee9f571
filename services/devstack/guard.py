"""The guard: ends servers and supervised processes when their runner is killed.

It reads its standard input, a pipe whose other end only the runner holds. A runner that stops in
order says so there; when the pipe ends without a word the runner has died, by whatever signal.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

from services.devstack import state
from services.devstack.children import end_children
from services.devstack.postgres_server import PostgresServer
from services.devstack.processes import server_account, wait_until
from services.devstack.redis_server import RedisServer

FAREWELL = b"."
REMOVE = "--remove"
LOCK_WAIT_S = 30.0


def start_guard(directory: Path, *, disposable: bool) -> subprocess.Popen[bytes]:
    """Start a guard over `directory`; a disposable stack's also removes the servers' data."""
    root = Path(__file__).resolve().parent.parent.parent
    with (directory / "guard.log").open("ab") as log:
        return subprocess.Popen(
            [
                sys.executable,
                "-m",
                "services.devstack.guard",
                str(directory),
                *([REMOVE] if disposable else []),
            ],
            stdin=subprocess.PIPE,
            stdout=log,
            stderr=log,
            cwd=root,
            # Its own session, out of reach of Ctrl-C and of a hang-up of the terminal.
            start_new_session=True,
        )


def end_servers(directory: Path) -> None:
    """End servers that an earlier runner of `directory` left behind."""
    kept = state.load(directory)
    if kept is None or not kept.home.exists():
        return
    account = server_account()
    RedisServer(kept.home, directory / "redis.log", account, durable=True).stop()
    PostgresServer(kept.home, directory / "postgres.log", account, durable=True).stop()


def release_guard(guard: subprocess.Popen[bytes]) -> None:
    """Tell a guard that everything is stopped, and wait for its end."""
    if guard.stdin is None or guard.poll() is not None:
        return
    guard.stdin.write(FAREWELL)
    guard.stdin.close()
    guard.wait()


def watch(directory: Path, *, disposable: bool) -> None:
    """Wait for the runner's farewell, or for its death: then clear up what it left."""
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, signal.SIG_IGN)
    lock = state.DirectoryLock(directory)
    runner = lock.holder()
    if os.read(0, len(FAREWELL)) == FAREWELL or not directory.exists():
        return
    # The system closes a dying runner's pipe before it gives back its lock. A lock in another hand
    # belongs to a new runner, which was faster and ends the leftovers itself.
    wait_until(lambda: lock.try_acquire("guard") or lock.holder() != runner, LOCK_WAIT_S)
    if lock.held:
        end_children(directory)
        end_servers(directory)
        if disposable:
            state.remove_home(directory)
        lock.release()


if __name__ == "__main__":
    watch(Path(sys.argv[1]), disposable=REMOVE in sys.argv[2:])
