"""One private PostgreSQL server: made, started, recognised and ended.

TCP on 127.0.0.1 alone and no unix socket (whose path would have to stay below 104 characters);
scram with random passwords, because every account of a shared machine reaches the loopback.
"""

from __future__ import annotations

import shutil
import signal
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from services.devstack.binaries import PostgresPrograms, Source, find_postgres
from services.devstack.processes import (
    Account,
    StackError,
    command_line,
    run_as,
    send,
    spawn,
    tail,
    wait_until,
)
from services.devstack.state import write_private

SUPERUSER = "postgres"
# macOS has no C.UTF-8 before its version 15; plain C sorts the same (by code point).
LOCALE = "C" if sys.platform == "darwin" else "C.UTF-8"
START_S = 60.0
STOP_S = 30.0

# Faster by far, and a crash of the machine may lose everything: for throw-away test clusters only.
THROW_AWAY = {
    "fsync": "off",
    "synchronous_commit": "off",
    "full_page_writes": "off",
    "wal_level": "minimal",
    "max_wal_senders": "0",
}


@dataclass(frozen=True)
class PostgresServer:
    """A cluster in `home/postgres`, run by `account` (None: by the caller), logging to `log`."""

    home: Path
    log: Path
    account: Account | None
    durable: bool

    @property
    def data(self) -> Path:
        """The data directory; it also marks the server's command line."""
        return self.home / "postgres"

    def programs(self, source: Source) -> PostgresPrograms:
        """Programs of the version that wrote the data, of any supported one before the first start."""
        kept = self.data / "PG_VERSION"
        major = int(kept.read_text()) if kept.exists() else None
        return find_postgres(self.home, self.account, source, major)

    def create(self, programs: PostgresPrograms, password: str) -> None:
        """Make the cluster unless it is there; whole or not at all, even when killed midway."""
        if self.data.exists():
            return
        partial = self.home / "postgres.partial"
        shutil.rmtree(partial, ignore_errors=True)
        password_file = self.home / "initial-password"
        write_private(password_file, password, self.account)
        try:
            command = self._initdb(programs, partial, password_file)
            made = run_as(command, account=self.account, directory=self.home)
        finally:
            password_file.unlink()
        if made.returncode != 0:
            raise StackError(f"initdb failed:\n{made.stdout}{made.stderr}")
        partial.rename(self.data)

    def _initdb(self, programs: PostgresPrograms, data: Path, password_file: Path) -> list[str]:
        command = [
            str(programs.initdb),
            f"--pgdata={data}",
            f"--username={SUPERUSER}",
            f"--pwfile={password_file}",
            "--auth=scram-sha-256",
            "--encoding=UTF8",
            f"--locale={LOCALE}",
        ]
        return command if self.durable else [*command, "--no-sync"]

    def start(self, programs: PostgresPrograms, port: int) -> subprocess.Popen[bytes]:
        """Start on 127.0.0.1:`port` and return when it takes connections."""
        settings = {
            "listen_addresses": "127.0.0.1",
            "port": str(port),
            "unix_socket_directories": "",
            "max_connections": "100",
            "timezone": "UTC",
            "log_timezone": "UTC",
            **({} if self.durable else THROW_AWAY),
        }
        command = [str(programs.postgres), "-D", str(self.data)]
        for name, value in settings.items():
            command += ["-c", f"{name}={value}"]
        process = spawn(command, log=self.log, account=self.account, directory=self.home)
        wait_until(lambda: process.poll() is not None or self._ready(process.pid), START_S)
        if process.poll() is None and self._ready(process.pid):
            return process
        self.stop(process)
        raise StackError(f"PostgreSQL did not start on port {port}:\n{tail(self.log)}")

    def _ready(self, pid: int) -> bool:
        """The last line of postmaster.pid turns to "ready" when connections are taken."""
        lines = self._pid_file()
        return len(lines) >= 8 and lines[0] == str(pid) and lines[7].strip() == "ready"

    def _pid_file(self) -> list[str]:
        try:
            return (self.data / "postmaster.pid").read_text().splitlines()
        except FileNotFoundError:
            return []

    def running_pid(self) -> int | None:
        """The postmaster of this very data directory, whoever started it; None when none runs."""
        lines = self._pid_file()
        if not lines or not lines[0].strip().isdigit():
            return None
        pid = int(lines[0])
        return pid if f"-D {self.data} " in f"{command_line(pid) or ''} " else None

    def stop(self, process: subprocess.Popen[bytes] | None = None) -> None:
        """Fast shutdown, also of a server that an earlier runner left behind; then a hard one."""

        def ended() -> bool:
            if process is not None and process.poll() is None:
                return False
            return self.running_pid() is None

        for number in (signal.SIGINT, signal.SIGQUIT, signal.SIGKILL):
            pid = process.pid if process is not None and process.poll() is None else self.running_pid()
            if pid is not None:
                send(pid, number)
            if wait_until(ended, STOP_S):
                return
        raise StackError(f"PostgreSQL in {self.data} cannot be ended")
