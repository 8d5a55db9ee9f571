"""Problems of the HTTP layer itself.

Invalid              400
├── InvalidCursor            invalid_cursor
├── IdempotencyKeyMissing    idempotency_key_missing
└── IdempotencyKeyInvalid    idempotency_key_invalid
Forbidden            403
├── InsufficientScope        insufficient_scope
└── SecondFactorRequired     second_factor_required
Conflict             409
└── RequestInProgress        request_in_progress
Unprocessable        422
└── IdempotencyKeyReused     idempotency_key_reused
"""

from __future__ import annotations

from services.problems import Conflict, Forbidden, Invalid, Unprocessable


class InvalidCursor(Invalid):
    """The cursor is damaged, or it was given out for another list, other filters or another order."""

    code = "invalid_cursor"
    remedy = "Start again without `cursor`, and follow the `next` address as it is given."


class IdempotencyKeyMissing(Invalid):
    """This operation stores something that must not be stored twice; a key tells a repetition."""

    code = "idempotency_key_missing"
    remedy = "Send `Idempotency-Key: <a UUID made for this submission>` and keep it for every repetition."


class IdempotencyKeyInvalid(Invalid):
    """The idempotency key does not have the required form."""

    code = "idempotency_key_invalid"
    remedy = "Send 16 to 128 visible ASCII characters without spaces, for example a UUID."


class InsufficientScope(Forbidden):
    """The token is valid, but it was not issued for this kind of operation."""

    code = "insufficient_scope"
    remedy = "Use a token with the scope named in the `WWW-Authenticate` header."


class SecondFactorRequired(Forbidden):
    """This organisation lets its staff work with a second factor only, and this sign-in was made without one."""

    code = "second_factor_required"
    remedy = (
        "Set one up under `/api/v1/me/second-factor`, or sign in again with a code of the one that is set up."
    )


class RequestInProgress(Conflict):
    """The first request with this idempotency key is still running."""

    code = "request_in_progress"
    remedy = "Repeat the same request after the number of seconds in `Retry-After`; you get its answer then."


class IdempotencyKeyReused(Unprocessable):
    """This idempotency key was already used for a request with another body or address."""

    code = "idempotency_key_reused"
    remedy = "Make a new key for a new request; keep a key only for exact repetitions."
