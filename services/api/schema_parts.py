"""Parts of the OpenAPI document that are the same for many operations."""

from __future__ import annotations

from functools import cache
from typing import Any

from django_filters import filters
from drf_spectacular.plumbing import get_lib_doc_excludes
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, inline_serializer
from rest_framework import serializers

from services.api.operation import Operation
from services.api.serializers import InputSerializer, OutputSerializer

_FILTER_TYPES: tuple[tuple[type[filters.Filter], OpenApiTypes], ...] = (
    (filters.UUIDFilter, OpenApiTypes.UUID),
    (filters.ModelChoiceFilter, OpenApiTypes.UUID),
    (filters.BooleanFilter, OpenApiTypes.BOOL),
    (filters.DateTimeFilter, OpenApiTypes.DATETIME),
    (filters.IsoDateTimeFilter, OpenApiTypes.DATETIME),
    (filters.DateFilter, OpenApiTypes.DATE),
    (filters.NumberFilter, OpenApiTypes.NUMBER),
)


def classes_without_description() -> list[type]:
    """Their docstrings are for those who write the service, not for those who read the document."""
    return [*get_lib_doc_excludes(), InputSerializer, OutputSerializer]


class FieldProblemOutput(OutputSerializer):
    """One fault: `pointer` into the body, or `parameter` for a query parameter."""

    pointer = serializers.CharField(required=False)
    parameter = serializers.CharField(required=False)
    code = serializers.CharField()
    detail = serializers.CharField()


class ProblemOutput(OutputSerializer):
    """What went wrong and what to do about it (RFC 9457)."""

    type = serializers.CharField(help_text="Address of the page that explains the code.")
    title = serializers.CharField()
    status = serializers.IntegerField()
    detail = serializers.CharField(help_text="What to do.")
    instance = serializers.CharField(help_text="URN of the request, as in the header Request-Id.")
    code = serializers.CharField(help_text="Stable; made for programs.")
    errors = FieldProblemOutput(many=True, required=False)  # type: ignore[assignment]


@cache
def page_of(output: type[serializers.BaseSerializer]) -> serializers.Serializer:
    """The body of a page; one class for each item class, so that the document names it once."""
    name = output.__name__.removesuffix("Serializer")
    return inline_serializer(
        name=f"{name}Page",
        fields={
            "items": output(many=True),
            "next": serializers.CharField(allow_null=True, help_text="Address of the next page, or null."),
        },
    )


def filter_parameters(op: Operation) -> list[OpenApiParameter]:
    if op.filters is None:
        return []
    return [
        OpenApiParameter(
            name,
            next((kind for cls, kind in _FILTER_TYPES if isinstance(one, cls)), OpenApiTypes.STR),
            required=bool(one.extra.get("required")),
            enum=[value for value, _ in one.extra["choices"]] if "choices" in one.extra else None,
            description=str(one.extra.get("help_text") or one.label or ""),
        )
        for name, one in op.filters.get_filters().items()
    ]


def header(
    name: str, description: str, *, required: bool = False, schema: Any = str, on: Any = False
) -> OpenApiParameter:
    return OpenApiParameter(
        name, schema, OpenApiParameter.HEADER, required=required, description=description, response=on
    )
