"""What the demo keeps in its directory, so that a second start goes on with the same data."""

from __future__ import annotations

import json
import secrets
from dataclasses import asdict, dataclass
from pathlib import Path

from services.demo.errors import DemoError
from services.devstack.state import write_private

MEMORY: str = "demo.json"
PASSWORD: str = "demo-password"


@dataclass(frozen=True)
class Memory:
    """port of the web, the organisation, the sessions of the day and of three days later by place."""

    port: int
    organisation: str
    sessions: dict[str, str]
    later: dict[str, str]


def remembered(directory: Path) -> Memory | None:
    """None before the demo has once come to its end here."""
    path = directory / MEMORY
    if not path.exists():
        return None
    try:
        return Memory(**json.loads(path.read_text()))
    except (ValueError, TypeError) as error:
        raise DemoError(f"{path} cannot be read; start afresh with: make clean demo") from error


def remember(directory: Path, memory: Memory) -> None:
    write_private(directory / MEMORY, json.dumps(asdict(memory), indent=1))


def password(directory: Path) -> str:
    """One for all invented people, made at the first start; kept before it is used."""
    path = directory / PASSWORD
    if not path.exists():
        write_private(path, f"tide-{secrets.token_hex(3)}-gravel-{secrets.token_hex(3)}")
    return path.read_text()
