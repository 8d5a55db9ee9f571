"""Bodies that come in chunks, without saying how long they are (RFC 9112, 7.1).

Django reads as many bytes as Content-Length says, and none where nobody says it: a report sent in chunks would be
read as empty. So it is read before Django sees it, as far as any body is read here, and its length is told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from io import BytesIO
from typing import Any, Final

from gunicorn.http.errors import ParseException

from services.api.parsers import CUT, MAX_BODY_BYTES

Wsgi = Callable[[dict[str, Any], Callable[..., Any]], Iterable[bytes]]

CODED: Final = "HTTP_TRANSFER_ENCODING"
"""Stays in the environment of a request whose body could not be read; `ApiView` refuses it."""
_ENDS: Final = "wsgi.input_terminated"
"""A server's word that reading its input ends with the body: it has put the chunks together."""


def with_chunked_bodies(application: Wsgi) -> Wsgi:
    """The application, given a Content-Length where the client sent none.

    A body beyond the limit is read to one byte more than it, so that its parser refuses it (413).
    """

    def wrapped(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        if CODED in environ and environ.get(_ENDS):
            _take_in(environ)
        return application(environ, start_response)

    return wrapped


def _take_in(environ: dict[str, Any]) -> None:
    try:
        raw = environ["wsgi.input"].read(MAX_BODY_BYTES + 1)
    except (OSError, ParseException):
        # The chunks are broken, or the client went away within them: the mark stays, and the view says so.
        return
    if len(raw) > MAX_BODY_BYTES:
        environ[CUT] = True
    environ["wsgi.input"] = BytesIO(raw)
    environ["CONTENT_LENGTH"] = str(len(raw))
    del environ[CODED]
