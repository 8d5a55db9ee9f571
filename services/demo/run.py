"""The demo from start to end: the processes, the job, and where to look when it is done."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import Any

from services.demo import memory
from services.demo.errors import DemoError
from services.demo.job import Job
from services.demo.people import MEMBERS
from services.demo.printer import Printer
from services.demo.scene import Scene
from services.devstack.fleet import Fleet, service_commands
from services.devstack.processes import choose_port


def run(directory: Path, *, once: bool, out: Any) -> None:
    """Start the service, do the job, print it; then serve until a signal, unless `once`.

    Raises DemoError when something is not as it must be, StackError when a process fails.
    """
    kept = memory.remembered(directory)
    port = choose_port(None if kept is None else kept.port)
    fleet = Fleet(service_commands(port, beat_schedule=directory / "beat-schedule"), directory)
    printer = Printer(out)
    with _interruptible() as quiet:
        try:
            printer.lines(["Starting the service. A first start compiles its kernels, which takes minutes."])
            fleet.start()
            fleet.wait_ready()
            scene = Job(directory, port, printer).do(kept)
            printer.lines(_where_next_once() if once else _where_next(scene))
            if not once:
                printer.lines(["", "Serving. Ctrl-C ends it; the data stay for the next start."])
                fleet.wait()
        except KeyboardInterrupt:
            if once:
                raise DemoError("interrupted before the end") from None
        finally:
            quiet()
            fleet.stop()


@contextmanager
def _interruptible() -> Iterator[Any]:
    """SIGTERM and SIGHUP like Ctrl-C, until the yielded function makes all of them quiet."""

    def interrupt(number: int, frame: FrameType | None) -> None:
        raise KeyboardInterrupt

    numbers = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
    before = {number: signal.signal(number, interrupt) for number in numbers}

    def quiet() -> None:
        for number in numbers:
            signal.signal(number, signal.SIG_IGN)

    try:
        yield quiet
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _where_next_once() -> list[str]:
    return [
        "",
        "WHERE TO LOOK NEXT",
        "",
        "  make demo keeps all of this running, and prints where, with everybody's sign-in",
        "  README.md does the same job by hand; services/api/openapi.yaml describes the interface",
    ]


def _where_next(scene: Scene) -> list[str]:
    base = f"http://127.0.0.1:{scene.port}"
    rows = [f"  {member.role:<16}{member.email:<32}{member.place or ''}".rstrip() for member in MEMBERS]
    return [
        "",
        "WHERE TO LOOK NEXT",
        "",
        f"  pages, to look at            {base}/",
        f"  interface, to read and try   {base}/api/v1/docs",
        f"  its description              {base}/api/v1/openapi.yaml",
        f"  organisation                 {scene.organisation}",
        f"  sign in there (or by POST {base}/api/v1/sign-in), everybody with the password {scene.password}",
        *rows,
    ]
