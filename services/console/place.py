"""Placing a published revision: where, for whom and when, by the clock of the place."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any, Final
from uuid import UUID, uuid4

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from programming.api.group_views import GroupsView
from programming.api.session_views import SessionsView
from programming.api.template_views import RevisionView, TemplateView
from programming.calc.wall_time import at_wall_time
from programming.queries import groups_visible_to, revisions_visible_to, templates_visible_to
from services.access.api.organisation_views import LocationsView
from services.console import answers
from services.console.my_send import Answer, ask
from services.console.page import OrganisationPage
from services.tenancy.queries import locations_visible_to

FIELDS: Final = {"location": "location", "group": "group", "starts_at": "time"}
"""By field of the interface, the field of the form."""


class PlaceForm(forms.Form):
    day = forms.DateField(label="Day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    time = forms.TimeField(
        label="Time",
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        help_text="By the clock of the place.",
    )
    key = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, data: Any, locations: Mapping[str, str], groups: Mapping[str, str]) -> None:
        super().__init__(data, initial={"key": uuid4()}, label_suffix="")
        everybody = {"": "whoever trains there", **groups}
        self.fields["location"] = forms.ChoiceField(label="Where", choices=list(locations.items()))
        self.fields["group"] = forms.ChoiceField(
            label="For whom", required=False, choices=list(everybody.items())
        )


class PlacePage(OrganisationPage):
    shows = (RevisionView, TemplateView, LocationsView, GroupsView)
    does = {"POST": SessionsView}
    place = "write"
    revision: Any

    def get(self, request: HttpRequest, organisation: UUID, revision: UUID) -> HttpResponse:
        self._read(revision)
        return self._page(self._form(None))

    def post(self, request: HttpRequest, organisation: UUID, revision: UUID) -> HttpResponse:
        self._read(revision)
        form = self._form(request.POST)
        if not form.is_valid():
            return self._page(form, 400)
        told = form.cleaned_data
        when = at_wall_time(told["day"], told["time"], self.zones[told["location"]])
        if when.skipped:
            form.add_error(
                "time", "The clocks go forward then, and never show this time; choose another one."
            )
            return self._page(form, 400)
        answer = self._placed(told, when.instant)
        if answer.stored:
            return redirect(self.address("session", answer.told["id"]))
        for one in answer.told.get("errors", []):
            form.add_error(FIELDS.get(one.get("pointer", "").removeprefix("#/")), one["detail"])
        if not answer.told.get("errors"):
            form.add_error(None, answer.told["detail"])
        return self._page(form, answer.status)

    def _placed(self, told: Mapping[str, Any], starts_at: dt.datetime) -> Answer:
        """Once, also when the form is sent twice."""
        body = {
            "revision": str(self.revision.id),
            "location": told["location"],
            "group": told["group"] or None,
            "starts_at": starts_at.isoformat(),
        }
        path = reverse("scheduled-sessions", args=[self.revision.org_id])
        return ask(self.request, path, body, str(told["key"]))

    def _read(self, revision: UUID) -> None:
        self.revision = answers.found_or_404(revisions_visible_to(self.member), revision)
        self.template = answers.found_or_404(templates_visible_to(self.member), self.revision.template_id)
        rows = locations_visible_to(self.member).order_by("name", "id")
        self.locations = {
            str(id_): (name, zone) for id_, name, zone in rows.values_list("id", "name", "zone")
        }
        self.zones = {id_: zone for id_, (_, zone) in self.locations.items()}

    def _form(self, data: Any) -> PlaceForm:
        groups = groups_visible_to(self.member).filter(is_active=True).order_by("name", "id")
        return PlaceForm(
            data,
            {id_: f"{name} ({zone})" for id_, (name, zone) in self.locations.items()},
            {str(id_): name for id_, name in groups.values_list("id", "name")},
        )

    def _page(self, form: PlaceForm, status: int = 200) -> HttpResponse:
        return self.show(
            "console/place.html",
            status,
            form=form,
            may=self.open_to(self.member, "POST"),
            title=self.revision.title,
            number=self.revision.number,
            name=self.template.name,
            template_address=self.address("template", self.template.id),
        )
