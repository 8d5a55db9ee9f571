"""The base classes of every view under /api/: ApiView > OrganisationView | PersonView | PublicView.

A subclass declares `operation` for each method, and who may call it (`access` or `scope`); a handler without
declaration is refused when the class is made. The methods parse, call and render, nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from typing import Any, ClassVar, TypeVar
from uuid import UUID

from django.db.models import Model, QuerySet
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer
from rest_framework.views import APIView

from services.api import conditional, links
from services.api.errors import InsufficientScope
from services.api.idempotency import HEADER as IDEMPOTENCY_HEADER
from services.api.operation import METHODS, Access, Idempotency, Operation
from services.api.pagination import KeysetPage, read_limit
from services.api.parsers import IgnoreAccept, StrictJSONParser, StrictJSONRenderer
from services.api.replay import answer_once
from services.problems import FieldProblem, Forbidden, Invalid, MethodNotAllowed, NotAuthenticated, NotFound
from services.tenancy.actor import Actor
from services.tenancy.context import person as person_scope
from services.tenancy.context import tenant
from services.tenancy.queries import actor_for

ModelT = TypeVar("ModelT", bound=Model)


def _not_exempt(operations: Mapping[str, Operation]) -> list[str]:
    post = operations.get("POST")
    if post is None or post.idempotency is Idempotency.EXEMPT:
        return []
    return ["POST outside an organisation must be declared Idempotency.EXEMPT"]


class ApiView(APIView):
    """The life of a request; derive from one of the three classes below."""

    operation: ClassVar[Mapping[str, Operation]] = {}

    http_method_names = ["get", "head", "post", "put", "patch", "delete"]
    permission_classes = ()  # `authorise` decides
    parser_classes = (StrictJSONParser,)
    renderer_classes = (StrictJSONRenderer,)
    content_negotiation_class = IgnoreAccept

    def __init_subclass__(cls) -> None:
        super().__init_subclass__()
        faults = cls.undeclared()
        if faults:
            raise TypeError(f"{cls.__qualname__}: {'; '.join(faults)}")

    @classmethod
    def undeclared(cls) -> list[str]:
        """What is missing or superfluous in the declaration, in sentences."""
        handled = {method for method in METHODS if hasattr(cls, method.lower())}
        return [f"{method} has no operation" for method in sorted(handled - set(cls.operation))] + [
            f"{method} is declared, but not handled" for method in sorted(set(cls.operation) - handled)
        ]

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """Authenticate, authorise, enter the tenant, prepare, run, leave; every failure becomes a problem.

        The tenant is left when the handler has returned, before rendering: the response is plain data then.
        """
        self.args, self.kwargs = args, kwargs
        self.headers = self.default_response_headers
        self.request: Request = self.initialize_request(request, *args, **kwargs)
        with ExitStack() as self.scope_stack:
            try:
                self.initial(self.request, *args, **kwargs)
                response = self.run(*args, **kwargs)
            except Exception as exc:
                response = self.handle_exception(exc)
            self.response = self.finalize_response(self.request, response, *args, **kwargs)  # type: ignore[arg-type]
        self.response.headers.setdefault("Cache-Control", "private, no-cache")
        return self.response

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        method = "GET" if request.method == "HEAD" else str(request.method)
        if method not in self.operation:
            raise MethodNotAllowed(headers={"Allow": ", ".join(sorted(self.operation))})
        self.method, self.op = method, self.operation[method]
        super().initial(request, *args, **kwargs)  # negotiates and authenticates
        self.authorise(request)
        self._refuse_unknown_parameters(request)
        if self.op.if_match:
            conditional.require_if_match(request.headers)
        self.prepare(**kwargs)

    def authorise(self, request: Request) -> None:
        """Raise unless the caller may use this method, and enter the scope of the request."""
        raise NotImplementedError

    def prepare(self, **kwargs: Any) -> None:
        """Load what the path names, with `get_object_or_404`.

        Runs before the handler and before a stored answer is replayed, so that who lost sight of the object
        does not get the answer either.
        """

    def run(self, *args: Any, **kwargs: Any) -> HttpResponseBase:
        handler = getattr(self, self.method.lower())
        response: HttpResponseBase = handler(self.request, *args, **kwargs)
        tag = response.headers.get("ETag")
        if self.method != "GET" or response.status_code != 200 or tag is None:
            return response
        unchanged = conditional.is_unchanged(self.request.headers, tag)
        return Response(status=304, headers={"ETag": tag}) if unchanged else response

    def read_input(self, serializer: type[BaseSerializer] | None = None) -> Any:
        """The validated body; PATCH may leave fields out. Raises Invalid with a pointer for each fault."""
        kind = serializer or self.op.input
        assert kind is not None, f"{self.op.id} declares no input"
        reader = kind(data=self.request.data, partial=self.method == "PATCH", context={"view": self})
        reader.is_valid(raise_exception=True)
        return reader.validated_data

    def reply(
        self,
        row: Any,
        output: type[BaseSerializer] | None = None,
        *,
        location: str = "",
        headers: Mapping[str, str] | None = None,
    ) -> Response:
        """The declared success with one representation; `location` is the path of what was made."""
        kind = output or self.op.output
        assert kind is not None, f"{self.op.id} declares no output"
        own = dict(headers or {})
        if self.op.etag:
            own["ETag"] = conditional.etag_of(row)
        if location:
            own["Location"] = location
        return Response(kind(row, context={"view": self}).data, status=self.op.status, headers=own)

    def no_content(self) -> Response:
        return Response(status=204)

    def page(
        self, queryset: QuerySet, output: type[BaseSerializer] | None = None, *, order: Sequence[str]
    ) -> Response:
        """One keyset page of the queryset, filtered as declared (one query and its prefetches)."""
        kind = output or self.op.output
        assert kind is not None, f"{self.op.id} declares no output"
        parameters = self.request.query_params
        query = {name: values for name, values in parameters.lists() if name not in ("limit", "cursor")}
        limit = read_limit(parameters.get("limit"))
        keyset = KeysetPage(self._filtered(queryset), order, path=self.request.path, query=query)
        page = keyset.read(limit=limit, cursor=parameters.get("cursor"))
        following = links.absolute(self.request, page.next_path) if page.next_path else None
        items = kind(page.rows, many=True, context={"view": self}).data
        headers = {"Link": f'<{following}>; rel="next"'} if following else {}
        return Response({"items": items, "next": following}, headers=headers)

    def get_object_or_404(self, queryset: QuerySet[ModelT], identifier: UUID) -> ModelT:
        """The row of a queryset that starts at what the actor may see (one query). Raises NotFound."""
        row = queryset.filter(pk=identifier).first()
        if row is None:
            raise NotFound()
        return row

    def expected_version(self, row: conditional.Versioned) -> int:
        """The version in If-Match. Raises PreconditionFailed (412) when it is not the row's."""
        return conditional.expected_version(self.request.headers, row)

    def _filtered(self, queryset: QuerySet) -> QuerySet:
        if self.op.filters is None:
            return queryset
        filters = self.op.filters(data=self.request.query_params, queryset=queryset, request=self.request)
        if filters.is_valid():
            found: QuerySet = filters.qs
            return found
        raise Invalid(
            errors=[
                FieldProblem("", error.code or "invalid", " ".join(error.messages), parameter=name)
                for name, errors in filters.errors.as_data().items()
                for error in errors
            ]
        )

    def _refuse_unknown_parameters(self, request: Request) -> None:
        unknown = sorted(set(request.query_params) - self.op.query_names)
        if unknown:
            detail = "This parameter is not known here."
            raise Invalid(errors=[FieldProblem("", "unknown_parameter", detail, name) for name in unknown])


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
        )


class PersonView(ApiView):
    """A route of the signed-in person, outside any organisation.

    `scope` names for each method the scope that the token needs, "" for any valid token. Idempotency keys
    belong to an organisation: a POST here is EXEMPT and repeats safely by its own rule.
    """

    scope: ClassVar[Mapping[str, str]] = {}

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
