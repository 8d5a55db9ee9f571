"""A page asks the interface as a client does: the same route, token, key and body, so that the answer is the same.

What it answers where it stores nothing is told in the words of a person.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from django.core.handlers.wsgi import WSGIRequest
from django.db import transaction
from django.http import HttpRequest
from django.urls import resolve

from services.api.idempotency import HEADER
from services.console.browser import KEPT
from services.problems import PROBLEMS


@dataclass(frozen=True)
class Answer:
    """Of the interface: what was made, or a problem document."""

    status: int
    told: Mapping[str, Any]
    retry_after: str

    @property
    def stored(self) -> bool:
        return self.status in (200, 201, 204)


def ask(
    request: HttpRequest,
    path: str,
    body: Mapping[str, Any] | None,
    key: str | None = None,
    *,
    method: str = "POST",
    headers: Mapping[str, str] | None = None,
) -> Answer:
    """Send `body` to a route of the interface with the sign-in of this browser; key: for sending once.

    In a savepoint: a refusal takes back what was written for it, and the page goes on.
    """
    raw = b"" if body is None else json.dumps(body).encode()
    told_once = {HEADER: key} if key else {}
    inner = WSGIRequest(
        {
            **request.META,
            "REQUEST_METHOD": method,
            "PATH_INFO": path,
            "QUERY_STRING": "",
            "CONTENT_TYPE": "application/json",
            "CONTENT_LENGTH": str(len(raw)),
            "HTTP_AUTHORIZATION": f"Bearer {request.session[KEPT]}",
            **{_in_environ(name): value for name, value in {**told_once, **(headers or {})}.items()},
            "wsgi.input": BytesIO(raw),
        }
    )
    inner.resolver_match = found = resolve(path)
    inner.request_id = getattr(request, "request_id", None)  # type: ignore[attr-defined]
    with transaction.atomic():
        response = found.func(inner, *found.args, **found.kwargs)
        if hasattr(response, "render"):
            response.render()
    content = json.loads(response.content) if response.content else {}
    return Answer(response.status_code, content, response.headers.get("Retry-After", ""))


def refusal(problem: Mapping[str, Any], what_to_do: Mapping[str, str]) -> dict[str, str]:
    """Title, detail and remedy for a person; the interface speaks of addresses and ids where it has to.

    what_to_do: by problem code what stands in place of all three.
    """
    code = problem.get("code", "")
    if code in what_to_do:
        return {"title": "", "detail": "", "remedy": what_to_do[code]}
    known, detail = PROBLEMS.get(code), problem.get("detail", "")
    remedy = "" if known is None or known.remedy in detail else known.remedy
    return {"title": problem.get("title", ""), "detail": detail, "remedy": remedy}


def _in_environ(header: str) -> str:
    return f"HTTP_{header.upper().replace('-', '_')}"
