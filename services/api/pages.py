"""The pages that problem types lead to, and the documentation of the interface."""

from __future__ import annotations

from http import HTTPStatus

from csp.decorators import csp_update
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.decorators import method_decorator
from django.views.decorators.http import require_safe
from drf_spectacular.views import SpectacularSwaggerSplitView

from services.problems import PROBLEMS


@require_safe
def problem_list(request: HttpRequest) -> HttpResponse:
    """Every problem code, by status."""
    kinds = sorted(PROBLEMS.values(), key=lambda kind: (kind.status, kind.code))
    return render(request, "api/problems.html", {"kinds": kinds})


@require_safe
def problem(request: HttpRequest, code: str) -> HttpResponse:
    """What one code means and what to do about it."""
    kind = PROBLEMS.get(code)
    if kind is None:
        raise Http404(code)
    return render(request, "api/problem.html", {"kind": kind, "phrase": HTTPStatus(kind.status).phrase})


# Its style sheet draws its arrows from data in the sheet itself.
@method_decorator(csp_update({"img-src": ["data:"]}), name="dispatch")
class Documentation(SpectacularSwaggerSplitView):
    """The document to read and try; our template leaves out the inline style that the policy forbids."""

    template_name = "api/documentation.html"
