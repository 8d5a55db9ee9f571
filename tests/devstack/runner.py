"""A runner in a process of its own, for tests that kill it.

    python -m tests.devstack.runner DIRECTORY [--throw-away] [COMMAND ...]

Starts a stack in DIRECTORY (durable unless told otherwise) and, when given, COMMAND under a
supervisor; prints one line of JSON when ready and stays until told to end.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from services.devstack.stack import Stack
from services.devstack.supervisor import Child, Supervisor


def main(directory: Path, command: list[str]) -> None:
    """Run until a signal."""
    durable = command[:1] != ["--throw-away"]
    command = command if durable else command[1:]
    with Stack(directory, durable=durable, environ={}) as stack:
        assert stack._guard is not None
        line = json.dumps({"env": stack.env, "guard": stack._guard.pid})
        children = [Child("child", command)] if command else []
        Supervisor(children, directory, grace_s=5).run(ready=lambda: print(line, flush=True))


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2:])
