"""Remove a stack's directory and its data, wherever these lie; running servers are ended first."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

from services.devstack import state
from services.devstack.children import end_children
from services.devstack.guard import end_servers
from services.devstack.processes import StackError


def clean(directory: Path) -> None:
    """Remove `directory`; refused while a runner holds it."""
    if not directory.exists():
        return
    directory = directory.absolute()
    lock = state.DirectoryLock(directory)
    lock.acquire("runner")
    try:
        end_children(directory)
        end_servers(directory)
        state.remove_home(directory)
        shutil.rmtree(directory)
    finally:
        lock.release()


if __name__ == "__main__":
    try:
        clean(Path(sys.argv[1]))
    except StackError as error:
        sys.exit(f"error: {error}")
