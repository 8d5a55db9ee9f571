"""Every failure under /api/ becomes one body: exceptions are translated to DomainErrors and rendered."""

from __future__ import annotations

import uuid
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from typing import Any
from urllib.parse import quote

from django.core import exceptions as django_exceptions
from django.db import DatabaseError, IntegrityError, OperationalError
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.views import defaults
from rest_framework import exceptions as drf_exceptions
from rest_framework.response import Response
from rest_framework.settings import api_settings
from rest_framework.views import set_rollback

from services import problems
from services.api.links import public_url

PROBLEM_TYPE = "application/problem+json"
API_PREFIX = "/api/"

# What PostgreSQL refuses for a reason that lies in the request or in the moment (SQLSTATE, appendix A of its
# manual). Anything else, a null in a required column for example, is a fault of ours and stays a 500. The
# database's text is never passed on: it may quote rows that the caller must not know of.
_SQLSTATE: dict[str, tuple[type[problems.DomainError], str]] = {
    "23505": (problems.Conflict, "Something with the same identifying values is already stored."),
    "23P01": (problems.Conflict, "It overlaps with something that is already stored."),
    "23503": (problems.Conflict, "It refers to something that is not there, or is still referred to."),
    "23514": (problems.Unprocessable, "A value breaks a rule of what may be stored."),
    "40001": (problems.Unavailable, ""),
    "40P01": (problems.Unavailable, ""),
    "55P03": (problems.Unavailable, ""),
    "57014": (problems.Unavailable, ""),
}
_RETRY_AFTER_S = "2"

_BY_STATUS: dict[int, type[problems.DomainError]] = {
    kind.status: kind
    for kind in (
        problems.BadRequest,
        problems.NotAuthenticated,
        problems.Forbidden,
        problems.NotFound,
        problems.MethodNotAllowed,
        problems.Conflict,
        problems.PreconditionFailed,
        problems.TooLarge,
        problems.UnsupportedMediaType,
        problems.Unprocessable,
        problems.PreconditionRequired,
        problems.TooManyRequests,
        problems.DomainError,
        problems.Unavailable,
    )
}


def handle_exception(exc: Exception, context: Mapping[str, Any]) -> Response | None:
    """The EXCEPTION_HANDLER of REST framework. None for what is not known: Django then makes the 500."""
    error = translate(exc)
    if error is None:
        return None
    set_rollback()
    response = Response(
        body_for(error, context["request"]),
        status=error.status,
        headers=error.headers,
        content_type=PROBLEM_TYPE,
    )
    return response


def problem_response(error: problems.DomainError, request: HttpRequest) -> JsonResponse:
    """The same body outside of REST framework (middleware, resolver, error handlers)."""
    return JsonResponse(
        body_for(error, request), status=error.status, headers=error.headers, content_type=PROBLEM_TYPE
    )


def body_for(error: problems.DomainError, request: Any) -> dict[str, object]:
    request_id = getattr(request, "request_id", None) or uuid.uuid4()
    return problems.problem_body(error, instance=f"urn:uuid:{request_id}", base_url=public_url())


def for_status(
    status: int, detail: str = "", headers: Mapping[str, str] | None = None
) -> problems.DomainError:
    """The general problem of a status; an unlisted status counts as its class (4xx: 400, 5xx: 500)."""
    kind = _BY_STATUS.get(status) or (problems.BadRequest if status < 500 else problems.DomainError)
    return kind(detail, headers=headers)


def translate(exc: Exception) -> problems.DomainError | None:
    """The problem that an exception stands for; None if it is a fault of ours."""
    if isinstance(exc, problems.DomainError):
        return _with_challenge(exc)
    if isinstance(exc, drf_exceptions.ValidationError):
        return problems.Invalid(errors=field_problems(exc.get_full_details()))
    if isinstance(exc, drf_exceptions.APIException):
        return _from_rest_framework(exc)
    if isinstance(exc, Http404):
        return problems.NotFound()
    if isinstance(exc, django_exceptions.PermissionDenied):
        return problems.Forbidden()
    if isinstance(exc, django_exceptions.ValidationError):
        return problems.Invalid(errors=_model_problems(exc))
    if isinstance(exc, django_exceptions.RequestDataTooBig):
        return problems.TooLarge()
    if isinstance(exc, (django_exceptions.SuspiciousOperation, django_exceptions.BadRequest)):
        return problems.BadRequest()
    if isinstance(exc, DatabaseError):
        return _from_database(exc)
    return None


