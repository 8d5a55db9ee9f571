"""A plain client of the public interface: what a person's telephone would do."""

from __future__ import annotations

import http.client
import json
import time
from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from email.message import Message
from typing import Any, TypeVar
from urllib.parse import urlencode, urlsplit
from uuid import uuid4

from services.demo.errors import DemoError
from services.tenancy.actor import USUAL_SCOPES

TIMEOUT_S = 30
TRIES = 6
"""Of one request on a machine that is too busy to answer it."""
SENDERS = 4  # as many requests at once as the demo's web has threads in one process
PAGE = 200

T = TypeVar("T")


@dataclass(frozen=True)
class Reply:
    """An answer of the service; `body` is the parsed JSON, None when there is none."""

    status: int
    headers: Message
    body: Any

    @property
    def replayed(self) -> bool:
        return self.headers.get("Idempotency-Replayed") == "true"


class Api:
    """The interface as one signed-in person sees it; safe to use from several threads.

    port: of the web on 127.0.0.1; base: the path below which short paths lie.
    """

    def __init__(self, port: int, base: str, token: str | None = None) -> None:
        self.port, self.base, self._token = port, base, token

    def inside(self, organisation: str) -> Api:
        """The same person, below an organisation."""
        return Api(self.port, f"/api/v1/organisations/{organisation}", self._token)

    def get(self, path: str, **query: object) -> Reply:
        return self._expect({200}, "GET", path, query=query)

    def every(self, path: str, **query: object) -> list[dict[str, Any]]:
        """All rows of a list, page by page."""
        reply = self.get(path, limit=PAGE, **query)
        rows: list[dict[str, Any]] = list(reply.body["items"])
        while reply.body["next"]:
            following = urlsplit(reply.body["next"])
            reply = self._expect({200}, "GET", f"{following.path}?{following.query}", absolute=True)
            rows += reply.body["items"]
        return rows

    def post(self, path: str, body: object, *, key: str | None = None) -> Reply:
        """Create, with an idempotency key of its own unless one is given."""
        return self._expect(
            {200, 201}, "POST", path, body=body, headers={"Idempotency-Key": key or str(uuid4())}
        )

    def put_first(self, path: str, body: object) -> Reply:
        """Write what does not exist yet."""
        return self._expect({201}, "PUT", path, body=body, headers={"If-None-Match": "*"})

    def change(self, path: str, body: object) -> Reply:
        """Change what was read: the version goes along."""
        tag = self.get(path).headers["ETag"]
        return self._expect({200}, "PATCH", path, body=body, headers={"If-Match": tag})

    def _expect(self, wanted: set[int], method: str, path: str, **rest: Any) -> Reply:
        """Who is told to come again comes again: the key says that it is the same request."""
        reply = self.send(method, path, **rest)
        for _ in range(TRIES - 1):
            if reply.status != 503:
                break
            time.sleep(float(reply.headers.get("Retry-After", 1)))
            reply = self.send(method, path, **rest)
        if reply.status not in wanted:
            body = reply.body if isinstance(reply.body, dict) else {}
            told = body.get("detail") or body.get("title") or "no explanation"
            raise DemoError(f"{method} {path} answered {reply.status}: {told} {body.get('errors', '')}")
        return reply

    def send(
        self,
        method: str,
        path: str,
        *,
        body: object = None,
        query: Mapping[str, object] | None = None,
        headers: Mapping[str, str] | None = None,
        absolute: bool = False,
    ) -> Reply:
        """One request, whatever is answered. Raises DemoError when nothing is."""
        sent = {"Accept": "application/json", **(headers or {})}
        if self._token:
            sent["Authorization"] = f"Bearer {self._token}"
        content = None
        if body is not None:
            content, sent["Content-Type"] = json.dumps(body), "application/json"
        address = path if absolute else self.base + path
        if query:
            address += "?" + urlencode(query)
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=TIMEOUT_S)
        try:
            connection.request(method, address, body=content, headers=sent)
            answer = connection.getresponse()
            text = answer.read()
        except (OSError, http.client.HTTPException) as error:
            raise DemoError(f"{method} {address}: no answer ({type(error).__name__}: {error})") from error
        finally:
            connection.close()
        return Reply(answer.status, answer.headers, json.loads(text) if text else None)


def sign_in(port: int, email: str, password: str, scopes: Iterable[str] = USUAL_SCOPES) -> Api:
    """Exchange e-mail address and password for a token. Raises DemoError when refused."""
    door = Api(port, "/api/v1")
    body = {"email": email, "password": password, "label": "demo", "scopes": sorted(scopes)}
    reply = door.post("/sign-in", body)
    return Api(port, "/api/v1", reply.body["token"])


def at_once(act: Callable[[T], object], things: Iterable[T]) -> int:
    """Do the same for many things, a few at a time; how many it were. The first failure is raised."""
    pool = ThreadPoolExecutor(SENDERS)
    try:
        return len(list(pool.map(act, things)))
    finally:
        pool.shutdown(cancel_futures=True)  # what has not begun when one failed, or at Ctrl-C
