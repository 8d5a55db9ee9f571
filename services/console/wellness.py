"""What an athlete answered of how they are, question by question, and what is unusual of themselves."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlencode
from uuid import UUID

from django import forms
from django.http import HttpRequest, HttpResponse

from athletes.api.athlete_views import AthleteView
from athletes.api.wellness_serializers import WellnessOutput
from athletes.api.wellness_views import WellnessAnswersView, WellnessFormsView, WellnessView
from athletes.calc.own_baseline import NEEDED_ANSWERS
from athletes.health_reads import WELLNESS
from athletes.wellness import NOT_RECENT, RECENT_DAYS, Item, answered, items_of, newest_forms, told_flags
from services.console.charts import drawn
from services.console.one_athlete import OneAthletePage
from services.console.period import PeriodForm
from services.console.wellness_chart import Answered, wellness_chart
from services.console.words import short_day
from services.problems import NotFound

ENDS: Final = {"high": "higher", "low": "lower"}


class WellnessPeriodForm(PeriodForm):
    """`forms`: (key, name) of the forms that there are."""

    form = forms.ChoiceField(label="Questions", required=False)

    def __init__(
        self, data: Mapping[str, Any], *, choices: Sequence[tuple[str, str]], **days: dt.date
    ) -> None:
        super().__init__({**({"form": choices[0][0]} if choices else {}), **data}, **days)
        self.fields["form"] = forms.ChoiceField(label="Questions", choices=choices, required=bool(choices))


@dataclass(frozen=True)
class Question:
    """One item in words; scale says which end is the good one. chart: "" where nothing was answered."""

    key: str
    text: str
    scale: str
    told: str
    flagged: bool
    false_flags: str
    chart: str
    alt: str


class OneWellness(OneAthletePage):
    shows = (AthleteView, WellnessFormsView, WellnessAnswersView, WellnessView)
    asked: Any
    """The form that is shown; None where the organisation asks nothing."""
    form: WellnessPeriodForm

    def read(self, athlete: UUID, key: str = "") -> None:
        """Raises NotFound."""
        today = self.find(athlete)
        found = {one.key: one for one in newest_forms()}
        data = {**self.request.GET.dict(), **({"form": key} if key else {})}
        choices = [(one.key, one.name) for one in found.values()]
        self.several = len(choices) > 1
        self.form = WellnessPeriodForm(data, choices=choices, until=today, today=today)
        named = self.form.cleaned_data.get("form") if self.form.is_valid() else None
        self.asked = found.get(named or "")
        if key and self.asked is None:
            raise NotFound()
        if self.asked is not None:
            self.note_health(WELLNESS, [athlete])

    def told(self) -> dict[str, Answered]:
        """By item what was answered in the period."""
        period = self.form.period
        return dict(answered(self.athlete, self.asked, period.first, period.last))


class WellnessPage(OneWellness):
    def get(self, request: HttpRequest, organisation: UUID, athlete: UUID) -> HttpResponse:
        self.read(athlete)
        period = self.form.period
        shown = {} if self.asked is None else self._shown()
        return self.show(
            "console/wellness.html",
            status=200 if self.form.is_valid() else 400,
            athlete=self.athlete,
            form=self.form,
            several=self.several,
            athlete_address=self.address("athlete", athlete),
            load_address=self.address("athlete-load", athlete),
            nothing_asked=self.form.is_valid() and self.asked is None,
            needed=NEEDED_ANSWERS,
            since=short_day(period.first),
            until=short_day(period.last),
            **shown,
        )

    def _shown(self) -> dict[str, Any]:
        flags = WellnessOutput(told_flags(self.athlete, self.asked, self.form.period.last)).data
        items, told = items_of(self.asked), self.told()
        days = sorted({day for found in told.values() for day, _ in found}, reverse=True)
        by_day = {key: dict(found) for key, found in told.items()}
        return {
            "name": self.asked.name,
            "questions": [
                self._question(items[one["item"]], one, told[one["item"]]) for one in flags["items"]
            ],
            "heads": [item.text for item in items.values()],
            "lines": [(short_day(day), [_answer(by_day[key].get(day)) for key in items]) for day in days],
            "false_flags": _rate(flags["false_flags_per_week"])
            if any(one["baseline"] for one in flags["items"])
            else "",
            "meaning": flags["meaning"],
        }

    def _question(self, item: Item, flag: Mapping[str, Any], found: Answered) -> Question:
        name, told = self.athlete.name, _said(flag, self.athlete.name)
        ends = f"{item.least:g} to {item.most:g}; {ENDS[item.better]} is better"
        period = self.form.period
        query = urlencode({"from_date": period.first, "to_date": period.last})
        chart = self.address("wellness-chart", self.athlete.id, self.asked.key, item.key)
        baseline = flag["baseline"]
        return Question(
            key=item.key,
            text=item.text,
            scale=ends,
            told=told,
            flagged=flag["side"] is not None,
            false_flags="" if baseline is None else _rate(baseline["false_flags_per_week"]),
            chart=f"{chart}?{query}" if found else "",
            alt=f"{item.text} {len(found)} answers of {name}. {told}",
        )


class WellnessChart(OneWellness):
    """The picture of one question, which the page shows."""

    def get(
        self, request: HttpRequest, organisation: UUID, athlete: UUID, form: str, item: str
    ) -> HttpResponse:
        self.read(athlete, form)
        asked = items_of(self.asked).get(item)
        found = self.told().get(item) if asked is not None else None
        if asked is None or not found:
            raise NotFound()
        last = self.form.period.last
        flags = WellnessOutput(told_flags(self.athlete, self.asked, last, item)).data
        chart = wellness_chart(found, (asked.least, asked.most), last, flags["items"][0]["baseline"])
        return HttpResponse(drawn(chart), content_type="image/svg+xml")


def _said(flag: Mapping[str, Any], name: str) -> str:
    """What the latest answers say, or why nothing is said."""
    if flag["baseline"] is None:
        if flag["baseline_reason"] == NOT_RECENT:
            return f"No answer in the last {RECENT_DAYS} days, so nothing is said of it."
        return f"Too early for limits: they need {NEEDED_ANSWERS} answers, and there are {flag['answers']}."
    one = flag["baseline"]
    usual = f"{one['lower']:.1f} to {one['upper']:.1f}"
    now = f"The last answers come to {one['weighted']:.1f}; usual of {name} is {usual}."
    if flag["side"] is None:
        return f"As usual. {now}"
    end = "the worse end" if flag["unusually_bad"] else "the better end"
    only_sums = one["lower"] <= one["weighted"] <= one["upper"]
    more = " They have gone off little by little, day after day." if only_sums else ""
    return f"Unusual of {name}, towards {end}. {now}{more}"


def _rate(a_week: float) -> str:
    """Never a certainty that nobody has."""
    return "under 0.01" if a_week < 0.01 else f"{a_week:.2f}"


def _answer(value: float | None) -> str:
    """An empty cell says that nothing was answered, which nobody has to."""
    return "" if value is None else f"{value:g}"
