"""The cursor of the short statements: opened once for a connection and used again.

A new cursor looks up anew how each type of its arguments and columns is written and read, which with what the library
puts around it takes about as long as sending a short statement and waiting for its answer; a recompute sends sixty.
"""

from __future__ import annotations

from typing import Any, Final

from django.db import DEFAULT_DB_ALIAS, connections

_KEPT: Final = "_dosewright_cursor"


def kept_cursor() -> Any:
    """The cursor of this thread's connection; a new one while statements are written down, as tests that count do.

    Execute and fetch in one go: whoever comes next executes on the same one. It is not to be closed.
    """
    wrapper: Any = connections[DEFAULT_DB_ALIAS]
    if wrapper.queries_logged:
        return wrapper.cursor()
    wrapper.close_if_health_check_failed()
    wrapper.ensure_connection()
    kept = wrapper.__dict__.get(_KEPT)
    if kept is None or kept.closed or kept.cursor.connection is not wrapper.connection:
        kept = wrapper.__dict__[_KEPT] = wrapper.cursor()
    return kept
