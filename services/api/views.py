"""The base classes of every view under /api/: ApiView > OrganisationView | PersonView | PublicView.

A subclass declares `operation` for each method, and who may call it (`access` or `scope`); a handler without
declaration is refused when the class is made. The methods parse, call and render, nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar
from uuid import UUID

from django.http.response import HttpResponse, HttpResponseBase
from rest_framework.request import Request

from services.api.base_view import ApiView
from services.api.errors import InsufficientScope, SecondFactorRequired
from services.api.idempotency import HEADER as IDEMPOTENCY_HEADER
from services.api.operation import Access, Idempotency, Operation
from services.api.parsers import SmallJSONParser
from services.api.replay import answer_once
from services.problems import DomainError, Forbidden, NotAuthenticated, NotFound
from services.tenancy.actor import Actor
from services.tenancy.context import person as person_scope
from services.tenancy.context import tenant
from services.tenancy.queries import actor_for


def _not_exempt(operations: Mapping[str, Operation]) -> list[str]:
    post = operations.get("POST")
    if post is None or post.idempotency is Idempotency.EXEMPT:
        return []
    return ["POST outside an organisation must be declared Idempotency.EXEMPT"]


class OrganisationView(ApiView):
    """A route below /organisations/<uuid:organisation>/.

    Outsiders, and tokens of another organisation, get 404. Whoever is inside, but lacks the role or the scope
    of the method, gets 403. What an actor may not see inside is left out by the app's querysets: 404 too.
    """

    access: ClassVar[Mapping[str, Access]] = {}
    actor: Actor

    @classmethod
    def undeclared(cls) -> list[str]:
        missing = sorted(set(cls.operation) - set(cls.access))
        return super().undeclared() + [f"{method} has no access" for method in missing]

    def authorise(self, request: Request) -> None:
        """Two queries for the membership, then the tenant for the rest of the request."""
        person_id, org_id = _person_id(request), self.kwargs["organisation"]
        limited_to = getattr(request.auth, "org_id", None)
        if limited_to is not None and limited_to != org_id:
            raise NotFound()
        actor = actor_for(person_id, org_id, _scopes(request))
        if actor is None:
            raise NotFound()
        if actor.wants_factor and not getattr(request.auth, "with_factor", False):
            raise SecondFactorRequired()
        access = self.access[self.method]
        _require_scope(actor.scopes, access.scope)
        if actor.role not in access.roles:
            roles = ", ".join(sorted(access.roles))
            raise Forbidden(f"Your role here is {actor.role}; this needs one of: {roles}.")
        self.actor = actor
        self.scope_stack.enter_context(tenant(org_id))

    def run(self, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if self.method != "POST" or self.op.idempotency is Idempotency.EXEMPT:
            return super().run(*args, **kwargs)
        return answer_once(
            self.request,
            actor=self.actor,
            header=self.request.headers.get(IDEMPOTENCY_HEADER),
            rule=self.op.idempotency,
            reads_body=self.op.input is not None,
            run=lambda: super(OrganisationView, self).run(*args, **kwargs),
            passed_over=self.key_passed_over,
            replayed=self.replayed,
        )

    def key_passed_over(self, fault: type[DomainError]) -> None:
        """A LENIENT operation is told before its handler runs what was wrong with the key that was sent."""

    def replayed(self, response: HttpResponse) -> HttpResponse:
        """What a stored response is sent again as: itself, unless it would say what must not be said now."""
        return response


class PersonView(ApiView):
    """A route of the signed-in person, outside any organisation.

    `scope` names for each method the scope that the token needs, "" for any valid token. Idempotency keys
    belong to an organisation: a POST here is EXEMPT and repeats safely by its own rule.
    """

    scope: ClassVar[Mapping[str, str]] = {}
    parser_classes = (SmallJSONParser,)

    @classmethod
    def undeclared(cls) -> list[str]:
        faults = [f"{method} has no scope" for method in sorted(set(cls.operation) - set(cls.scope))]
        return super().undeclared() + faults + _not_exempt(cls.operation)

    def authorise(self, request: Request) -> None:
        """Let the person see their own rows for the rest of the request."""
        person_id = _person_id(request)
        needed = self.scope[self.method]
        if needed:
            _require_scope(_scopes(request), needed)
        self.scope_stack.enter_context(person_scope(person_id))


class PublicView(ApiView):
    """A route without sign-in; a token that is sent all the same is not looked at."""

    authentication_classes = ()
    parser_classes = (SmallJSONParser,)

    @classmethod
    def undeclared(cls) -> list[str]:
        return super().undeclared() + _not_exempt(cls.operation)

    def authorise(self, request: Request) -> None:
        """Everybody may."""


def _person_id(request: Request) -> UUID:
    person_id = getattr(request.user, "pk", None)
    if person_id is None:
        raise NotAuthenticated()
    return UUID(str(person_id))


def _scopes(request: Request) -> frozenset[str]:
    return frozenset(getattr(request.auth, "scopes", None) or ())


def _require_scope(scopes: frozenset[str], needed: str) -> None:
    if needed not in scopes:
        challenge = f'Bearer error="insufficient_scope", scope="{needed}"'  # RFC 6750, 3.1
        raise InsufficientScope(headers={"WWW-Authenticate": challenge})
