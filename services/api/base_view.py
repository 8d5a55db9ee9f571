"""The life of a request under /api/, and what a handler needs to read and to answer it."""

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
from services.api.chunked import CODED
from services.api.filters import said
from services.api.operation import METHODS, Operation
from services.api.pagination import KeysetPage, read_limit
from services.api.parsers import IgnoreAccept, StrictJSONParser, StrictJSONRenderer
from services.problems import BadRequest, FieldProblem, Invalid, MethodNotAllowed, NotFound

ModelT = TypeVar("ModelT", bound=Model)


class ApiView(APIView):
    """Derive from OrganisationView, PersonView or PublicView of `services.api.views`, not from this class."""

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
        self.refuse_unknown_parameters(request)
        if self.op.if_match:
            conditional.require_if_match(request.headers)
        self.prepare(**kwargs)
        self.refuse_unread_chunks(request)

    def authorise(self, request: Request) -> None:
        """Raise unless the caller may use this method, and enter the scope of the request."""
        raise NotImplementedError

    def prepare(self, *args: Any, **kwargs: Any) -> None:
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
        created: bool = True,
    ) -> Response:
        """The declared success with one representation; `location` is the path of what was made.

        `created` is False for what an earlier request with the same `client_id` has stored.
        """
        kind = output or self.op.output
        assert kind is not None, f"{self.op.id} declares no output"
        own = dict(headers or {})
        data = kind(row, context={"view": self}).data
        if self.op.etag:
            own["ETag"] = conditional.etag_of(
                row, [data[name] for name in getattr(kind, "beside_version", ())]
            )
        if location:
            own["Location"] = location
        status = self.op.status if created else 200
        return Response(data, status=status, headers=own)

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

    def refuse_unread_chunks(self, request: Request) -> None:
        """Refuse what would be read as an empty body though there is one. Raises BadRequest."""
        if CODED in request.META:
            raise BadRequest("The body's chunks cannot be read. Send it whole, with a Content-Length.")

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
                FieldProblem(
                    "", error.code or "invalid", said(filters.form.fields.get(name), error), parameter=name
                )
                for name, errors in filters.errors.as_data().items()
                for error in errors
            ]
        )

    def refuse_unknown_parameters(self, request: Request) -> None:
        unknown = sorted(set(request.query_params) - self.op.query_names)
        if unknown:
            detail = "This parameter is not known here."
            raise Invalid(errors=[FieldProblem("", "unknown_parameter", detail, name) for name in unknown])
