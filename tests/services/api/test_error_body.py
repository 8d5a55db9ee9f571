"""One error body, whoever makes the error."""

import logging

import pytest
import structlog
from django.db import IntegrityError
from django.test import RequestFactory

from services.api import handler
from services.problems import PROBLEMS, DomainError
from tests.services.api import sample
from tests.support.api import ApiClient, assert_problem

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.services.api.sample")]


@pytest.fixture
def client():
    return ApiClient(document=sample.document(), raise_errors=False)


@pytest.fixture
def silent():
    """Django logs what it answers with 4xx and 5xx; these tests make it on purpose."""
    logging.disable(logging.CRITICAL)
    yield
    logging.disable(logging.NOTSET)


@pytest.mark.usefixtures("silent")
@pytest.mark.parametrize(
    ("method", "path", "code", "status"),
    [
        ("GET", "/api/v1/nowhere", "not_found", 404),
        ("GET", "/api/v1/organisations/not-a-uuid/places", "not_found", 404),
        ("POST", "/api/v1/status", "method_not_allowed", 405),
        ("OPTIONS", "/api/v1/status", "method_not_allowed", 405),
        ("TRACE", "/api/v1/status", "method_not_allowed", 405),
        ("GET", "/api/v1/me", "not_authenticated", 401),
        ("GET", "/api/v1/status?surprise=1", "invalid_input", 400),
        ("GET", "/api/v1/broken/runtime", "internal_error", 500),
        ("GET", "/api/v1/broken/nan", "internal_error", 500),
        ("GET", "/api/v1/broken/integrity", "internal_error", 500),
    ],
)
def test_every_producer_makes_the_same_body(client, method, path, code, status):
    """The resolver, REST framework, our views and an unforeseen exception cannot be told apart by shape."""
    assert_problem(client.request(method, path), code, status)


@pytest.mark.parametrize("status", [400, 403, 404, 405, 415, 418, 429, 500, 502, 503])
def test_a_foreign_error_page_is_replaced(status, rf):
    """HTML from a library or a middleware becomes the body of its status; how to go on is kept."""
    from django.test import Client

    response = Client().get(f"/api/v1/plain/{status}")
    body = response.json()
    assert (response.status_code, response.headers["Content-Type"]) == (body["status"], handler.PROBLEM_TYPE)
    assert body["status"] == {418: 400, 502: 500}.get(status, status)
    assert response.headers["Retry-After"] == "7"


@pytest.mark.usefixtures("silent")
def test_an_unknown_host_gets_a_problem(client):
    """What Django refuses before any view (400) has the body too."""
    assert_problem(client.get("/api/v1/status", headers={"Host": "elsewhere.example"}), "bad_request", 400)


@pytest.mark.usefixtures("silent")
def test_nothing_of_the_inside_is_told_but_it_is_logged(client):
    """The 500 says neither message nor type; the log has both, with the same request id."""
    with structlog.testing.capture_logs([structlog.contextvars.merge_contextvars]) as logs:
        response = client.get("/api/v1/broken/runtime")
    assert b"secret" not in response.content
    assert b"RuntimeError" not in response.content
    (entry,) = [log for log in logs if log["event"] == "uncaught"]
    assert str(entry["exc_info"]) == "a secret of the inside"
    assert entry["request_id"] == response.headers["Request-Id"]
    assert entry["route"] == "api/v1/broken/<str:how>"


def test_a_request_id_of_the_client_is_not_taken_over(client):
    """The trace of a request cannot be forged."""
    sent = "00000000-0000-4000-8000-000000000000"
    first = client.get("/api/v1/status", headers={"Request-Id": sent, "X-Request-ID": sent})
    second = client.get("/api/v1/status")
    assert len({sent, first.headers["Request-Id"], second.headers["Request-Id"]}) == 3


@pytest.mark.parametrize(
    ("state", "code"),
    [("23505", "conflict"), ("23503", "conflict"), ("23514", "unprocessable"), ("23P01", "conflict")],
)
def test_a_refusal_of_the_database_quotes_nothing(state, code):
    """SQLSTATE decides, and the database's text, which may quote a foreign row, is dropped."""

    class RefusalError(Exception):
        sqlstate = state

    error = IntegrityError("Key (name)=(somebody else's) already exists")
    error.__cause__ = RefusalError()
    problem = handler.translate(error)
    assert problem is not None
    assert problem.code == code
    assert "somebody" not in str(handler.body_for(problem, RequestFactory().get("/")))


def test_a_null_where_none_may_be_is_a_fault_of_ours():
    """Not every IntegrityError lies in the request."""
    error = IntegrityError("null value in column")
    error.__cause__ = type("NotNull", (Exception,), {"sqlstate": "23502"})()
    assert handler.translate(error) is None


def test_every_code_has_a_page(client):
    """The `type` of each problem leads to its explanation and remedy, and the list names them all."""
    from django.test import Client

    listed = Client().get("/problems/").content.decode()
    assert len(PROBLEMS) > 15
    for code, kind in PROBLEMS.items():
        page = Client().get(kind.path)
        assert page.status_code == 200, code
        assert page.headers["Content-Type"].startswith("text/html")
        assert f'href="{kind.path}"' in listed
        assert kind.explanation, f"{code}: the class has no docstring"
    with structlog.testing.capture_logs() as logs:
        assert Client().get("/problems/unheard_of").status_code == 404
    assert "uncaught" not in {log["event"] for log in logs}, "a mistyped address is no error of the service"


def test_every_domain_error_is_in_the_registry():
    """No exception can carry a code that no page explains."""

    def below(kind):
        yield kind
        for child in kind.__subclasses__():
            yield from below(child)

    for kind in below(DomainError):
        known = PROBLEMS[kind.code]
        assert known.status == kind.status, kind
        assert 400 <= kind.status < 600


def test_a_code_belongs_to_one_class():
    """Two meanings of one code are refused when the second class is made."""
    with pytest.raises(TypeError, match="already taken"):
        type("Second", (DomainError,), {"code": "conflict", "status": 418, "__doc__": "Another meaning."})
