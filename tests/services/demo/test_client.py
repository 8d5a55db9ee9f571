"""The demo's telephone comes again when the service is too busy, with the same request."""

from __future__ import annotations

from email.message import Message
from typing import Any

import pytest

from services.demo.client import TRIES, Api, Reply
from services.demo.errors import DemoError


class Busy(Api):
    """Answers 503 so many times, then 201."""

    def __init__(self, times: int) -> None:
        super().__init__(0, "")
        self.times, self.asked = times, []

    def send(self, method: str, path: str, **rest: Any) -> Reply:
        self.asked.append((method, path, rest))
        headers = Message()
        headers["Retry-After"] = "0"
        return Reply(503 if len(self.asked) <= self.times else 201, headers, {"detail": "Repeat it."})


def test_a_request_is_repeated_with_its_key() -> None:
    """Until it is answered, and each time the very same."""
    api = Busy(2)
    assert api.post("/attempts", {"effort": 7}).status == 201
    assert len(api.asked) == 3
    assert all(one == api.asked[0] for one in api.asked)
    assert api.asked[0][2]["headers"]["Idempotency-Key"]


def test_nobody_asks_for_ever() -> None:
    """Who is never answered is told so."""
    api = Busy(TRIES)
    with pytest.raises(DemoError, match="answered 503: Repeat it"):
        api.get("/athletes")
    assert len(api.asked) == TRIES
