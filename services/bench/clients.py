"""Clients that send results over HTTP: at fixed times whatever the answers do, or as fast as answers come."""

from __future__ import annotations

import http.client
import json
import threading
import time
import uuid
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

TIMEOUT_S = 30.0


@dataclass(frozen=True)
class Sent:
    """One accepted result; times in s of the wall clock, which is the servers' as well.

    due: when it was to be sent; began: when it was; accepted: when its 201 had arrived.
    """

    athlete: UUID
    due: float
    began: float
    accepted: float


class RefusedError(RuntimeError):
    """An answer other than 201."""


class Client:
    """One connection that is kept, as a telephone or a browser keeps it."""

    def __init__(self, port: int, org_id: UUID, token: str) -> None:
        self._connection = http.client.HTTPConnection("127.0.0.1", port, timeout=TIMEOUT_S)
        self._path = f"/api/v1/organisations/{org_id}/attempts"
        self._headers = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}

    def send(self, body: dict[str, Any]) -> None:
        """Submit one result. Raises RefusedError unless it was stored now."""
        headers = {**self._headers, "Idempotency-Key": uuid.uuid4().hex}
        for last in (False, True):
            try:
                self._connection.request("POST", self._path, json.dumps(body), headers)
                answer = self._connection.getresponse()
                text = answer.read()
                break
            except (http.client.RemoteDisconnected, ConnectionResetError, BrokenPipeError):
                # An idle connection was closed by the server; the key makes the repetition harmless.
                self._connection.close()
                if last:
                    raise
        if answer.status != 201:
            raise RefusedError(f"{answer.status} {text[:500]!r}")


Make = Callable[[], Client]
Body = Callable[[int], tuple[UUID, dict[str, Any]]]


class _Crew:
    """Threads that share a counter; the first failure stops all of them and is raised at the end."""

    def __init__(self, make: Make, body: Body, count: int) -> None:
        self._make, self._body, self._count = make, body, count
        self._next = 0
        self._lock = threading.Lock()
        self._failure: Exception | None = None
        self.sent: list[Sent] = []

    def run(self, threads: int, due: Callable[[int], float], until: float = float("inf")) -> list[Sent]:
        crew = [threading.Thread(target=self._work, args=(due, until)) for _ in range(threads)]
        for thread in crew:
            thread.start()
        for thread in crew:
            thread.join()
        if self._failure is not None:
            raise self._failure
        return self.sent

    def _take(self) -> int | None:
        with self._lock:
            if self._failure is not None or self._next >= self._count:
                return None
            self._next += 1
            return self._next - 1

    def _work(self, due: Callable[[int], float], until: float) -> None:
        client = self._make()
        try:
            while time.time() < until and (number := self._take()) is not None:
                at = due(number)
                time.sleep(max(0.0, at - time.time()))
                athlete, body = self._body(number)
                began = time.time()
                client.send(body)
                self.sent.append(Sent(athlete, at or began, began, time.time()))
        except Exception as error:
            self._failure = error


def open_loop(make: Make, body: Body, *, count: int, per_second: float, threads: int) -> list[Sent]:
    """Send result n at start + n / per_second, late answers or not. Raises what the first failure raised."""
    start = time.time() + 0.5
    return _Crew(make, body, count).run(threads, lambda number: start + number / per_second)


def closed_loop(make: Make, body: Body, *, count: int, seconds: float, threads: int) -> list[Sent]:
    """Each thread sends its next result as soon as the last was accepted, for `seconds`, at most `count`."""
    return _Crew(make, body, count).run(threads, lambda number: 0.0, time.time() + seconds)


def quantile(values: Sequence[float], q: float) -> float:
    """The smallest value with at least q of all values at or below it (nearest rank)."""
    ordered = sorted(values)
    return ordered[max(0, min(len(ordered) - 1, -int(-q * len(ordered) // 1) - 1))]
