"""What a stack remembers between two starts: ports, passwords, where its data lie.

One JSON file, readable by its owner alone, and one lock file, so that two runners never share a
directory.
"""

from __future__ import annotations

import fcntl
import hashlib
import json
import os
import secrets
import shutil
import tempfile
import time
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path

from services.devstack.processes import POLL_S, Account, StackError

STATE_FILE = "state.json"
LOCK_FILE = "lock"
# How long a start waits for the guard of a runner that was killed a moment ago.
GUARD_WAIT_S = 30.0
RUNNER_WAIT_S = 1.0


@dataclass(frozen=True)
class State:
    """The remembered choices of one stack.

    `home` is the directory of the servers' data; `passwords` maps a database role (or "redis")
    to its secret.
    """

    home: Path
    postgres_port: int | None = None
    redis_port: int | None = None
    passwords: dict[str, str] = field(default_factory=dict)

    def with_password(self, name: str) -> State:
        """The same state, with a random password for `name` unless it has one."""
        if name in self.passwords:
            return self
        return replace(self, passwords={**self.passwords, name: secrets.token_urlsafe(24)})


def load(directory: Path) -> State | None:
    """The state kept in `directory`, None before the first start."""
    path = directory / STATE_FILE
    if not path.exists():
        return None
    try:
        kept = json.loads(path.read_text())
        return State(**{**kept, "home": Path(kept["home"])})
    except (ValueError, KeyError, TypeError) as error:
        raise StackError(f"{path} cannot be read ({error}); remove {directory} and start again") from error


def save(directory: Path, state: State) -> None:
    """Write the state atomically, mode 0600."""
    content = json.dumps({**asdict(state), "home": str(state.home)}, indent=1)
    write_private(directory / STATE_FILE, content)


def write_private(path: Path, content: str, account: Account | None = None) -> None:
    """Replace `path` atomically by a file of mode 0600, owned by `account` when given."""
    descriptor, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    with os.fdopen(descriptor, "w") as stream:
        stream.write(content)
    if account is not None:
        os.chown(name, account.uid, account.gid)
    os.replace(name, path)


def make_home(directory: Path, account: Account | None, *, lasting: bool) -> Path:
    """A directory for the servers' data which `account` can reach.

    Inside the stack's own directory when possible; for another account behind a closed parent
    (a clone below a 0700 home, say) a new private one under the system's temporary directories.
    """
    if account is None or reachable(directory):
        home = directory / "servers"
        home.mkdir(exist_ok=True)
    else:
        mark = hashlib.sha256(str(directory).encode()).hexdigest()[:8]
        # /var/tmp survives a restart of the machine.
        base = "/var/tmp" if lasting else None
        home = Path(tempfile.mkdtemp(prefix=f"dosewright-{mark}-", dir=base))
    home.chmod(0o700)
    if account is not None:
        os.chown(home, account.uid, account.gid)
    return home


def reachable(directory: Path) -> bool:
    """Whether every account may pass through `directory` and all its parents."""
    return all(step.stat().st_mode & 0o001 for step in (directory, *directory.parents))


def remove_home(directory: Path) -> None:
    """Remove the servers' data, also when they lie outside `directory`; the state file with them."""
    state = load(directory)
    if state is None:
        return
    if state.home.exists():
        shutil.rmtree(state.home)
    (directory / STATE_FILE).unlink()


class DirectoryLock:
    """An advisory lock on a stack directory, released by the system when its holder dies."""

    def __init__(self, directory: Path) -> None:
        self._path = directory / LOCK_FILE
        self._descriptor: int | None = None

    @property
    def held(self) -> bool:
        """Whether this object holds the lock."""
        return self._descriptor is not None

    def holder(self) -> str:
        """Who holds the lock or held it last: "runner <pid>" or "guard <pid>"."""
        return self._path.read_text().strip()

    def acquire(self, holder: str) -> None:
        """Take the lock as `holder` ("runner" or "guard").

        A guard that is still clearing up is waited for; a second runner is refused.
        """
        began = time.monotonic()
        while not self.try_acquire(holder):
            owner = self.holder()
            limit = GUARD_WAIT_S if owner.startswith("guard") else RUNNER_WAIT_S
            if time.monotonic() - began > limit:
                raise StackError(f"{self._path.parent} is in use by another process ({owner}); end it first")
            time.sleep(POLL_S)

    def try_acquire(self, holder: str) -> bool:
        """Take the lock if it is free; whether it was."""
        descriptor = os.open(self._path, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            os.close(descriptor)
            return False
        # One write over the old text, the shorter one padded: a reader never sees half a name.
        os.pwrite(descriptor, f"{holder} {os.getpid()}".ljust(20).encode(), 0)
        self._descriptor = descriptor
        return True

    def release(self) -> None:
        """Give the lock back; nothing happens when it is not held."""
        if self._descriptor is not None:
            os.close(self._descriptor)
            self._descriptor = None
