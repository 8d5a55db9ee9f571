"""Who of a group changed for real in one movement, of those whom the reader may know of."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from athletes.api.progress_serializers import GroupMemberProgressOutput, VerdictCountOutput
from athletes.api.progress_views import MOST_MEMBERS, GroupProgressionView
from athletes.group_progress import CLEAR, SMALL_CELL, group_progress
from athletes.participation import members_on
from athletes.queries import athletes_visible_to
from programming.api.catalogue_views import MovementsView
from programming.api.group_views import GroupsView
from programming.queries import groups_visible_to, movements_visible_to
from services.console import answers
from services.console import progress_words as words
from services.console.page import OrganisationPage
from services.console.progress_form import SinceForm
from services.console.words import counted, short_day


class GroupForm(SinceForm):
    movement = forms.ChoiceField(label="Movement", required=False)

    def __init__(
        self, data: Mapping[str, Any], *, movements: Sequence[tuple[str, str]], today: dt.date
    ) -> None:
        super().__init__(data, today=today)
        self.fields["movement"] = forms.ChoiceField(
            label="Movement", choices=[("", "choose one"), *movements], required=False
        )
        self.order_fields(["movement", "since", "worthwhile_percent"])

    @property
    def movement_id(self) -> UUID | None:
        named = self.cleaned_data.get("movement") if self.is_valid() else None
        return UUID(named) if named else None


@dataclass(frozen=True)
class Line:
    """A member in words; chances: of better, neither and worse."""

    address: str
    name: str
    verdict: str
    measure: str
    change: str
    percent: str
    chances: tuple[str, str, str]


class GroupProgressionPage(OrganisationPage):
    shows = (GroupProgressionView, GroupsView, MovementsView)
    place = "athletes"
    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, organisation: UUID, group: UUID) -> HttpResponse:
        row = answers.found_or_404(groups_visible_to(self.member), group)
        found = movements_visible_to(self.member).order_by("name", "id").values_list("id", "name")
        movements = [(str(id_), name) for id_, name in found]
        form = GroupForm(request.GET.dict(), movements=movements, today=timezone.now().date())
        movement = form.movement_id
        return self.show(
            "console/group_progression.html",
            status=200 if form.is_valid() else 400,
            name=row.name,
            form=form,
            movement="" if movement is None else dict(movements)[str(movement)],
            since=short_day(form.asked.since),
            clear=round(100 * CLEAR),
            small=SMALL_CELL,
            **({} if movement is None else self._told(row.id, form, movement)),
        )

    def _told(self, group: UUID, form: GroupForm, movement: UUID) -> dict[str, Any]:
        members = members_on(group, form.today).values("athlete_id")
        rows: QuerySet[Any] = athletes_visible_to(self.member).filter(is_active=True, id__in=members)
        athletes = list(rows.order_by("name", "id"))
        found = group_progress(athletes[:MOST_MEMBERS], form.asked, movement)
        return {
            "lines": [self._line(GroupMemberProgressOutput(one).data) for one in found.members],
            "counts": list(_counts([VerdictCountOutput(one).data for one in found.counts])),
            "left_out": max(len(athletes) - MOST_MEMBERS, 0),
        }

    def _line(self, one: Mapping[str, Any]) -> Line:
        own, percent = words.change_said(one["change"], one["change_reason"], one["unit"])
        return Line(
            address=self.address("progression", one["athlete"]),
            name=one["name"],
            verdict=words.VERDICTS[one["verdict"]],
            measure=words.MEASURES.get(one["measure"] or "", ""),
            change=own,
            percent=percent,
            chances=words.chances(one["change"]),
        )


def _counts(told: Sequence[Mapping[str, Any]]) -> Iterator[tuple[str, str]]:
    """Verdict and how many; of a few, that they are single cases."""
    for one in told:
        if one["athletes"]:
            many = counted(one["athletes"], "athlete")
            few = "a single case" if one["athletes"] == 1 else "single cases"
            yield words.VERDICTS[one["verdict"]], f"{many}, {few}" if one["small"] else many
