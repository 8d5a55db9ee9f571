"""Pain and warning signs that athletes reported, and that nobody has taken on yet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from athletes.actions.reports import PAIN, acknowledge_report
from athletes.api.report_views import UNACKNOWLEDGED_FIRST, AcknowledgementsView, ReportFilter, ReportsView
from athletes.health_reads import REPORTS
from athletes.safety_queries import reports_visible_to
from athletes.safety_words import SIGNS
from programming.calc.difference_words import plain
from services.console import answers
from services.console.page import OrganisationPage
from services.console.words import short_day
from services.problems import DomainError
from services.tenancy.actor import Actor

MOST: Final = 100
"""Shown at once, the longest waiting first."""


@dataclass(frozen=True)
class Reported:
    """A report in words; for: whoever was named to look at it."""

    address: str
    name: str
    what: str
    day: str
    recipient: str


def open_reports(actor: Actor) -> QuerySet[Any]:
    """Those that nobody has acknowledged, the longest waiting first."""
    return answers.narrowed(ReportFilter, reports_visible_to(actor), acknowledged=False).order_by(
        *UNACKNOWLEDGED_FIRST
    )


def what_is_reported(report: Any) -> str:
    """ "Pain, knee, left: 4 of 10" or "Warning sign: chest pain"; strong pain stands as it was told."""
    if report.kind != PAIN:
        return f"Warning sign: {SIGNS.get(report.sign) or plain(report.sign)}"
    where = ", ".join(plain(part) for part in ("pain", report.site, report.side) if part)
    strength = "how strong was not said" if report.severity is None else f"{report.severity} of 10"
    return f"{where[0].upper()}{where[1:]}: {strength}"


class ReportsPage(OrganisationPage):
    shows = (ReportsView,)
    place = "reviews"
    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        found = list(open_reports(self.member)[: MOST + 1])
        self.note_health(REPORTS, [row.report.athlete_id for row in found[:MOST]])
        return self.show("console/reports.html", waiting=self._told(found[:MOST]), more=len(found) > MOST)

    def _told(self, rows: Sequence[Any]) -> list[Reported]:
        return [
            Reported(
                address=self.address("report", row.report_id),
                name=row.report.athlete.name,
                what=what_is_reported(row.report),
                day=short_day(row.report.local_date),
                recipient="" if row.recipient is None else row.recipient.person.name,
            )
            for row in rows
        ]


class SeenForm(forms.Form):
    note = forms.CharField(
        label="What you do about it",
        max_length=500,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="For example whom you called. At most 500 characters; it may stay empty.",
    )


class ReportPage(OrganisationPage):
    """One report; whoever has seen it says so, by the rules of the interface."""

    shows = (ReportsView,)
    does = {"POST": AcknowledgementsView}
    place = "reviews"

    def get(self, request: HttpRequest, organisation: UUID, report: UUID) -> HttpResponse:
        return self._page(self._row(report), SeenForm(label_suffix=""))

    def post(self, request: HttpRequest, organisation: UUID, report: UUID) -> HttpResponse:
        row, form = self._row(report), SeenForm(request.POST, label_suffix="")
        if not form.is_valid():
            return self._page(row, form, status=400)
        try:
            acknowledge_report(
                actor=self.member, review=row, note=form.cleaned_data["note"], now=timezone.now()
            )
        except DomainError as error:
            form.add_error(None, " ".join(dict.fromkeys([error.detail, error.remedy])))
            return self._page(self._row(report), form, status=error.status)
        return redirect(self.address("reports"))

    def _row(self, report: UUID) -> Any:
        return answers.found_or_404(reports_visible_to(self.member), report, "report_id")

    def _page(self, row: Any, form: SeenForm, status: int = 200) -> HttpResponse:
        told = row.report
        self.note_health(REPORTS, [told.athlete_id])
        return self.show(
            "console/report.html",
            status,
            row=row,
            name=told.athlete.name,
            athlete_address=self.address("athlete", told.athlete_id),
            what=what_is_reported(told),
            day=short_day(told.local_date),
            note=told.note,
            form=form,
        )
