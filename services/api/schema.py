"""The OpenAPI document follows from the declarations: nothing about an operation is written down twice."""

from __future__ import annotations

import re
from typing import Any

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, OpenApiResponse
from rest_framework import serializers

from services import problems
from services.api import errors
from services.api.base_view import ApiView
from services.api.fields import StrictField
from services.api.handler import PROBLEM_TYPE
from services.api.operation import Idempotency, Operation
from services.api.pagination import DEFAULT_LIMIT, MAX_LIMIT
from services.api.schema_parts import ProblemOutput, filter_parameters, header, page_of
from services.api.serializers import InputSerializer
from services.api.views import OrganisationView, PersonView, PublicView

Kind = type[problems.DomainError]
_SENTENCE_END = re.compile(r"(?<=[.:;]) ")
CHANGE_FROM = (
    "ETag of the version that the change starts from; of an entry of a list it is its id and version: "
    '"{id}-{version}".'
)


class OperationSchema(AutoSchema):
    """Reads `view.operation[method]`; serves views of `services.api.views` only."""

    view: ApiView  # type: ignore[override]
    method: str

    @property
    def op(self) -> Operation:
        return self.view.operation[self.method]

    def is_excluded(self) -> bool:
        return not isinstance(self.view, ApiView)

    def get_operation_id(self) -> str:
        return self.op.id

    def get_summary(self) -> str:
        """The first sentence, wherever its lines break."""
        first = " ".join(self._text().split("\n\n")[0].split())
        return _SENTENCE_END.split(first)[0].rstrip(".:;")

    def get_description(self) -> str:  # type: ignore[override]
        lines = [self._text()]
        if isinstance(self.view, OrganisationView):
            lines.append(f"Roles: {', '.join(self._roles())}.")
        own = [
            kind for kind in self.op.errors if kind.code not in {general.code for general in self._general()}
        ]
        lines += [f"`{kind.code}` ({kind.status}): {_sentence(kind)}" for kind in own]
        return "\n\n".join(line for line in lines if line)

    def _text(self) -> str:
        return str(super().get_description() or "")

    def get_tags(self) -> list[str]:
        if self.op.tags:
            return list(self.op.tags)
        steps = [step for step in self.path.strip("/").split("/") if not step.startswith("{")][2:]
        inside = steps[1:] if isinstance(self.view, OrganisationView) and len(steps) > 1 else steps
        return inside[:1]

    def get_auth(self) -> list[dict[str, list[str]]]:
        if isinstance(self.view, OrganisationView):
            return [{"bearer": [self.view.access[self.method].scope]}]
        if isinstance(self.view, PersonView):
            scope = self.view.scope[self.method]
            return [{"bearer": [scope] if scope else []}]
        return []

    def get_extensions(self) -> dict[str, Any]:
        return {"x-roles": self._roles()} if isinstance(self.view, OrganisationView) else {}

    def _roles(self) -> list[str]:
        assert isinstance(self.view, OrganisationView)
        return sorted(str(role) for role in self.view.access[self.method].roles)

    def get_request_serializer(self) -> Any:
        if not self.op.text_types:
            return self.op.input
        return {"application/json": self.op.input, **dict.fromkeys(self.op.text_types, OpenApiTypes.STR)}

    def get_response_serializers(self) -> Any:
        op = self.op
        body = page_of(op.output) if op.paged and op.output else op.output  # type: ignore[arg-type]
        success = OpenApiResponse(body, description=f"The operation {op.id} was carried out.")
        responses: dict[Any, Any] = {op.status: success}
        if op.content_type:
            told = OpenApiTypes.STR if op.content_type.startswith("text/") else OpenApiTypes.BINARY
            responses = {(op.status, op.content_type): OpenApiResponse(told, description=success.description)}
        if op.stored_before:
            responses[200] = OpenApiResponse(body, description="This `client_id` is stored already.")
        if self.method == "GET" and op.etag:
            responses[304] = OpenApiResponse(None, description="Unchanged since the ETag in If-None-Match.")
        by_status: dict[int, list[Kind]] = {}
        for kind in [*self._general(), *op.errors]:
            by_status.setdefault(kind.status, []).append(kind)
        for status, kinds in sorted(by_status.items()):
            codes = ", ".join(dict.fromkeys(f"`{kind.code}`" for kind in kinds))
            responses[status, PROBLEM_TYPE] = OpenApiResponse(ProblemOutput, description=f"{codes}.")
        return responses

    def _general(self) -> list[Kind]:
        """The problems that follow from the declaration alone."""
        op, writes = self.op, self.method != "GET"
        keyed = self.method == "POST" and op.idempotency is not Idempotency.EXEMPT
        strict = op.idempotency is not Idempotency.LENIENT
        chosen: list[tuple[bool, list[Kind]]] = [
            (True, [problems.Invalid, problems.BadRequest, problems.DomainError, problems.Unavailable]),
            (not isinstance(self.view, PublicView), [problems.NotAuthenticated]),
            (isinstance(self.view, OrganisationView), [problems.Forbidden, errors.InsufficientScope]),
            (isinstance(self.view, PersonView) and bool(self._scope()), [errors.InsufficientScope]),
            ("{" in self.path, [problems.NotFound]),
            (op.paged, [errors.InvalidCursor]),
            (op.input is not None, [problems.TooLarge, problems.UnsupportedMediaType]),
            (writes, [problems.Conflict, problems.Unprocessable]),
            (keyed, [errors.RequestInProgress]),
            (keyed and strict, [errors.IdempotencyKeyInvalid, errors.IdempotencyKeyReused]),
            (keyed and op.idempotency is Idempotency.REQUIRED, [errors.IdempotencyKeyMissing]),
            (op.if_match, [problems.PreconditionFailed, problems.PreconditionRequired]),
            (bool(self.view.throttle_classes), [problems.TooManyRequests]),
        ]
        return [kind for applies, kinds in chosen if applies for kind in kinds]

    def _scope(self) -> str:
        return self.view.scope[self.method] if isinstance(self.view, PersonView) else ""

    def get_override_parameters(self) -> list[Any]:
        op = self.op
        found = [*op.parameters, *filter_parameters(op), *self._request_headers(), *self._response_headers()]
        if op.paged:
            limit = {"type": "integer", "minimum": 1, "maximum": MAX_LIMIT, "default": DEFAULT_LIMIT}
            found.append(OpenApiParameter("limit", limit, description="Size of the page."))
            found.append(
                OpenApiParameter("cursor", str, description="From `next` of the page before; opaque.")
            )
        return found

    def _request_headers(self) -> list[OpenApiParameter]:
        op, found = self.op, []
        if self.method == "POST" and op.idempotency is not Idempotency.EXEMPT:
            found.append(
                header(
                    "Idempotency-Key",
                    "Made for this submission; a repetition with the key gets the first answer, for 7 days.",
                    required=op.idempotency is Idempotency.REQUIRED,
                    schema={
                        "type": "string",
                        "minLength": 16,
                        "maxLength": 128,
                        "pattern": "^[\\x21-\\x7e]+$",
                    },
                )
            )
        if op.if_match:
            found.append(header("If-Match", CHANGE_FROM, required=True))
        if op.etag and self.method == "GET":
            found.append(header("If-None-Match", "ETag of the version that is already known."))
        return found

    def _response_headers(self) -> list[OpenApiParameter]:
        op, success = self.op, [self.op.status]
        found = [header("Request-Id", "Identifier of this request in the logs.", on=True)]
        if op.etag:
            found.append(header("ETag", "Version of the representation.", on=success))
        if op.status == 201:
            found.append(header("Location", "Path of what was made.", on=success))
        if op.paged:
            found.append(header("Link", 'The next page, rel="next".', on=success))
        if self.method == "POST" and op.idempotency is not Idempotency.EXEMPT:
            found.append(header("Idempotency-Replayed", "`true` on a repeated answer.", on=success))
        return found

    def get_examples(self) -> list[OpenApiExample]:
        op, found = self.op, []
        if op.request_example is not None:
            found.append(OpenApiExample("request", op.request_example, request_only=True))
        if op.response_example is not None:
            value = op.response_example
            shown = {"items": [value], "next": None} if op.paged else value
            found.append(OpenApiExample("response", shown, response_only=True, status_codes=[str(op.status)]))
        return found

    def _is_list_view(self, serializer: Any = None) -> bool:
        """A list is declared by `paged`, never guessed."""
        return False

    def _map_basic_serializer(self, serializer: Any, direction: str) -> Any:
        schema: Any = super()._map_basic_serializer(  # type: ignore[no-untyped-call]
            serializer, direction
        )
        if isinstance(serializer, InputSerializer) or (
            isinstance(serializer, type) and issubclass(serializer, InputSerializer)
        ):
            schema["additionalProperties"] = False
        return schema

    def _get_serializer_field_meta(self, field: Any, direction: str) -> Any:
        meta: Any = super()._get_serializer_field_meta(  # type: ignore[no-untyped-call]
            field, direction
        )
        if (
            isinstance(field, StrictField)
            and isinstance(field, serializers.CharField)
            and not field.allow_blank
        ):
            meta["minLength"] = 1
        return meta


def _sentence(kind: Kind) -> str:
    return " ".join((kind.__doc__ or "").split())
