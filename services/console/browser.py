"""The sign-in of a browser: a signed cookie that holds a token, which is checked like every other one.

So it is stored hashed, ends by itself, stands in the person's list of tokens, and is gone at once when they sign out
or revoke it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Any, Final
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.http import HttpRequest
from django.middleware.csrf import rotate_token
from rest_framework.exceptions import AuthenticationFailed

from services.access.actions import create_token
from services.access.authentication import TokenAuthentication
from services.tenancy.actor import ALL_SCOPES, USUAL_SCOPES
from services.tenancy.context import person as person_scope

KEPT: Final = "token"
LABEL: Final = "Pages in a browser"
# Somebody else's machine is left without signing out; 12 h are a day's work at a gym.
A_DAY: Final = timedelta(hours=12)


@dataclass(frozen=True)
class SignedIn:
    """Who reads, and what their sign-in is good for."""

    person_id: UUID
    name: str
    scopes: frozenset[str]
    only_org_id: UUID | None
    weights: str
    token: Any
    person: Any

    @property
    def with_factor(self) -> bool:
        """Whether a code of the second factor was given for it."""
        return bool(self.token.with_factor)


def signed_in(request: HttpRequest) -> SignedIn | None:
    """None without a sign-in that holds (four queries)."""
    secret = request.session.get(KEPT)
    if not isinstance(secret, str):
        return None
    try:
        person, token = TokenAuthentication().authenticate_credentials(secret.encode())
    except AuthenticationFailed:
        return None
    return SignedIn(
        person.pk,
        person.name,
        frozenset(token.scopes),
        token.only_org_id,
        person.weights,
        token,
        person,
    )


def begin(request: HttpRequest, person: Any, *, stay: bool, with_factor: bool) -> None:
    """Sign the person in: for a day and until the browser is closed, or, to stay, for as long as a cookie lives.

    Who stays may do everyday work; what is about the organisation itself wants a password of today.
    """
    with transaction.atomic():  # a request that signs in is in none
        end(request)
    life = timedelta(seconds=settings.SESSION_COOKIE_AGE) if stay else A_DAY
    scopes = USUAL_SCOPES if stay else ALL_SCOPES
    _, secret = create_token(person=person, label=LABEL, scopes=scopes, life=life, with_factor=with_factor)
    request.session[KEPT] = secret
    request.session.set_expiry(None if stay else 0)
    rotate_token(request)


def end(request: HttpRequest) -> None:
    """Sign out: the token is gone, so that a copy of the cookie opens nothing."""
    reader = signed_in(request)
    if reader is not None:
        with person_scope(reader.person_id):
            reader.token.delete()
    request.session.flush()
