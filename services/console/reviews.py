"""What somebody has to look at: results that do not add up, each with what was sent and a decision to take."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from athletes.api.report_views import ReportsView
from programming.api.session_views import SessionsView
from programming.calc.difference_words import plain
from programming.plans import session_plan
from scoring.actions.reviews import resolve_review
from scoring.api.result_views import AttemptView, ReviewsView, ReviewView
from scoring.brief_words import amount_of, clock
from scoring.names import Names, names_of
from scoring.queries import attempts_visible_to, reviews_visible_to
from scoring.words import noun, units_said
from services.console import answers
from services.console.page import OrganisationPage
from services.console.reports import open_reports
from services.console.words import DASH, short_day
from services.problems import DomainError

MOST: Final = 100
"""Shown at once; whoever has decided on some sees the next."""

TOTALS: Final = {"elapsed_s": "on the clock", "split_s": "split on the clock"}


@dataclass(frozen=True)
class Waiting:
    address: str
    name: str
    title: str
    day: str
    findings: Sequence[str]


class ReviewsPage(OrganisationPage):
    shows = (ReviewsView, SessionsView, AttemptView, ReportsView)
    place = "reviews"
    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        rows = answers.open_reviews(self.member).select_related("attempt__athlete")
        found = list(rows[: MOST + 1])
        titles = answers.titles_of(self.member, {row.attempt.session_id for row in found})
        return self.show(
            "console/reviews.html",
            waiting=[self._waiting(row, titles) for row in found[:MOST]],
            more=len(found) > MOST,
            reported=open_reports(self.member).count(),
        )

    def _waiting(self, row: Any, titles: Mapping[UUID, str]) -> Waiting:
        return Waiting(
            address=self.address("review", row.id),
            name=row.attempt.athlete.name,
            title=titles.get(row.attempt.session_id, ""),
            day=short_day(row.attempt.local_date),
            findings=[one["detail"] for one in row.findings],
        )


class DecisionForm(forms.Form):
    accepted = forms.ChoiceField(
        label="Do you believe the result as it was sent?",
        choices=[
            ("yes", "Yes: it counts, and tells what the athlete can do"),
            ("no", "No: it leaves the ranking, and tells nothing"),
        ],
        widget=forms.RadioSelect,
    )
    resolution = forms.CharField(
        label="Why",
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="For example what you saw, or whom you asked. At most 500 characters.",
    )
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1)


@dataclass(frozen=True)
class SentSet:
    """One set as it was sent, in words."""

    work: str
    version: str
    amount: str
    rest: str
    time: str
    ended: str


class ReviewPage(OrganisationPage):
    """One result with what does not add up in it; the decision is that of the interface, and may be refused by it."""

    shows = (ReviewView, AttemptView, SessionsView)
    does = {"PATCH": ReviewView}
    place = "reviews"

    def get(self, request: HttpRequest, organisation: UUID, review: UUID) -> HttpResponse:
        row = self._row(review)
        return self._page(row, DecisionForm(initial={"version": row.version}, label_suffix=""))

    def post(self, request: HttpRequest, organisation: UUID, review: UUID) -> HttpResponse:
        row = self._row(review)
        form = DecisionForm(request.POST, label_suffix="")
        if not form.is_valid():
            return self._page(row, form, status=400)
        told = form.cleaned_data
        try:
            resolve_review(
                actor=self.member,
                review=row,
                version=told["version"],
                accepted=told["accepted"] == "yes",
                resolution=told["resolution"],
            )
        except DomainError as error:
            form.add_error(None, " ".join(dict.fromkeys([error.detail, error.remedy])))
            return self._page(self._row(review), form, status=error.status)
        return redirect(self.address("reviews"))

    def _row(self, review: UUID) -> Any:
        rows = reviews_visible_to(self.member).select_related("attempt__athlete", "resolved_by")
        return answers.found_or_404(rows, review)

    def _page(self, row: Any, form: DecisionForm, status: int = 200) -> HttpResponse:
        attempt = answers.found_or_404(attempts_visible_to(self.member), row.attempt_id)
        names = names_of(session_plan(attempt.session_id))
        return self.show(
            "console/review.html",
            status,
            row=row,
            name=row.attempt.athlete.name,
            title=answers.titles_of(self.member, [attempt.session_id])[attempt.session_id],
            day=short_day(attempt.local_date),
            session_address=self.address("session", attempt.session_id),
            findings=[one["detail"] for one in row.findings],
            attempt=attempt,
            sets=list(sets_sent(attempt.as_sent, names)),
            totals=list(totals_sent(attempt.as_sent)),
            form=form,
        )


def sets_sent(sent: Mapping[str, Any], names: Names) -> Iterator[SentSet]:
    """Of a result that was sent set by set, block after block; anything that is not there is a dash."""
    for part in sent.get("blocks") or [sent]:
        for one in (part.get("set_log") or {}).get("sets", ()):
            unit = next((unit for unit in names.units.values() if one.get(unit) is not None), None)
            amount = amount_of(one)
            yield SentSet(
                work=names.work(str(one.get("work", ""))),
                version=_version(one, names),
                amount=DASH
                if amount is None or unit is None
                else f"{amount:g} {noun(amount, units_said(unit))}",
                rest=_seconds(one.get("rest_before_s")),
                time=_seconds(one.get("duration_s")),
                ended=plain(str(one.get("ended_by", DASH))),
            )


def _version(one: Mapping[str, Any], names: Names) -> str:
    key = str(one.get("variation", ""))
    load = one.get("load_kg")
    return names.variation(key) + ("" if load is None else f", {names.load(key, load)}")


def _seconds(value: float | None) -> str:
    return DASH if value is None else clock(value)


def totals_sent(sent: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """What was sent of a whole block: clock and totals, by its name."""
    for part in sent.get("blocks") or [sent]:
        told = part.get("totals") or part.get("set_log") or {}
        for name, value in told.items():
            if isinstance(value, int | float | str):
                timed = name.endswith("_s") and not isinstance(value, str)
                yield (
                    TOTALS.get(name, plain(name.removesuffix("_s"))),
                    clock(float(value)) if timed else str(value),
                )
