"""Clients that send results over HTTP and repeat them until they are acknowledged, as a telephone would."""

from __future__ import annotations

import queue
import threading
import time
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID, uuid4

import requests

from tests.faults.results import Result

# Long enough for a restart of everything; a result that is not acknowledged by then fails the test.
PATIENCE_S = 60.0
PAUSE_S = 0.15
TIMEOUT_S = 10.0


@dataclass(frozen=True)
class Acknowledgement:
    """A 2xx: from then on the client forgets the result."""

    status: int
    attempt: UUID
    replayed: bool


class Submitter:
    """Several threads that send what is put into their queue; keeps the list of what was acknowledged."""

    def __init__(self, url: str, organisation: UUID, token: str, *, threads: int = 4) -> None:
        self._address = f"{url}/api/v1/organisations/{organisation}/attempts"
        self._token = token
        self._waiting: queue.Queue[tuple[Result, str] | None] = queue.Queue()
        self._lock = threading.Lock()
        self._threads = [threading.Thread(target=self._work, daemon=True) for _ in range(threads)]
        self.acknowledged: dict[UUID, list[Acknowledgement]] = defaultdict(list)
        self.refused: list[str] = []
        self.repeats = 0
        for thread in self._threads:
            thread.start()

    def send(self, results: Iterable[Result], *, twice: bool = False) -> None:
        """Queue results; `twice`: three times each at once, with the same key twice and once with another."""
        for result in results:
            for key in (result.key, result.key, uuid4().hex) if twice else (result.key,):
                self._waiting.put((result, key))

    def count(self) -> int:
        """How many acknowledgements have arrived."""
        with self._lock:
            return sum(map(len, self.acknowledged.values()))

    def finish(self) -> None:
        """Wait until everything queued was answered for good."""
        for _ in self._threads:
            self._waiting.put(None)
        for thread in self._threads:
            thread.join(timeout=PATIENCE_S + 30.0)
            assert not thread.is_alive(), "a client hangs"

    def _work(self) -> None:
        session = requests.Session()
        session.trust_env = False  # to 127.0.0.1 directly, whatever proxy the machine has
        session.headers["Authorization"] = f"Bearer {self._token}"
        while (item := self._waiting.get()) is not None:
            self._submit(session, *item)

    def _submit(self, session: requests.Session, result: Result, key: str) -> None:
        deadline = time.monotonic() + PATIENCE_S
        trouble = ""
        while time.monotonic() < deadline:
            try:
                answer = session.post(
                    self._address, json=result.body, headers={"Idempotency-Key": key}, timeout=TIMEOUT_S
                )
            except requests.RequestException as error:
                trouble = str(error)
            else:
                if answer.ok:
                    replayed = "Idempotency-Replayed" in answer.headers
                    known = Acknowledgement(answer.status_code, UUID(answer.json()["id"]), replayed)
                    with self._lock:
                        self.acknowledged[result.athlete].append(known)
                    return
                trouble = f"{answer.status_code} {answer.text[:500]}"
                # Nothing else may be repeated unchanged: the server said no.
                if answer.status_code < 500 and "request_in_progress" not in answer.text:
                    break
            with self._lock:
                self.repeats += 1
            time.sleep(PAUSE_S)
        with self._lock:
            self.refused.append(f"{result.athlete}: {trouble}")
