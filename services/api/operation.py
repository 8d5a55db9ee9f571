"""The declaration of an operation: the runtime enforces it, and the OpenAPI document is made from it."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from django_filters import FilterSet
from drf_spectacular.utils import OpenApiParameter
from rest_framework.serializers import BaseSerializer

from services.problems import DomainError
from services.tenancy.actor import Role

METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE")


class Idempotency(StrEnum):
    """What a POST does with the header `Idempotency-Key`."""

    REQUIRED = "required"
    HONOURED = "honoured"
    LENIENT = "lenient"  # honoured, but never a reason to refuse: a bad key, or one of something else, is passed over
    EXEMPT = "exempt"  # the answer holds a secret, which must not be stored


@dataclass(frozen=True, slots=True)
class Access:
    """Who may call a method: any of the roles, with a token that has the scope."""

    roles: frozenset[Role]
    scope: str


@dataclass(frozen=True, slots=True)
class Operation:
    """One method of one view.

    id          operationId, verb first ("list_movements"); unique in the document
    input       InputSerializer of the body, None for no body
    output      OutputSerializer of a success, None for no content; of each item when `paged`
    content_type
                media type of a success that is no JSON ("text/calendar"); `output` is None then
    text_types  media types beside JSON whose whole body is one text ("text/csv"); each needs a parser
    status      of a success
    stored_before
                a repeated `client_id` with the same content is answered by 200 and what is stored
    paged       the answer is a keyset page; `limit` and `cursor` are accepted
    filters     FilterSet whose names are accepted as query parameters
    parameters  further query parameters; any other one is refused with 400
    idempotency for POST
    if_match    the header is required (428), and `expected_version` compares it (412)
    etag        a success carries an ETag, and GET answers If-None-Match
    errors      problems beyond those that follow from the rest of the declaration
    request_example, response_example
                valid instances of the schemas; a test checks them
    """

    id: str
    input: type[BaseSerializer] | None = None
    output: type[BaseSerializer] | None = None
    content_type: str = ""
    text_types: tuple[str, ...] = ()
    status: int = 200
    stored_before: bool = False
    paged: bool = False
    filters: type[FilterSet] | None = None
    parameters: tuple[OpenApiParameter, ...] = ()
    idempotency: Idempotency = Idempotency.HONOURED
    if_match: bool = False
    etag: bool = False
    errors: tuple[type[DomainError], ...] = ()
    request_example: Any = None
    response_example: Any = None
    tags: tuple[str, ...] = field(default=())

    @property
    def query_names(self) -> frozenset[str]:
        names = {parameter.name for parameter in self.parameters}
        if self.paged:
            names |= {"limit", "cursor"}
        if self.filters is not None:
            names |= set(self.filters.get_filters())
        return frozenset(names)
