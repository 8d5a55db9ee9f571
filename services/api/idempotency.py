"""`Idempotency-Key`: a repeated POST gets the first one's answer instead of a second effect.

The easy case: the first request inserts a row for its key, does its work, and adds the answer to the row; a
later one finds the row and sends the answer again. What complicates it:

1. A crash. The row is in the transaction of the effect, so it disappears with it, and the repetition runs.
2. Both at once. The second INSERT waits for the first transaction (PostgreSQL waits on a unique key that is
   not yet committed). Short work: it then finds the answer. Long work: it gives up after LOCK_TIMEOUT, 409.
3. The same key for something else. The row holds a fingerprint of the request; another one gets 422.
4. A refusal. Only 2xx is kept: anything else rolls back, the key with it, and may be corrected and resent.
5. Lost rights. The caller passes authentication and access before his row is looked up, every time.
6. Age. An expired row is taken over by the INSERT itself.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import re
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import OperationalError, connection
from psycopg.errors import LockNotAvailable

from services.api.errors import (
    IdempotencyKeyInvalid,
    IdempotencyKeyMissing,
    IdempotencyKeyReused,
    RequestInProgress,
)
from services.api.models import IdempotencyKey
from services.api.operation import Idempotency

HEADER = "Idempotency-Key"
LIFETIME = dt.timedelta(days=7)  # a telephone may stay offline for days before it repeats a submission
LOCK_TIMEOUT = "1500ms"
RETRY_AFTER_S = "2"
_KEY = re.compile(r"[\x21-\x7e]{16,128}")
_KEPT_HEADERS = ("Location", "ETag", "Content-Type")

_CLAIM = """
INSERT INTO api_idempotencykey AS kept
    (id, org_id, created_at, principal_id, route, key, fingerprint, headers, body, expires_at)
VALUES (%s, %s, %s, %s, %s, %s, %s, '{}', '', %s)
ON CONFLICT (org_id, principal_id, route, key) DO UPDATE
    SET created_at = excluded.created_at, fingerprint = excluded.fingerprint, status = NULL,
        headers = '{}', body = '', expires_at = excluded.expires_at
    WHERE kept.expires_at <= excluded.created_at
RETURNING id
"""


@dataclass(frozen=True, slots=True)
class Claim:
    """The identity of a request that must have its effect once.

    route  method and template of the path, not the path itself: the same key on two paths is a mistake
    """

    org_id: uuid.UUID
    principal_id: uuid.UUID
    route: str
    key: str
    fingerprint: bytes


@dataclass(frozen=True, slots=True)
class Answer:
    status: int
    headers: Mapping[str, str]
    body: str


def read_key(header: str | None, rule: Idempotency) -> str | None:
    """The key, without the quotes of a structured-field string. Raises 400 when missing or malformed.

    None: the request is carried out as if it had none.
    """
    if rule is Idempotency.EXEMPT:
        return None
    if header is None:
        if rule is Idempotency.REQUIRED:
            raise IdempotencyKeyMissing()
        return None
    key = header.strip()
    if len(key) >= 2 and key[0] == key[-1] == '"':
        key = key[1:-1]
    if not _KEY.fullmatch(key):
        if rule is Idempotency.LENIENT:
            return None
        raise IdempotencyKeyInvalid()
    return key


def fingerprint(path: str, data: Any) -> bytes:
    """SHA-256 of the path and the canonical body: neither spacing nor the order of keys counts."""
    canonical = json.dumps([path, data], sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(canonical.encode()).digest()


def begin(claim: Claim, *, now: dt.datetime) -> Answer | None:
    """Claim the key for this transaction (four statements); or the stored answer of the first request.

    Raises IdempotencyKeyReused (422) and RequestInProgress (409).
    """
    if _insert(claim, now):
        return None
    row = _row(claim)
    if bytes(row.fingerprint) != claim.fingerprint:
        raise IdempotencyKeyReused()
    if row.status is None:  # the same transaction claims twice
        raise RequestInProgress(headers={"Retry-After": RETRY_AFTER_S})
    return Answer(row.status, row.headers, row.body)


def finish(claim: Claim, answer: Answer) -> None:
    """Add the answer to the claimed row (one query)."""
    kept = {name: value for name, value in answer.headers.items() if name in _KEPT_HEADERS}
    IdempotencyKey.objects.filter(**_identity(claim)).update(
        status=answer.status, headers=kept, body=answer.body
    )


def purge_expired(*, now: dt.datetime) -> int:
    """Delete the expired keys of the current tenant; returns their number."""
    return IdempotencyKey.objects.filter(expires_at__lte=now).delete()[0]


def _insert(claim: Claim, now: dt.datetime) -> bool:
    values: list[Any] = [
        uuid.uuid4(),
        claim.org_id,
        now,
        claim.principal_id,
        claim.route,
        claim.key,
        claim.fingerprint,
    ]
    with connection.cursor() as cursor:
        cursor.execute("SELECT current_setting('lock_timeout')")
        previous = cursor.fetchone()[0]
        cursor.execute("SELECT set_config('lock_timeout', %s, true)", [LOCK_TIMEOUT])
        try:
            cursor.execute(_CLAIM, [*values, now + LIFETIME])
        except OperationalError as error:
            # The transaction is lost, but nothing was done in it yet; the handler rolls it back.
            if isinstance(error.__cause__, LockNotAvailable):
                raise RequestInProgress(headers={"Retry-After": RETRY_AFTER_S}) from error
            raise
        claimed = cursor.fetchone() is not None
        cursor.execute("SELECT set_config('lock_timeout', %s, true)", [previous])
    return claimed


def _row(claim: Claim) -> IdempotencyKey:
    return IdempotencyKey.objects.get(**_identity(claim))


def _identity(claim: Claim) -> dict[str, Any]:
    return {
        "org_id": claim.org_id,
        "principal_id": claim.principal_id,
        "route": claim.route,
        "key": claim.key,
    }
