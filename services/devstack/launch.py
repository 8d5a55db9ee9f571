"""Runs a command of manage.py with its own servers around it: the demo and the measurements."""

from __future__ import annotations

import contextlib
import os
import secrets
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import FrameType

from services.devstack import state
from services.devstack.children import Entry, end_children, register
from services.devstack.clean import clean
from services.devstack.processes import StackError, began
from services.devstack.stack import Stack

ROOT = Path(__file__).resolve().parent.parent.parent
KEEP = ROOT / ".run"


def with_servers(arguments: Sequence[str]) -> int:
    """Run `manage.py <arguments>` with servers and a secret key in its environment; its exit code.

    The demo keeps its data in `.run` from one start to the next. `demo --once` and everything else
    get servers of their own, which are removed afterwards; all of them store durably, so that
    measured times hold the cost of it. The variable `DEVSTACK_DIRECTORY` names the place for logs.
    """
    try:
        keep = list(arguments) == ["demo"]
        with _directory(keep=keep) as directory, Stack(directory, durable=True, disposable=not keep) as stack:
            environment = {
                **os.environ,
                **stack.env,
                "SECRET_KEY": os.environ.get("SECRET_KEY") or _secret_key(directory),
                "DEVSTACK_DIRECTORY": str(directory),
            }
            try:
                return _run([sys.executable, str(ROOT / "manage.py"), *arguments], environment, directory)
            finally:
                end_children(directory)  # what the command supervised, should it have been killed
    except StackError as error:
        print(f"error: {error}", file=sys.stderr)
        return 1


@contextlib.contextmanager
def _directory(*, keep: bool) -> Iterator[Path]:
    if keep:
        yield KEEP
        return
    directory = Path(tempfile.mkdtemp(prefix="dosewright-"))
    try:
        yield directory
    finally:
        clean(directory)


def _secret_key(directory: Path) -> str:
    path = directory / "secret-key"
    if not path.exists():
        state.write_private(path, secrets.token_urlsafe(50))
    return path.read_text()


def _run(command: Sequence[str], environment: dict[str, str], directory: Path) -> int:
    """Run a command to its end, handing on the signals that ask for it.

    The command gets its own session, so that Ctrl-C reaches it once, through here; it is registered,
    so that the guard ends it when this process is killed.
    """
    process = subprocess.Popen(list(command), env=environment, start_new_session=True)
    register(directory, [Entry("command", process.pid, began(process.pid) or "")], "launch")

    def hand_on(number: int, frame: FrameType | None) -> None:
        process.send_signal(number)

    numbers = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
    before = {number: signal.signal(number, hand_on) for number in numbers}
    try:
        code = process.wait()
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
    return code if code >= 0 else 128 - code
