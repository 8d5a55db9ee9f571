"""The shares of training that a coach wants, as a form; what is sent goes to the interface with what was read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar, Final
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from programming.api.group_views import GroupsView
from programming.calc.catalogue import PATTERNS
from programming.queries import groups_visible_to
from scoring.api.balance_serializers import BOOKED, DIVIDED
from scoring.api.balance_views import GroupTargetView, OrganisationTargetView
from scoring.balance import target_at
from services.api.conditional import ANY, etag_of
from services.api.views import OrganisationView
from services.console import answers
from services.console.balance_words import SAID, named
from services.console.my_fields import Field, number, typed
from services.console.my_send import ask
from services.console.page import OrganisationPage

NAMES: Final[Mapping[str, Sequence[str]]] = {
    "sets_by_quality": BOOKED,
    "sets_by_pattern": sorted(PATTERNS),
    "cyclical_by_quality": BOOKED,
}
WHAT_IS_WRONG: Final = {
    "max_value": "At most 100 %.",
    "min_value": "At least 0 %.",
    "wrong_type": "Write a number, for example 35.",
}
"""By code; the interface speaks of shares of 1."""


@dataclass(frozen=True)
class Shares:
    """One division: its fields, and what is wrong with all of them together."""

    title: str
    fields: Sequence[tuple[Field, str]]
    error: str


class Written:
    """Percentages as they were typed, as a body, and the complaints about it back at their fields."""

    def __init__(self, values: Mapping[str, str]) -> None:
        self.values = values
        self.places = {
            key: [name for name in NAMES[key] if typed(values, f"{key}-{name}")] for key in DIVIDED
        }

    def body(self) -> dict[str, list[dict[str, Any]]]:
        return {
            key: [{"name": name, "share": self._share(f"{key}-{name}")} for name in names]
            for key, names in self.places.items()
        }

    def _share(self, field: str) -> Any:
        """Of 1; what is no number is handed on, so that the interface says so."""
        value = number(self.values[field])
        return round(value / 100, 6) if isinstance(value, (int, float)) else value

    def errors(self, problem: Mapping[str, Any]) -> dict[str, str]:
        """By field, or by division where the shares together are wrong."""
        return dict(self._errors(problem.get("errors", [])))

    def _errors(self, listed: Sequence[Mapping[str, str]]) -> Iterator[tuple[str, str]]:
        for one in listed:
            key, _, rest = one.get("pointer", "").removeprefix("#/").partition("/")
            place = rest.partition("/")[0]
            if one["code"] == "sum_not_one":
                yield key, f"They add up to {self._sum(key):g} %; together they must be 100 %."
            elif place.isdigit():
                name = self.places[key][int(place)]
                yield f"{key}-{name}", WHAT_IS_WRONG.get(one["code"], one["detail"])
            else:
                yield key, one["detail"]

    def _sum(self, key: str) -> float:
        typed_in = (number(self.values[f"{key}-{name}"]) for name in self.places[key])
        return round(sum(value for value in typed_in if isinstance(value, (int, float))), 2)


def shown(shares: Mapping[str, Mapping[str, float]]) -> dict[str, str]:
    """Stored shares as percentages in their fields."""
    return {
        f"{key}-{name}": f"{round(100 * share, 4):g}"
        for key in DIVIDED
        for name, share in shares.get(key, {}).items()
    }


class _TargetPage(OrganisationPage):
    shows: ClassVar[tuple[type[OrganisationView], ...]] = (OrganisationTargetView,)
    does: ClassVar[Mapping[str, type[OrganisationView]]] = {"PUT": OrganisationTargetView}
    place = "balance"
    route: ClassVar[str] = "balance-target"
    group: Any = None

    def form(self) -> HttpResponse:
        row = self._row()
        return self._page({} if row is None else shown(row.shares), self._tag(row))

    def sent(self, *args: UUID) -> HttpResponse:
        """To the interface; a refusal shows the form again with all that was typed."""
        values = {name: str(value) for name, value in self.request.POST.items()}
        written, tag = Written(values), values.get("tag", "")
        condition = {"If-Match": tag} if tag else {"If-None-Match": ANY}
        path = reverse(self.route, args=args)
        answer = ask(self.request, path, written.body(), method="PUT", headers=condition)
        if answer.stored:
            return redirect(self.address("balance"))
        row = self._row()
        if answer.status == 412:
            now = {} if row is None else shown(row.shares)
            return self._page(values, self._tag(row), status=412, now=now)
        errors = written.errors(answer.told)
        general = "" if errors else answer.told["detail"]
        return self._page(values, tag, status=answer.status, errors=errors, general=general)

    def _row(self) -> Any:
        return target_at(None if self.group is None else self.group.id)

    def _tag(self, row: Any) -> str:
        return "" if row is None else etag_of(row)

    def _page(
        self,
        values: Mapping[str, str],
        tag: str,
        *,
        status: int = 200,
        errors: Mapping[str, str] | None = None,
        general: str = "",
        now: Mapping[str, str] | None = None,
    ) -> HttpResponse:
        """now: what is stored meanwhile, where somebody else was faster."""
        may = self.open_to(self.member, "POST")
        return self.show(
            "console/target.html",
            status,
            whom="everybody" if self.group is None else self.group.name,
            of_group=self.group is not None,
            books=[_shares_of(key, values, errors or {}, now) for key in DIVIDED],
            tag=tag,
            conflict=now is not None,
            wrong=bool(errors),
            general=general,
            may=may,
        )


def _shares_of(
    key: str, values: Mapping[str, str], errors: Mapping[str, str], now: Mapping[str, str] | None
) -> Shares:
    fields = []
    for name in NAMES[key]:
        own = f"{key}-{name}"
        field = Field(own, named(name), values.get(own, ""), errors.get(own, ""), after="%")
        stored = "" if now is None or now.get(own, "") == typed(values, own) else now.get(own) or "nothing"
        fields.append((field, stored))
    return Shares(SAID[key], fields, errors.get(key, ""))


class TargetPage(_TargetPage):
    """Of the organisation."""

    def get(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        return self.form()

    def post(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        return self.sent(organisation)


class GroupTargetPage(_TargetPage):
    shows = (GroupsView, GroupTargetView)
    does = {"PUT": GroupTargetView}
    route = "group-balance-target"

    def get(self, request: HttpRequest, organisation: UUID, group: UUID) -> HttpResponse:
        self._find(group)
        return self.form()

    def post(self, request: HttpRequest, organisation: UUID, group: UUID) -> HttpResponse:
        self._find(group)
        return self.sent(organisation, group)

    def _find(self, group: UUID) -> None:
        self.group = answers.found_or_404(groups_visible_to(self.member), group)
