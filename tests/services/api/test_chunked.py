"""Bodies without a length: read whole, or refused; never taken for empty."""

import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from gunicorn.config import Config
from gunicorn.http import RequestParser
from gunicorn.http.wsgi import default_environ

from services.api.chunked import CODED, with_chunked_bodies
from services.api.parsers import MAX_BODY_BYTES, StrictJSONParser
from services.problems import TooLarge
from tests.support.api import ApiClient, assert_problem
from tests.support.cast import Cast

HEAD = b"POST /api/v1/reports HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: chunked\r\n\r\n"


def chunks(*parts: bytes) -> bytes:
    return b"".join(b"%x\r\n%s\r\n" % (len(part), part) for part in parts) + b"0\r\n\r\n"


def as_served(sent: bytes) -> dict[str, Any]:
    """The environment as the server that we ship makes it of these bytes."""
    config = Config()
    source: Iterator[bytes] = iter([HEAD + sent])
    request = next(RequestParser(config, source, ("127.0.0.1", 1)))
    environ: dict[str, Any] = default_environ(request, None, config)
    environ["HTTP_TRANSFER_ENCODING"] = "chunked"
    return environ


def passed_on(environ: dict[str, Any]) -> dict[str, Any]:
    def application(inner: dict[str, Any], start_response: Callable[..., Any]) -> list[bytes]:
        return []

    with_chunked_bodies(application)(environ, lambda *_: None)
    return environ


def test_chunks_are_read_as_one_body() -> None:
    """Whatever Django reads by, the length is told, and the bytes are there."""
    report = json.dumps({"kind": "red_flag", "sign": "chest_pain"}).encode()
    environ = passed_on(as_served(chunks(report[:7], report[7:])))
    assert environ["CONTENT_LENGTH"] == str(len(report)) and CODED not in environ
    assert environ["wsgi.input"].read() == report


def test_more_than_the_limit_is_refused_by_its_parser() -> None:
    """No more of it is held than is needed to see that it is too much."""
    environ = passed_on(as_served(chunks(b" " * MAX_BODY_BYTES, b" " * 5000)))
    assert environ["CONTENT_LENGTH"] == str(MAX_BODY_BYTES + 1)
    with pytest.raises(TooLarge):
        StrictJSONParser().read(environ["wsgi.input"])


@pytest.mark.parametrize("sent", [b"zz\r\nabc\r\n0\r\n\r\n", b"5\r\nab"], ids=["no_size", "cut_off"])
def test_broken_chunks_are_marked(sent: bytes) -> None:
    """The view then refuses them; a part of a body is not taken for the whole."""
    environ = passed_on(as_served(sent))
    assert CODED in environ and "CONTENT_LENGTH" not in environ


def test_a_server_that_reads_no_chunks_is_not_read_from() -> None:
    """Its input might never end."""
    environ = as_served(chunks(b"{}"))
    del environ["wsgi.input_terminated"]
    assert CODED in passed_on(environ)


@pytest.mark.django_db
def test_unread_chunks_are_no_empty_body(cast: Cast) -> None:
    """A note in chunks that nobody could read is refused with what to do, instead of taken as nothing."""
    client = ApiClient(cast.owner.token)
    path = f"/api/v1/organisations/{cast.org.id}/locations"
    answer = client.post(path, {"name": "Harbour"}, headers={"Transfer-Encoding": "chunked"})
    body = assert_problem(answer, "bad_request", 400)
    assert "Content-Length" in (body or answer.json())["detail"]
