"""The register of supervised processes, so that a later process can end what a killed one left.

Each entry holds the process id and the instant at which the process began: together they are
unique, so an id that the system handed out again is never hit. All entries lead their own group.
"""

from __future__ import annotations

import json
import os
import signal
from dataclasses import asdict, dataclass
from pathlib import Path

from services.devstack.processes import began, send, wait_until

SUPERVISOR = "supervisor"
GRACE_S = 10.0


@dataclass(frozen=True)
class Entry:
    """One supervised process."""

    name: str
    pid: int
    began: str

    def lives(self) -> bool:
        """Whether this very process still runs."""
        return began(self.pid) == self.began


def register(directory: Path, entries: list[Entry], owner: str = SUPERVISOR) -> None:
    """Replace what `owner` has registered by `entries`."""
    path = directory / f"children-{owner}.json"
    partial = path.with_suffix(".partial")
    partial.write_text(json.dumps([asdict(entry) for entry in entries], indent=1))
    os.replace(partial, path)


def registered(directory: Path, owner: str = SUPERVISOR) -> list[Entry]:
    """The processes of the last run of `owner`, dead or alive; of every owner for "*"."""
    return [
        Entry(**fields)
        for path in sorted(directory.glob(f"children-{owner}.json"))
        for fields in json.loads(path.read_text())
    ]


def end_groups(entries: list[Entry], grace_s: float) -> None:
    """Ask each process to end, wait `grace_s` seconds for all of them, then kill what is left.

    The groups are killed in any case: a leader that died by itself may have left its own children.
    So only entries of the running supervisor, or ones that live, may come in here.
    """
    for entry in entries:
        if entry.lives():
            send(entry.pid, signal.SIGTERM)
    wait_until(lambda: not any(entry.lives() for entry in entries), grace_s)
    for entry in entries:
        # A group outlives its leader, and its number is not handed out again while it does; once the
        # group is empty the number can return, but only as that of a process which began since.
        if entry.lives() or began(entry.pid) is None:
            send(entry.pid, signal.SIGKILL, group=True)


def end_children(directory: Path, owner: str = "*") -> None:
    """End what an earlier run of `owner` (or of any) left behind in `directory`.

    Only what certainly still runs: the group number of a dead leader may be another's by now.
    """
    entries = [entry for entry in registered(directory, owner) if entry.lives()]
    if entries:
        end_groups(entries, GRACE_S)
    for path in directory.glob(f"children-{owner}.json"):
        path.unlink()
