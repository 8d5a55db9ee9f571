"""The access log of the web server, without what an address keeps secret."""

from __future__ import annotations

import re
from typing import Any

from gunicorn.glogging import Logger

_SECRET = re.compile(r"(/feeds/)[^/\s?]+(\.ics)")


def without_secrets(text: str) -> str:
    return _SECRET.sub(r"\1…\2", text)


class SecretlessLogger(Logger):
    """Of the address of a feed, which is all that is needed to read it, nothing is written down."""

    def atoms(self, *args: Any, **kwargs: Any) -> dict[str, Any]:
        found: dict[str, Any] = super().atoms(*args, **kwargs)
        return {name: without_secrets(v) if isinstance(v, str) else v for name, v in found.items()}
