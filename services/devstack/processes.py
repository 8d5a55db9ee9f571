"""Processes of this machine: who they are, as whom they run, how they end.

Standard library only. A process id alone says nothing after a crash, because the system hands
old ids out again; every look-up here therefore goes with a second mark (the command line, or the
instant at which the process began).
"""

from __future__ import annotations

import os
import pwd
import random
import signal
import socket
import subprocess
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

# The ephemeral range begins at 32768 on Linux: a port above it can be "in use" by an outgoing
# connection, for no visible reason.
PORTS = range(20_000, 32_768)
POLL_S = 0.02


class StackError(RuntimeError):
    """The development servers cannot be started; the message says what to do."""


@dataclass(frozen=True)
class Account:
    """An operating system account that a server runs as."""

    name: str
    uid: int
    gid: int


def server_account() -> Account | None:
    """The account for servers: None (the caller's own) except for root, who hands them to nobody."""
    if os.geteuid() != 0:
        return None
    try:
        entry = pwd.getpwnam("nobody")
    except KeyError as error:
        raise StackError(
            "PostgreSQL refuses to run as root and this system has no account 'nobody'; "
            "start as an ordinary user, or set DATABASE_URL and REDIS_URL."
        ) from error
    return Account(entry.pw_name, entry.pw_uid, entry.pw_gid)


def server_environment() -> dict[str, str]:
    """A small fixed environment, so that no PG* or LC_* variable of the caller changes a server."""
    return {"PATH": os.environ.get("PATH", os.defpath), "LC_ALL": "C", "TZ": "UTC"}


def spawn(
    command: Sequence[str],
    *,
    log: Path,
    account: Account | None = None,
    environment: Mapping[str, str] | None = None,
    directory: Path | None = None,
) -> subprocess.Popen[bytes]:
    """Start `command` in its own session, output appended to `log`.

    The own session keeps Ctrl-C at the terminal away from it: whoever started it decides when
    and in which order it ends.
    """
    with log.open("ab") as output:
        return subprocess.Popen(
            list(command),
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=subprocess.STDOUT,
            cwd=directory,
            env=server_environment() if environment is None else dict(environment),
            start_new_session=True,
            user=None if account is None else account.uid,
            group=None if account is None else account.gid,
            extra_groups=None if account is None else [],
        )


def run_as(
    command: Sequence[str], *, account: Account | None, directory: Path
) -> subprocess.CompletedProcess[str]:
    """Run a short command to its end as `account`; output captured, the exit code not checked."""
    return subprocess.run(
        list(command),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        cwd=directory,
        env=server_environment(),
        timeout=120,
        check=False,
        user=None if account is None else account.uid,
        group=None if account is None else account.gid,
        extra_groups=None if account is None else [],
    )


def command_line(pid: int) -> str | None:
    """The command line of a running process, None when there is no such process (or a zombie)."""
    if Path("/proc/self/cmdline").exists():
        try:
            raw = Path(f"/proc/{pid}/cmdline").read_bytes()
        except (FileNotFoundError, ProcessLookupError):
            return None
        return raw.replace(b"\0", b" ").decode(errors="replace").strip() or None
    return _ask_ps(pid, "command=")


def began(pid: int) -> str | None:
    """A mark of the instant at which a running process began; with the pid it is unique."""
    if Path("/proc/self/stat").exists():
        try:
            stat = Path(f"/proc/{pid}/stat").read_text()
        except (FileNotFoundError, ProcessLookupError):
            return None
        # The name in parentheses may hold blanks; field 3 (state) follows it, field 22 is the start.
        fields = stat.rpartition(")")[2].split()
        if fields[0] in "ZX":
            return None
        return f"{Path('/proc/sys/kernel/random/boot_id').read_text().strip()}:{fields[19]}"
    return _ask_ps(pid, "lstart=")


def work_done(pid: int) -> str | None:
    """A mark that changes while a process works, of the processor time it has had; None when there is none."""
    if Path("/proc/self/stat").exists():
        try:
            stat = Path(f"/proc/{pid}/stat").read_text()
        except (FileNotFoundError, ProcessLookupError):
            return None
        return " ".join(stat.rpartition(")")[2].split()[11:15])  # its own time and that of its ended children
    return _ask_ps(pid, "time=")


def _ask_ps(pid: int, column: str) -> str | None:
    answer = subprocess.run(
        ["ps", "-ww", "-o", column, "-p", str(pid)], capture_output=True, text=True, check=False
    )
    return answer.stdout.strip() or None


def wait_until(condition: Callable[[], bool], seconds: float) -> bool:
    """Poll `condition` until it holds (True) or `seconds` have passed (False)."""
    deadline = time.monotonic() + seconds
    while not condition():
        if time.monotonic() > deadline:
            return False
        time.sleep(POLL_S)
    return True


def send(pid: int, number: signal.Signals, *, group: bool = False) -> None:
    """Send a signal to a process (or to its whole group); one that is gone already is no error."""
    try:
        if group:
            os.killpg(pid, number)
        else:
            os.kill(pid, number)
    except ProcessLookupError:
        pass


def port_is_free(port: int) -> bool:
    """Whether a server could listen on 127.0.0.1:`port` now."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError:
            return False
    return True


def choose_port(kept: int | None, *, taken: frozenset[int] = frozenset()) -> int:
    """The port kept from the last start if it is still free, else another one of `PORTS`."""
    if kept is not None and kept not in taken and port_is_free(kept):
        return kept
    for port in random.SystemRandom().sample(PORTS, 200):
        if port not in taken and port_is_free(port):
            return port
    raise StackError(f"no free port between {PORTS.start} and {PORTS.stop - 1} on 127.0.0.1")


def tail(log: Path, lines: int = 20) -> str:
    """The last lines of a log file, or a note that there is none."""
    if not log.exists():
        return "(no log)"
    with log.open("rb") as stream:
        stream.seek(max(0, log.stat().st_size - 16_384))
        text = stream.read().decode(errors="replace")
    return "\n".join(text.splitlines()[-lines:]) or "(empty log)"
