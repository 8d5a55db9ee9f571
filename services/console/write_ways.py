"""What becomes of a session that is written: copied under another name, put aside, taken up again."""

from __future__ import annotations

from typing import Any, ClassVar, Final
from uuid import UUID

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from programming.api.template_views import (
    RevisionsView,
    TemplateArchiveView,
    TemplateCopiesView,
    TemplateRestoreView,
    TemplateView,
)
from programming.queries import revisions_visible_to, templates_visible_to
from services.console import answers
from services.console.my_send import ask
from services.console.page import OrganisationPage
from services.console.words import short_day
from services.console.write_home import NameForm

MOST: Final = 50
"""Revisions that are offered, the newest."""


class CopyForm(NameForm):
    revision = forms.ChoiceField(label="What is copied", required=False)

    def __init__(self, data: Any = None, *, revisions: list[tuple[str, str]]) -> None:
        super().__init__(data, label_suffix="")
        self.fields["revision"] = forms.ChoiceField(
            label="What is copied", required=False, choices=[("", "the draft, as it is now"), *revisions]
        )


class CopyPage(OrganisationPage):
    """Another session begins as this one is, or as one of its revisions was."""

    shows = (TemplateView, RevisionsView)
    does = {"POST": TemplateCopiesView}
    place = "write"

    def get(self, request: HttpRequest, organisation: UUID, template: UUID) -> HttpResponse:
        row = answers.found_or_404(templates_visible_to(self.member), template)
        return self._page(row, CopyForm(revisions=self._revisions(row)))

    def post(self, request: HttpRequest, organisation: UUID, template: UUID) -> HttpResponse:
        row = answers.found_or_404(templates_visible_to(self.member), template)
        form = CopyForm(request.POST, revisions=self._revisions(row))
        if not form.is_valid():
            return self._page(row, form, 400)
        body = {"name": form.cleaned_data["name"], "revision": form.cleaned_data["revision"] or None}
        answer = ask(request, reverse("template-copies", args=[organisation, template]), body)
        if answer.stored:
            return redirect(self.address("template", answer.told["id"]))
        told = [one["detail"] for one in answer.told.get("errors", [])]
        form.add_error("name", " ".join(told) or answer.told["detail"])
        return self._page(row, form, answer.status)

    def _revisions(self, row: Any) -> list[tuple[str, str]]:
        rows = revisions_visible_to(self.member).filter(template=row, location=None).order_by("-number")
        found = rows.values_list("id", "number", "created_at")[:MOST]
        return [(str(id_), f"revision {number}, {short_day(made.date())}") for id_, number, made in found]

    def _page(self, row: Any, form: CopyForm, status: int = 200) -> HttpResponse:
        return self.show(
            "console/write_copy.html",
            status,
            name=row.name,
            back=self.address("template", row.id),
            form=form,
            may=self.open_to(self.member, "POST"),
        )


class AsidePage(OrganisationPage):
    """Asked once more, since the session leaves the list."""

    shows = (TemplateView,)
    does = {"POST": TemplateArchiveView}
    place = "write"
    route: ClassVar[str] = "archive-template"
    back: ClassVar[bool] = False

    def get(self, request: HttpRequest, organisation: UUID, template: UUID) -> HttpResponse:
        return self._page(template)

    def post(self, request: HttpRequest, organisation: UUID, template: UUID) -> HttpResponse:
        answers.found_or_404(templates_visible_to(self.member), template)
        answer = ask(request, reverse(self.route, args=[organisation, template]), None)
        if answer.stored:
            return redirect(self.address("template", template) if self.back else self.address("write"))
        return self._page(template, answer.status, answer.told["detail"])

    def _page(self, template: UUID, status: int = 200, refused: str = "") -> HttpResponse:
        row = answers.found_or_404(templates_visible_to(self.member), template)
        return self.show(
            "console/write_aside.html",
            status,
            name=row.name,
            address=self.address("template", row.id),
            back=self.back,
            done=(row.archived_at is None) is self.back,
            refused=refused,
            may=self.open_to(self.member, "POST"),
        )


class TakenUpPage(AsidePage):
    does = {"POST": TemplateRestoreView}
    route = "restore-template"
    back = True
