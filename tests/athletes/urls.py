"""The athletes' routes alone, with a document of their own."""

from __future__ import annotations

from functools import cache

from django.urls import include, path
from drf_spectacular.generators import SchemaGenerator

from athletes.api.urls import urlpatterns as athletes_patterns
from services.api.handler import handler400, handler403, handler404, handler500  # noqa: F401
from services.api.urls import urlpatterns as problem_patterns
from tests.support.api import Document

urlpatterns = [
    *problem_patterns,
    path("api/v1/organisations/<uuid:organisation>/", include(athletes_patterns)),
]


@cache
def document() -> Document:
    """What these routes promise, as the generator describes them now."""
    return Document(SchemaGenerator(urlconf="tests.athletes.urls").get_schema(public=True))