def _with_challenge(error: problems.DomainError) -> problems.DomainError:
    if error.status == 401:
        error.headers.setdefault("WWW-Authenticate", "Bearer")
    return error


def _from_rest_framework(exc: drf_exceptions.APIException) -> problems.DomainError:
    headers: dict[str, str] = {}
    wait = getattr(exc, "wait", None)
    if wait is not None:
        headers["Retry-After"] = f"{wait:.0f}"
    if isinstance(exc, (drf_exceptions.NotAuthenticated, drf_exceptions.AuthenticationFailed)):
        # REST framework turns the status to 403 where a scheme has no challenge; ours always has one.
        return _with_challenge(problems.NotAuthenticated(headers=headers))
    detail = str(exc.detail) if isinstance(exc, drf_exceptions.ParseError) else ""
    return for_status(exc.status_code, detail, headers)


def _from_database(exc: DatabaseError) -> problems.DomainError | None:
    state = getattr(exc.__cause__, "sqlstate", None)
    known = _SQLSTATE.get(state or "")
    if known is None and isinstance(exc, OperationalError) and not isinstance(exc, IntegrityError):
        known = (problems.Unavailable, "")  # no connection, shutting down, out of resources
    if known is None:
        return None
    kind, detail = known
    headers = {"Retry-After": _RETRY_AFTER_S} if kind is problems.Unavailable else {}
    return kind(detail, headers=headers)


def field_problems(details: Any, path: tuple[str, ...] = ()) -> list[problems.FieldProblem]:
    """Flatten REST framework's nested details into pointers.

    details  leaves are {"message", "code"}; containers are dicts by field, or lists by index ({}: no fault).

    At most one more than MOST_ERRORS: the body then says that there are more.
    """
    return list(islice(_walk(details, path), problems.MOST_ERRORS + 1))


def _walk(details: Any, path: tuple[str, ...]) -> Iterator[problems.FieldProblem]:
    if isinstance(details, Mapping):
        if set(details) == {"message", "code"} and isinstance(details["code"], str):
            yield problems.FieldProblem(pointer(path), str(details["code"]), str(details["message"]))
            return
        for name, inner in details.items():
            own = name == api_settings.NON_FIELD_ERRORS_KEY
            yield from _walk(inner, path if own else (*path, str(name)))
    elif isinstance(details, Sequence) and not isinstance(details, str):
        # A list holds either the faults of one value (leaves) or one entry for each item.
        leaves = all(isinstance(item, Mapping) and set(item) == {"message", "code"} for item in details)
        for index, inner in enumerate(details):
            yield from _walk(inner, path if leaves else (*path, str(index)))


def pointer(path: Sequence[str]) -> str:
    """JSON pointer (RFC 6901 sections 3 and 6) as a URI fragment; the whole document is "#"."""
    steps = (quote(step.replace("~", "~0").replace("/", "~1"), safe="~!$&'()*+,;=:@") for step in path)
    return "#" + "".join(f"/{step}" for step in steps)


def _model_problems(exc: django_exceptions.ValidationError) -> list[problems.FieldProblem]:
    if not hasattr(exc, "error_dict"):
        return [
            problems.FieldProblem("#", e.code or "invalid", m) for e in exc.error_list for m in e.messages
        ]
    return [
        problems.FieldProblem(
            pointer(() if name == django_exceptions.NON_FIELD_ERRORS else (name,)),
            error.code or "invalid",
            message,
        )
        for name, errors in exc.error_dict.items()
        for error in errors
        for message in error.messages
    ]


def is_api(request: HttpRequest) -> bool:
    return request.path.startswith(API_PREFIX)


def handler400(request: HttpRequest, exception: Exception) -> HttpResponse:
    if is_api(request):
        return problem_response(translate(exception) or problems.BadRequest(), request)
    return defaults.bad_request(request, exception)


def handler403(request: HttpRequest, exception: Exception) -> HttpResponse:
    if is_api(request):
        return problem_response(problems.Forbidden(), request)
    return defaults.permission_denied(request, exception)


def handler404(request: HttpRequest, exception: Exception) -> HttpResponse:
    if is_api(request):
        return problem_response(problems.NotFound(), request)
    return defaults.page_not_found(request, exception)


def handler500(request: HttpRequest) -> HttpResponse:
    if is_api(request):
        return problem_response(problems.DomainError(), request)
    return defaults.server_error(request)
