"""What processes use, from /proc; nothing is said on systems without it."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

PROC = Path("/proc")
MIB = 1024.0


@dataclass(frozen=True)
class Usage:
    """Of a process group: CPU seconds so far, and memory in MiB (shared pages counted once, by share)."""

    cpu_s: float
    memory_mib: float


def group_usage(leader: int) -> Usage | None:
    """What the group led by this process uses; None where it cannot be known."""
    if not (PROC / "self" / "smaps_rollup").exists():
        return None
    members = [pid for pid in _pids() if _group(pid) == leader]
    return Usage(sum(map(_cpu_s, members)), sum(map(_memory_mib, members)))


def busy_s() -> float | None:
    """CPU seconds that the whole machine has worked since its start; None where it cannot be known."""
    if not (PROC / "stat").exists():
        return None
    user, nice, system, _, _, irq, softirq, *_ = map(int, (PROC / "stat").read_text().split()[1:8])
    return (user + nice + system + irq + softirq) / _ticks()


def _pids() -> list[int]:
    return [int(path.name) for path in PROC.iterdir() if path.name.isdigit()]


def _fields(pid: int) -> list[str]:
    """The fields of /proc/<pid>/stat from the third on; none for a process that has ended meanwhile."""
    try:
        return (PROC / str(pid) / "stat").read_text().rpartition(")")[2].split()
    except (FileNotFoundError, ProcessLookupError):
        return []


def _group(pid: int) -> int:
    fields = _fields(pid)
    return int(fields[2]) if fields else -1


def _cpu_s(pid: int) -> float:
    """User and system time, of ended children that were waited for as well."""
    fields = _fields(pid)
    return sum(map(int, fields[11:15])) / _ticks() if fields else 0.0


def _memory_mib(pid: int) -> float:
    try:
        lines = (PROC / str(pid) / "smaps_rollup").read_text().splitlines()
    except (FileNotFoundError, ProcessLookupError):
        return 0.0
    return sum(int(line.split()[1]) for line in lines if line.startswith("Pss:")) / MIB


def _ticks() -> int:
    return os.sysconf("SC_CLK_TCK")
