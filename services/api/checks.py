"""System checks: a route under /api/ without a declaration of its access does not start."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.core.checks import CheckMessage, Error, register
from django.urls import URLPattern, URLResolver, get_resolver
from drf_spectacular.views import SpectacularAPIView, SpectacularSwaggerView

from services.api.base_view import ApiView
from services.problems import PROBLEMS

_DOCUMENT_VIEWS = (SpectacularAPIView, SpectacularSwaggerView)


@register("api")
def check_routes(**_: Any) -> list[CheckMessage]:
    """api.E001: every route under /api/ is a view of ours, and each of its methods is declared."""
    messages: list[CheckMessage] = []
    for route, view in api_views(get_resolver()):
        if isinstance(view, type) and issubclass(view, _DOCUMENT_VIEWS):
            continue
        if not (isinstance(view, type) and issubclass(view, ApiView)):
            hint = "Derive it from OrganisationView, PersonView or PublicView of services.api.views."
            messages.append(Error(f"/{route} is served by {view}.", hint=hint, id="api.E001"))
            continue
        messages += [
            Error(f"/{route}: {fault}", hint="Declare it; see services.api.operation.", id="api.E001")
            for fault in view.undeclared()
        ]
    return messages


@register("api")
def check_problems(**_: Any) -> list[CheckMessage]:
    """api.E002: each problem code has an explanation, because its `type` leads to a page."""
    return [
        Error(f"The problem {code!r} has no explanation.", hint="Write the class's docstring.", id="api.E002")
        for code, kind in PROBLEMS.items()
        if not kind.explanation
    ]


def api_views(resolver: URLResolver, prefix: str = "") -> Iterator[tuple[str, Any]]:
    """(route template, view class or function) of every route under api/."""
    for entry in resolver.url_patterns:
        route = prefix + str(entry.pattern)
        if isinstance(entry, URLResolver):
            yield from api_views(entry, route)
        elif isinstance(entry, URLPattern) and route.startswith("api/"):
            callback: Any = entry.callback
            yield route, getattr(callback, "cls", None) or getattr(callback, "view_class", callback)
