"""Where a coach writes a session: as fields or as text, checked by the interface's own rules.

All of it works without a script; with one the check is made while somebody writes. What is checked, stored and
published goes to the routes of the interface, whose complaints stand beside the fields that they are about.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any, ClassVar, Final
from uuid import UUID

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse

from programming.api.catalogue_views import MovementsView, VariationsView
from programming.api.template_views import RevisionsView, TemplateView
from programming.calc.reader import child
from programming.queries import (
    movements_visible_to,
    revisions_visible_to,
    templates_visible_to,
    variations_visible_to,
)
from services.api.conditional import etag_of
from services.api.views import OrganisationView
from services.console import answers
from services.console.my_send import Answer, ask
from services.console.page import OrganisationPage
from services.console.words import short_day
from services.console.write_fields import Fault, Fields, labels, pointer_below, said_plainly
from services.console.write_form import AS_TEXT, Catalogue, Form, Written, document_in, without_blanks

MOST: Final = 20
"""Revisions shown, the newest."""
MISSING: Final = "This is missing."
"""The interface asks for a field to be added; on a page the field is there, and empty."""


class TemplatePage(OrganisationPage):
    """One template: its draft as fields, or as text where it holds more than they have place for."""

    shows: ClassVar[tuple[type[OrganisationView], ...]] = (
        *(TemplateView, RevisionsView, MovementsView, VariationsView),
    )
    does = {"PATCH": TemplateView, "POST": RevisionsView}
    place = "write"
    row: Any
    form: Form

    def get(self, request: HttpRequest, organisation: UUID, template: UUID) -> HttpResponse:
        self._read(template)
        values = self._values(self.row.draft) | {"name": self.row.name, "tag": etag_of(self.row)}
        stored = "Stored." if "stored" in request.GET else ""
        checked = self._check(self.row.draft) if stored else None
        return self._page(values, checked, said=stored)

    def post(self, request: HttpRequest, organisation: UUID, template: UUID) -> HttpResponse:
        self._read(template)
        values = {name: str(value) for name, value in request.POST.items()}
        do = values.get("do", "check")
        written: Written | str = self._written(values)
        if isinstance(written, str):
            return self._page(values, [("", written)], status=400)
        if do == "block":
            return self._page(values, None, spare=1)
        if do in ("text", "fields"):
            return self._other_way(values, written, do)
        if do in ("store", "publish"):
            return self._stored(values, written, publish=do == "publish")
        return self._page(values, self._check(written.document), written=written)

    def _read(self, template: UUID) -> None:
        actor = self.member
        self.row = answers.found_or_404(templates_visible_to(actor), template)
        movements = dict(movements_visible_to(actor).values_list("key", "name"))
        variations = variations_visible_to(actor).prefetch_related(None).values_list("key", "name")
        self.form = Form(Catalogue(movements, dict(variations)))

    def _values(self, document: Mapping[str, Any]) -> dict[str, str]:
        if self.form.fits(document):
            return self.form.filled(document)
        return {AS_TEXT: _as_text(document)}

    def _written(self, values: Mapping[str, str]) -> Written | str:
        """The document that was sent, or why there is none in what was typed."""
        if AS_TEXT not in values:
            return self.form.written(values)
        found = document_in(values[AS_TEXT])
        return found if isinstance(found, str) else Written(document=dict(found))

    def _other_way(self, values: Mapping[str, str], written: Written, do: str) -> HttpResponse:
        kept = {name: values[name] for name in ("name", "tag") if name in values}
        if do == "text":
            return self._page({**kept, AS_TEXT: _as_text(written.document)}, None)
        if not self.form.fits(written.document):
            said = "It holds more than the fields have place for, so it stays a text."
            return self._page(values, [("", said)])
        return self._page({**kept, **self.form.filled(written.document)}, None)

    def _check(self, document: Mapping[str, Any]) -> list[tuple[str, str]]:
        """(pointer into the document, what is wrong) by the interface's check; nothing is stored."""
        path = reverse("template-checks", args=[self.row.org_id])
        answer = ask(self.request, path, {"document": document})
        if "problems" in answer.told:
            return _complaints(answer.told["problems"], "/document")
        return _complaints(answer.told.get("errors", []), "/document") or [("", answer.told["detail"])]

    def _stored(self, values: dict[str, str], written: Written, *, publish: bool) -> HttpResponse:
        """Stored where it is not so already, and then published; refused, all that was typed stands there again."""
        name = values.get("name", "").strip()
        same = without_blanks(written.document) == without_blanks(self.row.draft) and name == self.row.name
        if not same or values.get("tag") != etag_of(self.row):
            path = reverse("template", args=[self.row.org_id, self.row.id])
            body = {"name": name, "draft": written.document}
            answer = ask(
                self.request, path, body, method="PATCH", headers={"If-Match": values.get("tag", "")}
            )
            if not answer.stored:
                return self._refused(values, answer, written)
            self.row = answers.found_or_404(templates_visible_to(self.member), self.row.id)
        here = self.address("template", self.row.id)
        if not publish:
            return HttpResponseRedirect(f"{here}?stored=1", status=303)
        path = reverse("revisions", args=[self.row.org_id, self.row.id])
        answer = ask(self.request, path, {"version": self.row.version})
        if answer.stored:
            return HttpResponseRedirect(self.address("place", answer.told["id"]), status=303)
        return self._refused({**values, "tag": etag_of(self.row)}, answer, written)

    def _refused(self, values: dict[str, str], answer: Answer, written: Written) -> HttpResponse:
        if answer.status == 412:
            self.row = answers.found_or_404(templates_visible_to(self.member), self.row.id)
            stored = self._values(self.row.draft)
            if AS_TEXT in values:
                stored = {AS_TEXT: _as_text(self.row.draft)}
            now = stored | {"name": self.row.name}
            tagged = {**values, "tag": etag_of(self.row)}
            return self._page(tagged, None, written=written, status=412, now=now)
        faults = _complaints(answer.told.get("errors", []), "/draft")
        if not faults:
            faults = [("", answer.told["detail"])]
        return self._page(values, faults, written=written, status=answer.status)

    def _page(
        self,
        values: Mapping[str, str],
        checked: Sequence[tuple[str, str]] | None,
        *,
        written: Written | None = None,
        status: int = 200,
        spare: int = 0,
        said: str = "",
        now: Mapping[str, str] | None = None,
    ) -> HttpResponse:
        """checked: what is wrong, None where nobody asked."""
        as_text = AS_TEXT in values
        places = written if written is not None else self.form.written(values)
        faults = [self._fault(at, detail, places, as_text=as_text) for at, detail in checked or ()]
        errors: dict[str, str] = {}
        for one in faults:
            errors[one.field] = f"{errors[one.field]} {one.detail}" if one.field in errors else one.detail
        fields = Fields(values, errors, now)
        if self.request.headers.get("HX-Request") == "true":
            asked = [] if as_text else [one for one in fields.everything() if one.name in values]
            return self.show("console/checked_live.html", checked=True, faults=faults, asked=asked)
        return self.show(
            "console/template.html",
            status,
            row=self.row.id,
            name=self.row.name,
            archived=self.row.archived_at is not None,
            may=self.open_to(self.member, "POST"),
            said=said,
            values=values,
            tag=values.get("tag") or etag_of(self.row),
            name_error=errors.get("name", ""),
            conflict=now is not None,
            stored_now="" if now is None else now.get(AS_TEXT, ""),
            name_now="" if now is None or now["name"] == values.get("name") else now["name"],
            checked=checked is not None,
            faults=faults,
            as_text=as_text,
            text=values.get(AS_TEXT, ""),
            second_work=child("", "blocks", 0, "work", 1),
            whole=fields.whole(rare=False),
            texts=fields.whole(rare=True),
            texts_open=any(one.error for one in fields.whole(rare=True)),
            blocks=[] if as_text else fields.blocks(spare),
            movements=sorted(self.form.catalogue.offered("movement")),
            variations=sorted(self.form.catalogue.offered("variation")),
            revisions=self._revisions(),
        )

    def _fault(self, at: str, detail: str, places: Written, *, as_text: bool) -> Fault:
        if as_text:
            return Fault(AS_TEXT, at or "the whole", said_plainly(detail))
        field = "name" if at == "#/name" else places.field_of(at)
        label = LABELS.get(field.rpartition("-")[2], "") or at
        return Fault(field, label, said_plainly(detail))

    def _revisions(self) -> list[tuple[int, str, str]]:
        rows = revisions_visible_to(self.member).filter(template=self.row, location=None)
        found = rows.order_by("-number").values_list("number", "created_at", "id")[:MOST]
        return [(number, short_day(made.date()), self.address("place", id_)) for number, made, id_ in found]


def _as_text(document: Mapping[str, Any]) -> str:
    return json.dumps(document, indent=2, ensure_ascii=False)


LABELS: Final = {**labels(), "name": "What you call it"}


def _complaints(listed: Sequence[Mapping[str, str]], below: str) -> list[tuple[str, str]]:
    """(place in the document, what is wrong); a place outside the document is left as the interface has it."""
    found = []
    for one in listed:
        pointer = one.get("pointer", "")
        inside = pointer.removeprefix("#").startswith(below)
        at = pointer_below(pointer, below) if inside else pointer
        what = next((word for word in ("movement", "variation") if word in at), "")
        is_name = one["code"] == "not_a_key" and what
        detail = MISSING if one["code"] == "missing_field" else one["detail"]
        found.append((at, f"No {what} is called so here; choose one of the list." if is_name else detail))
    return found
