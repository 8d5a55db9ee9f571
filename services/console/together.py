"""The load of the athletes of a location or a group, one line each, and nothing made of too few of them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar
from uuid import UUID

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from athletes.actions.support import local_date
from athletes.api.athlete_views import AthletesView
from athletes.api.load_summary_views import GroupLoadSummaryView, LocationLoadSummaryView
from athletes.calc.load import WEEK_DAYS, Figure
from athletes.load_told import DAY, summary_of_many
from athletes.participation import members_on
from athletes.queries import athletes_visible_to
from programming.api.group_views import GroupsView
from programming.queries import groups_visible_to
from services.access.api.organisation_views import LocationsView
from services.api.views import OrganisationView
from services.console import answers
from services.console.load_words import said, share
from services.console.page import OrganisationPage
from services.console.period import day_input, not_too_early
from services.console.words import counted, short_day
from services.tenancy.queries import locations_visible_to


class OnForm(forms.Form):
    on = forms.DateField(label="The week up to", widget=day_input())

    def __init__(self, data: Mapping[str, Any], *, today: dt.date) -> None:
        self.today = today
        super().__init__(
            {"on": (today - DAY).isoformat(), **{k: v for k, v in data.items() if v}}, label_suffix=""
        )

    def clean_on(self) -> dt.date:
        on: dt.date = self.cleaned_data["on"]
        not_too_early(on)
        if on > self.today:
            raise forms.ValidationError(f"Nothing is known of a day to come; today is {self.today}.")
        return on

    @property
    def day(self) -> dt.date:
        """Yesterday where what is asked cannot be meant."""
        found: dt.date = self.cleaned_data["on"] if self.is_valid() else self.today - DAY
        return found


@dataclass(frozen=True)
class Line:
    """An athlete's week in words."""

    address: str
    name: str
    days: str
    load: str
    change: str
    monotony: str
    recent: str
    usual: str


class TogetherPage(OrganisationPage):
    """Active athletes whom the reader may know of."""

    shows: ClassVar[tuple[type[OrganisationView], ...]] = (AthletesView,)
    place = "athletes"
    http_method_names = ["get", "head"]

    def shown(
        self, name: str, zone: str, athletes: QuerySet[Any], members_of: UUID | None = None
    ) -> HttpResponse:
        form = OnForm(self.request.GET.dict(), today=local_date(timezone.now(), zone))
        on = form.day
        if members_of is not None:
            athletes = athletes.filter(id__in=members_on(members_of, on).values("athlete_id"))
        rows = list(athletes.filter(is_active=True).order_by("name", "id").values_list("id", "name"))
        told = summary_of_many(rows, on)
        return self.show(
            "console/together.html",
            status=200 if form.is_valid() else 400,
            name=name,
            form=form,
            until=short_day(on),
            lines=[self._line(one) for one in told["athletes"]],
            silent=[one["name"] for one in told["athletes"] if not one["reported_days"]],
            known=_known(told["told"], len(rows)),
            median=_median(told["median_week_load_au"]),
            basis=told["basis"],
            divisor=WEEK_DAYS - told["ddof"],
        )

    def _line(self, one: Mapping[str, Any]) -> Line:
        return Line(
            address=self.address("athlete-load", one["athlete"]),
            name=one["name"],
            days=f"{one['reported_days']} of {WEEK_DAYS}",
            load=said(one["week_load_au"]),
            change=share(one["change"]),
            monotony=said(one["monotony"], 2),
            recent=said(one["weighted_acute"]),
            usual=said(one["weighted_chronic"]),
        )


def _known(told: int, of: int) -> str:
    return f"The whole week is known of {told} of {counted(of, 'athlete')}."


def _median(figure: Figure) -> str:
    if figure.value is None:
        return "Of fewer than five no median is told, since it would tell of single people."
    return f"Their median load is {figure.value:.0f} AU."


class LocationLoadPage(TogetherPage):
    shows = (*TogetherPage.shows, LocationLoadSummaryView, LocationsView)

    def get(self, request: HttpRequest, organisation: UUID, location: UUID) -> HttpResponse:
        row = answers.found_or_404(locations_visible_to(self.member), location)
        return self.shown(row.name, row.zone, athletes_visible_to(self.member).filter(location=row))


class GroupLoadPage(TogetherPage):
    shows = (*TogetherPage.shows, GroupLoadSummaryView, GroupsView)

    def get(self, request: HttpRequest, organisation: UUID, group: UUID) -> HttpResponse:
        rows: QuerySet[Any] = groups_visible_to(self.member).select_related("location")
        row = answers.found_or_404(rows, group)
        zone = "UTC" if row.location is None else row.location.zone
        return self.shown(row.name, zone, athletes_visible_to(self.member), row.id)
