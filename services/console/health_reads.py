"""Who read what about whose health: for the owner, newest first. That something was read, never what stood there."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlencode
from uuid import UUID
from zoneinfo import ZoneInfo

from django import forms
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse

from athletes.api.athlete_views import AthletesView
from athletes.api.health_views import HealthReadFilter, HealthReadsView
from athletes.health_reads import (
    HEART_RATE,
    LIMITATIONS,
    REPORTS,
    SCREENINGS,
    WELLNESS,
    health_reads_visible_to,
)
from athletes.queries import athletes_visible_to
from services.access.api.organisation_views import MembershipsView
from services.console import answers
from services.console.page import OrganisationPage
from services.console.words import local_time, short_day
from services.tenancy.actor import Actor
from services.tenancy.queries import memberships_visible_to

MOST: Final = 100
"""Shown at once."""
SAID: Final = {
    WELLNESS: "answers to the team's questions",
    REPORTS: "reports of pain and warning signs",
    LIMITATIONS: "limits",
    SCREENINGS: "screening",
    HEART_RATE: "heart rates",
}
ZONE: Final = "UTC"
"""An organisation has several clocks, so instants are told by none of them."""
GONE: Final = "somebody who is no member"
ASKED: Final = ("kind", "reader", "athlete")


@dataclass(frozen=True)
class Read:
    id: UUID
    when: str
    reader: str
    what: str
    athlete: str
    of_athlete: str
    """Address of what was read of this athlete."""


class ReadsForm(forms.Form):
    """What is shown; all of it where nothing is chosen."""

    kind = forms.ChoiceField(label="What", required=False, choices=[("", "everything"), *SAID.items()])
    reader = forms.ChoiceField(label="By whom", required=False)  # choices: the members
    athlete = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: Mapping[str, Any], readers: Mapping[str, str]) -> None:
        super().__init__(data, label_suffix="")
        chosen: Any = self.fields["reader"]
        chosen.choices = [("", "anybody"), *sorted(readers.items(), key=lambda one: one[1])]

    @property
    def asked(self) -> dict[str, str]:
        told = self.cleaned_data if self.is_valid() else {}
        return {name: str(told[name]) for name in ASKED if told.get(name)}


def reads_said(actor: Actor, rows: QuerySet[Any], most: int) -> list[Read]:
    """The newest (three queries for any number)."""
    found = list(rows.order_by("-created_at", "-id")[:most])
    readers = readers_of(actor)
    of = athletes_visible_to(actor).filter(id__in={row.athlete_id for row in found})
    names = dict(of.values_list("id", "name"))
    return [
        Read(
            id=row.id,
            when=when_said(row.created_at),
            reader=readers.get(str(row.reader_id), GONE),
            what=SAID[row.kind],
            athlete=names[row.athlete_id],
            of_athlete=f"?{urlencode({'athlete': row.athlete_id})}",
        )
        for row in found
    ]


def readers_of(actor: Actor) -> dict[str, str]:
    """Members by person, also those who may not come in any more."""
    rows = memberships_visible_to(actor).values_list("person_id", "person__name")
    return {str(person): name for person, name in rows}


def when_said(moment: dt.datetime) -> str:
    return f"{short_day(moment.astimezone(ZoneInfo(ZONE)).date())}, {local_time(moment, ZONE)} {ZONE}"


class HealthReadsPage(OrganisationPage):
    shows = (HealthReadsView, MembershipsView, AthletesView)
    place = "organisation"
    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        form = ReadsForm(request.GET, readers_of(self.member))
        rows: Any = answers.narrowed(HealthReadFilter, health_reads_visible_to(self.member), **form.asked)
        found = reads_said(self.member, self._from(rows), MOST + 1)
        shown = found[:MOST]
        more = len(found) > MOST
        return self.show(
            "console/health_reads.html",
            status=200 if form.is_valid() else 400,
            form=form,
            reads=shown,
            of=shown[0].athlete if shown and "athlete" in form.asked else "",
            asked=bool(form.asked) or "before" in request.GET,
            older=f"?{urlencode({**form.asked, 'before': shown[-1].id})}" if more else "",
            back=self.address("organisation"),
        )

    def _from(self, rows: QuerySet[Any]) -> QuerySet[Any]:
        """Older than the one that was the last of the page before; all where that is none of these."""
        try:
            before = rows.filter(id=UUID(self.request.GET.get("before", ""))).first()
        except ValueError:
            return rows
        if before is None:
            return rows
        at = before.created_at
        return rows.filter(Q(created_at__lt=at) | Q(created_at=at, id__lt=before.id))
