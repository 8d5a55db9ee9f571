"""The outermost layers of a request: its identifier, and the last guard of the error body."""

from __future__ import annotations

import uuid
from collections.abc import Callable

import structlog
from django.core.exceptions import BadRequest, PermissionDenied, SuspiciousOperation
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase

from services.api.handler import PROBLEM_TYPE, for_status, is_api, problem_response, translate

log = structlog.get_logger(__name__)
GetResponse = Callable[[HttpRequest], HttpResponseBase]

# Says how to go on, so it must survive when the body is replaced.
_KEPT_HEADERS = ("Allow", "WWW-Authenticate", "Retry-After")


class RequestIdMiddleware:
    """Gives every request an identifier of ours and binds it to the log; put it first.

    An identifier sent by the client is not accepted: it could forge the trace of somebody else's request.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        request_id = uuid.uuid4()
        request.request_id = request_id  # type: ignore[attr-defined]
        with structlog.contextvars.bound_contextvars(request_id=str(request_id)):
            response = self.get_response(request)
        response.headers["Request-Id"] = str(request_id)
        return response


ANSWERED = (Http404, BadRequest, PermissionDenied, SuspiciousOperation)
"""What Django itself answers with a 4xx: a mistyped address is no fault of ours."""


class ProblemMiddleware:
    """Under /api/ no error leaves with another body than ours; put it right after RequestIdMiddleware."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        if not is_api(request) or response.status_code < 400:
            return response
        if response.headers.get("Content-Type", "").startswith(PROBLEM_TYPE):
            return response
        headers = {name: response.headers[name] for name in _KEPT_HEADERS if name in response.headers}
        return problem_response(for_status(response.status_code, headers=headers), request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        """Answer what shows only when the transaction ends (deferred constraints); record the unforeseen."""
        error = translate(exception) if is_api(request) else None
        if error is not None:
            return problem_response(error, request)
        if isinstance(exception, ANSWERED):
            return None
        log.error("uncaught", exc_info=exception, method=request.method, route=_route(request))
        return None


def _route(request: HttpRequest) -> str:
    """The route's template: a path may hold a secret (feeds), its template does not."""
    match = request.resolver_match
    return match.route if match else ""
