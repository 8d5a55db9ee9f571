"""Training balance of an athlete and of a group: what was planned and done beside the shares that are wanted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar, Final
from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpRequest, HttpResponse

from athletes.api.athlete_views import AthleteView
from athletes.calc.external_load import HARD_RESERVE
from athletes.queries import athletes_visible_to
from programming.api.group_views import GroupsView
from programming.queries import groups_visible_to
from scoring.api.balance_serializers import DIVIDED, BalanceOutput
from scoring.api.balance_views import (
    AthleteBalanceView,
    GroupBalanceView,
    GroupTargetView,
    OrganisationTargetView,
    balance_of_athlete,
    balance_of_group,
)
from scoring.balance import targets_written
from services.api.views import OrganisationView
from services.console import answers
from services.console.balance_chart import balance_chart
from services.console.balance_words import (
    SAID,
    UNIT,
    Row,
    Window,
    chart_said,
    counted_said,
    named,
    row_of,
    target_said,
)
from services.console.charts import drawn
from services.console.page import OrganisationPage
from services.problems import Invalid, NotFound

ASKED: Final = ("from_date", "until_date", "group")
BESIDE: Final = 3
"""Panels side by side, where there is room for them."""


@dataclass(frozen=True)
class Book:
    """One division of the work, as picture and table; chart: where its picture is, "" where nothing is booked."""

    key: str
    title: str
    unit: str
    rows: Sequence[Row]
    chart: str
    narrow: str
    told: str


class BalanceHome(OrganisationPage):
    """Whose balance can be looked at, and which shares are wanted of whom."""

    shows = (GroupsView, OrganisationTargetView, GroupTargetView, GroupBalanceView)
    place = "balance"
    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        written = targets_written()
        groups = groups_visible_to(self.member).order_by("name", "id").values_list("id", "name")
        return self.show(
            "console/balance_home.html",
            of_all=None in written,
            target=self.address("balance-target"),
            groups=[
                (name, self.address("group-balance", id_), self.address("group-target", id_), id_ in written)
                for id_, name in groups
            ],
        )


class _OfSomebody(OrganisationPage):
    """Of an athlete or of a group, `whose`; what is asked stands in the query."""

    shows: ClassVar[tuple[type[OrganisationView], ...]] = (GroupsView,)
    place = "balance"
    http_method_names = ["get", "head"]
    picture: ClassVar[str]
    whose: Any

    def told(self, asked: Mapping[str, str]) -> Mapping[str, Any]:
        """What the interface answers. Raises Invalid."""
        raise NotImplementedError

    def heading(self) -> dict[str, Any]:
        raise NotImplementedError

    def asked(self) -> dict[str, str]:
        """What was chosen; a field that was left empty asks for nothing."""
        return {name: value for name in ASKED if (value := self.request.GET.get(name, "").strip())}

    def page(self) -> HttpResponse:
        asked = self.asked()
        try:
            told = BalanceOutput(self.told(asked)).data
        except Invalid as error:
            window = Window(asked, {one.parameter: one.detail for one in error.errors})
            return self.show("console/balance.html", error.status, window=window, **self.heading())
        window = Window({**asked, **{name: told[name] for name in ("from_date", "until_date")}})
        return self.show(
            "console/balance.html",
            window=window,
            counted=counted_said(told),
            target=target_said(told),
            hard=f"{HARD_RESERVE:g}",
            books=[self._book(key, told[key], window.values) for key in DIVIDED],
            **self.heading(),
        )

    def chart(self) -> HttpResponse:
        """One picture; `of` says which division, `narrow` asks for one panel below the other. Raises NotFound."""
        told = BalanceOutput(self.told(self.asked())).data
        key = self.request.GET.get("of", DIVIDED[0])
        lines = [{**line, "said": named(line["name"])} for line in told[key]] if key in DIVIDED else []
        if not lines:
            raise NotFound()
        columns = 1 if "narrow" in self.request.GET else BESIDE
        picture = drawn(balance_chart(lines, unit=UNIT[key], columns=columns))
        return HttpResponse(picture, content_type="image/svg+xml")

    def _book(self, key: str, lines: Sequence[Mapping[str, Any]], asked: Mapping[str, str]) -> Book:
        rows = [row_of(line, key) for line in lines]
        query = {**{name: asked[name] for name in ASKED if asked.get(name)}, "of": key}
        picture = self.address(self.picture, self.whose.id)
        return Book(
            key=key,
            title=SAID[key],
            unit=UNIT[key],
            rows=rows,
            chart=f"{picture}?{urlencode(query)}",
            narrow=f"{picture}?{urlencode({**query, 'narrow': 1})}",
            told=chart_said(rows),
        )


class OfAthlete(_OfSomebody):
    shows = (AthleteView, AthleteBalanceView, GroupsView)
    place = "athletes"
    picture = "athlete-balance-chart"

    def find(self, athlete: UUID) -> None:
        self.whose = answers.found_or_404(athletes_visible_to(self.member), athlete)

    def told(self, asked: Mapping[str, str]) -> Mapping[str, Any]:
        return balance_of_athlete(self.member, self.whose, asked)

    def heading(self) -> dict[str, Any]:
        groups = groups_visible_to(self.member).order_by("name", "id").values_list("id", "name")
        return {
            "name": self.whose.name,
            "back": self.address("athlete", self.whose.id),
            "back_title": self.whose.name,
            "groups": [(str(id_), name) for id_, name in groups],
        }


class AthleteBalancePage(OfAthlete):
    def get(self, request: HttpRequest, organisation: UUID, athlete: UUID) -> HttpResponse:
        self.find(athlete)
        return self.page()


class AthleteBalanceChart(OfAthlete):
    def get(self, request: HttpRequest, organisation: UUID, athlete: UUID) -> HttpResponse:
        self.find(athlete)
        return self.chart()


class OfGroup(_OfSomebody):
    shows = (GroupsView, GroupBalanceView)
    picture = "group-balance-chart"

    def find(self, group: UUID) -> None:
        self.whose = answers.found_or_404(groups_visible_to(self.member), group)

    def told(self, asked: Mapping[str, str]) -> Mapping[str, Any]:
        return balance_of_group(self.member, self.whose.id, asked)

    def heading(self) -> dict[str, Any]:
        return {
            "name": self.whose.name,
            "back": self.address("balance"),
            "back_title": "Balance",
            "of_group": True,
        }


class GroupBalancePage(OfGroup):
    def get(self, request: HttpRequest, organisation: UUID, group: UUID) -> HttpResponse:
        self.find(group)
        return self.page()


class GroupBalanceChart(OfGroup):
    def get(self, request: HttpRequest, organisation: UUID, group: UUID) -> HttpResponse:
        self.find(group)
        return self.chart()
