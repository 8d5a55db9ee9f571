"""What a page says when it cannot be shown."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from services.problems import DomainError, NotFound

NOT_HERE: Final = {"title": "Not here", "detail": "There is no such page, or it is not for you to see."}
"""In place of what the interface says, which speaks of identifiers."""


def problem_page(
    request: HttpRequest, error: DomainError, frame: Mapping[str, Any] | None = None
) -> HttpResponse:
    """The same title, detail and remedy as the interface answers, with its status."""
    told = {"title": error.title, "detail": error.detail, "remedy": error.remedy}
    # A page's own 404 says what to do; that of the interface says no more than that there is nothing.
    context = {**(frame or {}), **(NOT_HERE if type(error) is NotFound else told)}
    response = render(request, "console/problem.html", context, status=error.status)
    for name, value in error.headers.items():
        response.headers[name] = value
    return response


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form that did not come from our page, or from one that is too old."""
    context = {
        "title": "This form has expired",
        "detail": "It was not sent from a page that you have open here, or you have signed in anew since.",
        "remedy": "Go back, load the page again, and send it once more. Nothing was stored.",
    }
    return render(request, "console/problem.html", context, status=403)
