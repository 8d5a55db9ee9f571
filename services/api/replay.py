"""The join of a view and `idempotency`: run the handler once, or send the stored answer."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import replace

from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import set_rollback

from services.api import idempotency
from services.api.errors import IdempotencyKeyInvalid, IdempotencyKeyReused
from services.api.operation import Idempotency
from services.api.parsers import StrictJSONRenderer
from services.problems import DomainError
from services.tenancy.actor import Actor

REPLAYED = "Idempotency-Replayed"


def answer_once(
    request: Request,
    *,
    actor: Actor,
    header: str | None,
    rule: Idempotency,
    reads_body: bool,
    run: Callable[[], HttpResponseBase],
    passed_over: Callable[[type[DomainError]], None],
    replayed: Callable[[HttpResponse], HttpResponse],
) -> HttpResponseBase:
    """The handler's response, stored under the key; or the stored one of an earlier request.

    `passed_over` is told before the handler runs why a LENIENT operation goes on in spite of its key. `replayed` is
    given a stored response before it is sent again.
    """
    key = idempotency.read_key(header, rule)
    if key is None:
        if header is not None and rule is Idempotency.LENIENT:
            passed_over(IdempotencyKeyInvalid)
        return run()
    match = request.resolver_match
    assert match is not None  # a view runs only on a resolved route
    claim = idempotency.Claim(
        org_id=actor.org_id,
        principal_id=actor.person_id,
        route=f"{request.method} {match.route}",
        key=key,
        fingerprint=idempotency.fingerprint(request.get_full_path(), request.data if reads_body else None),
    )
    try:
        stored = idempotency.begin(claim, now=timezone.now())
    except IdempotencyKeyReused:
        if rule is not Idempotency.LENIENT:
            raise
        passed_over(IdempotencyKeyReused)
        claim = _of_this_content(claim)
        stored = idempotency.begin(claim, now=timezone.now())
    if stored is not None:
        return replayed(_replay(stored))
    response = run()
    if 200 <= response.status_code < 300:
        idempotency.finish(claim, _answer(response))
    else:
        set_rollback()  # a refusal that did not come as an exception
    return response


def _of_this_content(claim: idempotency.Claim) -> idempotency.Claim:
    """The claim under a key that another content cannot have, so that this one sent again is replayed too."""
    key = hashlib.sha256(claim.key.encode() + claim.fingerprint).hexdigest()
    return replace(claim, key=key)


def _answer(response: HttpResponseBase) -> idempotency.Answer:
    headers = dict(response.headers.items())
    if isinstance(response, Response):
        headers.pop("Content-Type", None)
        body = "" if response.data is None else StrictJSONRenderer().render(response.data).decode()
        if body:
            headers["Content-Type"] = StrictJSONRenderer.media_type
    elif isinstance(response, HttpResponse):
        body = response.content.decode()
    else:
        raise TypeError("A streamed answer cannot be kept; declare the operation Idempotency.EXEMPT.")
    return idempotency.Answer(response.status_code, headers, body)


def _replay(stored: idempotency.Answer) -> HttpResponse:
    response = HttpResponse(stored.body, status=stored.status, headers={**stored.headers, REPLAYED: "true"})
    if not stored.body:
        del response.headers["Content-Type"]
    return response
