"""One private Redis (or Valkey) server: configured, started, recognised and ended."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
from dataclasses import dataclass
from pathlib import Path

from services.devstack.binaries import Source, find_redis
from services.devstack.processes import (
    Account,
    StackError,
    command_line,
    send,
    spawn,
    tail,
    wait_until,
)
from services.devstack.state import write_private

START_S = 30.0
STOP_S = 20.0


@dataclass(frozen=True)
class RedisServer:
    """A server with its files in `home/redis`, run by `account` (None: by the caller)."""

    home: Path
    log: Path
    account: Account | None
    durable: bool

    @property
    def data(self) -> Path:
        """Working directory: append-only files and the pid file."""
        return self.home / "redis"

    @property
    def configuration(self) -> Path:
        """The configuration file, which also marks the server's command line."""
        return self.home / "redis.conf"

    def program(self, source: Source) -> Path:
        """The server program to use."""
        return find_redis(self.home, self.account, source)

    def start(self, program: Path, port: int, password: str) -> subprocess.Popen[bytes]:
        """Start on 127.0.0.1:`port` and return when it answers."""
        self.data.mkdir(mode=0o700, exist_ok=True)
        # On the file system alone: as an argument the password would show in the process list.
        write_private(self.configuration, self._settings(port, password), self.account)
        if self.account is not None:
            os.chown(self.data, self.account.uid, self.account.gid)
        process = spawn(
            [str(program), str(self.configuration)],
            log=self.log,
            account=self.account,
            directory=self.home,
        )
        wait_until(lambda: process.poll() is not None or _answers(port, password), START_S)
        if process.poll() is None and _answers(port, password):
            return process
        self.stop(process)
        raise StackError(f"Redis did not start on port {port}:\n{tail(self.log)}")

    def _settings(self, port: int, password: str) -> str:
        settings = {
            "bind": "127.0.0.1",
            "port": str(port),
            "requirepass": password,
            "dir": _quoted(self.data),
            "pidfile": _quoted(self.data / "server.pid"),
            "daemonize": "no",
            "set-proc-title": "no",
            # Eviction would drop queued messages without a word.
            "maxmemory-policy": "noeviction",
            "appendonly": "yes" if self.durable else "no",
            "appendfsync": "everysec",
            "save": '""',
        }
        return "".join(f"{name} {value}\n" for name, value in settings.items())

    def running_pid(self) -> int | None:
        """The server that runs with this very configuration; None when none does."""
        try:
            text = (self.data / "server.pid").read_text().strip()
        except FileNotFoundError:
            return None
        if not text.isdigit():
            return None
        return int(text) if str(self.configuration) in (command_line(int(text)) or "") else None

    def stop(self, process: subprocess.Popen[bytes] | None = None) -> None:
        """End it in order (append-only file flushed), also one that an earlier runner left behind."""

        def ended() -> bool:
            if process is not None and process.poll() is None:
                return False
            return self.running_pid() is None

        for number in (signal.SIGTERM, signal.SIGKILL):
            pid = process.pid if process is not None and process.poll() is None else self.running_pid()
            if pid is not None:
                send(pid, number)
            if wait_until(ended, STOP_S):
                return
        raise StackError(f"Redis in {self.data} cannot be ended")


def _quoted(path: Path) -> str:
    escaped = str(path).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _answers(port: int, password: str) -> bool:
    """Whether the server accepts the password and has loaded its data."""
    try:
        with socket.create_connection(("127.0.0.1", port), timeout=2) as connection:
            connection.sendall(f"AUTH {password}\r\nPING\r\n".encode())
            answer = b""
            while answer.count(b"\r\n") < 2:
                part = connection.recv(256)
                if not part:
                    return False
                answer += part
    except OSError:
        return False
    return answer == b"+OK\r\n+PONG\r\n"
