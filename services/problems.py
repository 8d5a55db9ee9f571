"""What may go wrong, as exceptions that know how to present themselves (RFC 9457). Pure Python.

DomainError                500 internal_error
├── Invalid                400 invalid_input          the request cannot be read; `errors` says where
│   └── BadRequest         400 bad_request            the request line or a header cannot be read
├── NotAuthenticated       401 not_authenticated
├── Forbidden              403 forbidden              readable for the caller, but not changeable
├── NotFound               404 not_found              also for what the caller may not know of
├── MethodNotAllowed       405 method_not_allowed
├── Conflict               409 conflict
├── PreconditionFailed     412 precondition_failed
├── TooLarge               413 too_large
├── UnsupportedMediaType   415 unsupported_media_type
├── Unprocessable          422 unprocessable          readable, but against a rule
├── PreconditionRequired   428 precondition_required
├── TooManyRequests        429 too_many_requests
└── Unavailable            503 unavailable            busy or down for a moment; repeat the request

An app subclasses the nearest of these in its `errors.py`. A subclass that sets its own `code` enters
`PROBLEMS`, from which the page of each problem is made: its docstring is the explanation, `remedy` is what to
do about it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

PROBLEM_PATH = "/problems/"
# A body with a hundred thousand faults must not cost a hundred thousand sentences.
MOST_ERRORS = 50


@dataclass(frozen=True, slots=True)
class FieldProblem:
    """One fault at one place.

    pointer   JSON pointer into the body as a URI fragment ("#/items/3/load_kg"), "" when not in the body
    code      short stable word ("required", "unknown_field", …)
    detail    a sentence
    parameter name of the query parameter or header at fault, when it is not in the body
    """

    pointer: str
    code: str
    detail: str
    parameter: str = ""

    def as_json(self) -> dict[str, str]:
        place = {"parameter": self.parameter} if self.parameter else {"pointer": self.pointer}
        return {**place, "code": self.code, "detail": self.detail}


@dataclass(frozen=True, slots=True)
class ProblemKind:
    """A row of the registry: everything about a code that does not depend on the request."""

    code: str
    status: int
    title: str
    explanation: str
    remedy: str

    @property
    def path(self) -> str:
        return f"{PROBLEM_PATH}{self.code}"


PROBLEMS: dict[str, ProblemKind] = {}


class DomainError(Exception):
    """The service failed. The request was not carried out and nothing was stored."""

    code: ClassVar[str] = "internal_error"
    status: ClassVar[int] = 500
    title: ClassVar[str] = "Internal error"
    remedy: ClassVar[str] = (
        "Repeat the request later; if it fails again, report the request id in `instance`."
    )

    def __init_subclass__(cls) -> None:
        super().__init_subclass__()
        if "code" in cls.__dict__:
            if "title" not in cls.__dict__:
                cls.title = cls.code.replace("_", " ").capitalize()
            _register(cls)

    def __init__(
        self,
        detail: str = "",
        *,
        errors: Sequence[FieldProblem] = (),
        headers: Mapping[str, str] | None = None,
    ) -> None:
        self.detail = detail or self.remedy
        self.errors = list(errors)
        self.headers = dict(headers or {})
        super().__init__(self.detail)


def _register(cls: type[DomainError]) -> None:
    known = PROBLEMS.get(cls.code)
    explanation = " ".join((cls.__doc__ or "").split())
    kind = ProblemKind(cls.code, cls.status, cls.title, explanation, cls.remedy)
    if known is not None and known != kind:
        raise TypeError(
            f"{cls.__qualname__}: the problem code {cls.code!r} is already taken; choose another."
        )
    PROBLEMS[cls.code] = kind


_register(DomainError)


def problem_body(
    kind: type[DomainError] | DomainError,
    *,
    instance: str,
    base_url: str = "",
    detail: str = "",
    errors: Sequence[FieldProblem] = (),
) -> dict[str, object]:
    """The one constructor of an error body.

    instance  URN of the request ("urn:uuid:…"), the same identifier that the logs carry
    base_url  prefix of the problem's page, without a slash at the end; "" gives a relative reference
    """
    if isinstance(kind, DomainError):
        detail, errors = detail or kind.detail, errors or kind.errors
    body: dict[str, object] = {
        "type": f"{base_url}{PROBLEM_PATH}{kind.code}",
        "title": kind.title,
        "status": kind.status,
        "detail": detail or kind.remedy,
        "instance": instance,
        "code": kind.code,
    }
    if errors:
        told = [*errors[:MOST_ERRORS]]
        if len(errors) > MOST_ERRORS:
            told.append(FieldProblem("#", "more_faults", "There are more faults; correct these first."))
        body["errors"] = [error.as_json() for error in told]
    return body


class Invalid(DomainError):
    """A part of the request cannot be read: a field is missing, unknown, of a wrong type or out of range."""

    code = "invalid_input"
    status = 400
    title = "Invalid input"
    remedy = "Correct the places listed in `errors` and send the request again."


class BadRequest(Invalid):
    """The request as a whole cannot be read: malformed JSON, a malformed header or an unknown host."""

    code = "bad_request"
    remedy = "Correct the form of the request and send it again."


class NotAuthenticated(DomainError):
    """The request carries no valid token: it is missing, wrong, expired or revoked."""

    code = "not_authenticated"
    status = 401
    remedy = "Sign in and send the token as `Authorization: Bearer <token>`."


class Forbidden(DomainError):
    """The caller may see this, but his role does not allow the operation."""

    code = "forbidden"
    status = 403
    remedy = "Ask a person with a role that may do this."


class NotFound(DomainError):
    """There is nothing here that the caller may know of."""

    code = "not_found"
    status = 404
    remedy = "Check the address and the identifiers in it; they belong to one organisation each."


class MethodNotAllowed(DomainError):
    """The address exists, but not with this method."""

    code = "method_not_allowed"
    status = 405
    remedy = "Use one of the methods in the `Allow` header."


class Conflict(DomainError):
    """The request contradicts something that is already stored."""

    code = "conflict"
    status = 409
    remedy = "Read what is stored, then change the request so that it does not collide with it."


class PreconditionFailed(DomainError):
    """Somebody else changed the object after the version named in `If-Match`. Nothing was stored."""

    code = "precondition_failed"
    status = 412
    remedy = "Read the object again, apply the change to what it is now, and send the new ETag in `If-Match`."


class TooLarge(DomainError):
    """The body of the request is larger than the service reads."""

    code = "too_large"
    status = 413
    remedy = "Split the request into smaller ones."


class UnsupportedMediaType(DomainError):
    """The body is not in a media type that this operation reads."""

    code = "unsupported_media_type"
    status = 415
    remedy = "Send the body as `Content-Type: application/json`."


class Unprocessable(DomainError):
    """The request can be read, but a rule of the domain forbids it."""

    code = "unprocessable"
    status = 422
    remedy = "Change the request so that it follows the rule named in `detail`."


class PreconditionRequired(DomainError):
    """The operation changes an object and must say which version of it the caller has seen."""

    code = "precondition_required"
    status = 428
    remedy = "Read the object and send its ETag in `If-Match`."


class TooManyRequests(DomainError):
    """More requests than the limit of this operation."""

    code = "too_many_requests"
    status = 429
    remedy = "Wait for the number of seconds in `Retry-After`, then repeat the request."


class Unavailable(DomainError):
    """The service is busy or not reachable for a moment. Nothing was stored."""

    code = "unavailable"
    status = 503
    remedy = "Repeat the same request after the number of seconds in `Retry-After`."
