"""The sessions that are written, and a new one begun."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django import forms
from django.db.models import Max
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from programming.api.filters import TemplateFilter
from programming.api.template_views import RevisionsView, TemplatesView
from programming.queries import revisions_visible_to, templates_visible_to
from services.console import answers
from services.console.my_send import ask
from services.console.page import OrganisationPage
from services.console.words import short_day

MOST: Final = 200
"""Shown at once, the newest."""
BEGUN: Final[Mapping[str, Any]] = {
    "title": "",
    "quality": "",
    "blocks": [
        {
            "key": "main",
            "work": [],
            "rules": {
                "order": "in_sequence",
                "break": {"counts": "none"},
                "end": {"kind": "work_done"},
                "scored": "time",
                "tie_break": "none",
            },
            "aim": {"conditions": []},
        }
    ],
}
"""What a new session begins with."""


@dataclass(frozen=True)
class Listed:
    address: str
    name: str
    day: str
    published: str


class NameForm(forms.Form):
    name = forms.CharField(
        label="What you call it",
        max_length=120,
        help_text="For your list; the athletes read the title. At most 120 characters.",
    )


class WritePage(OrganisationPage):
    """The list of templates, and a new one."""

    shows = (TemplatesView, RevisionsView)
    does = {"POST": TemplatesView}
    place = "write"

    def get(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        return self._page(NameForm(label_suffix=""))

    def post(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        form = NameForm(request.POST, label_suffix="")
        if not form.is_valid():
            return self._page(form, 400)
        body = {"name": form.cleaned_data["name"], "draft": BEGUN}
        answer = ask(request, reverse("templates", args=[organisation]), body)
        if answer.stored:
            return redirect(self.address("template", answer.told["id"]))
        told = [one["detail"] for one in answer.told.get("errors", [])]
        form.add_error("name", " ".join(told) or answer.told["detail"])
        return self._page(form, answer.status)

    def _page(self, form: NameForm, status: int = 200) -> HttpResponse:
        aside = "aside" in self.request.GET
        rows: Any = answers.narrowed(TemplateFilter, templates_visible_to(self.member), archived=aside)
        rows = rows.order_by("-created_at", "-id")
        found = list(rows.defer("draft")[: MOST + 1])
        numbers = dict(
            revisions_visible_to(self.member)
            .filter(template__in=[row.id for row in found], location=None)
            .order_by()
            .values("template_id")
            .annotate(last=Max("number"))
            .values_list("template_id", "last")
        )
        return self.show(
            "console/write.html",
            status,
            form=form,
            aside=aside,
            may=self.open_to(self.member, "POST"),
            more=len(found) > MOST,
            templates=[
                Listed(
                    self.address("template", row.id),
                    row.name,
                    short_day(row.created_at.date()),
                    f"revision {numbers[row.id]}" if row.id in numbers else "not yet",
                )
                for row in found[:MOST]
            ],
        )
