"""What an athlete's training asked, day by day and week by week: a picture, the weeks, and the days behind it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlencode
from uuid import UUID

from django import forms
from django.http import HttpRequest, HttpResponse

from athletes.api.athlete_views import AthleteView
from athletes.api.load_serializers import LoadDayOutput
from athletes.api.load_summary_views import AthleteLoadSummaryView, LoadDayFilter, LoadDaysView
from athletes.calc.load import BASIS, EFFORT_QUESTION, EFFORT_WORDS, Figure
from athletes.calc.running_load import LoadFigures
from athletes.heart_rates import with_heart_rate
from athletes.load_told import DAY, figures_by_day, newest_full_day
from athletes.loads import UNREPORTED, load_days_visible_to
from services.api.fields import FIRST_YEAR
from services.console import answers
from services.console.charts import NARROW, WIDE, drawn
from services.console.heart_rate import HeartRatePage
from services.console.load_chart import Day, load_chart
from services.console.load_words import BEFORE, STATES, of_what, said, share
from services.console.one_athlete import OneAthletePage
from services.console.period import PeriodForm
from services.console.wellness import WellnessPage
from services.console.words import DASH, days_said, short_day
from services.console.work_done import WorkDonePage
from services.problems import NotFound

WEEK: Final = 7
PLAIN, WEIGHTED = "plain", "weighted"
MEANS: Final = {
    PLAIN: ("acute", "chronic"),
    WEIGHTED: ("weighted_acute", "weighted_chronic"),
}


class LoadForm(PeriodForm):
    means = forms.ChoiceField(
        label="Means",
        choices=[(PLAIN, "of all days, each counts alike"), (WEIGHTED, "weighted, the newest count most")],
    )

    def __init__(self, data: Mapping[str, Any], **days: dt.date) -> None:
        super().__init__({"means": PLAIN, **data}, **days)

    @property
    def asked(self) -> str:
        found: str = self.cleaned_data["means"] if self.is_valid() else PLAIN
        return found


@dataclass(frozen=True)
class WeekLine:
    """Seven days up to a day, in words."""

    days: str
    told: str
    load: str
    change: str
    monotony: str
    strain: str
    minutes: str
    what: str


@dataclass(frozen=True)
class DayLine:
    day: str
    state: str
    load: str
    minutes: str
    week: str
    month: str


class OneLoad(OneAthletePage):
    """Reads what the interface tells of each of the days: `rows` as load days, `figures` as summaries."""

    shows = (AthleteView, LoadDaysView, AthleteLoadSummaryView)
    form: LoadForm
    rows: dict[dt.date, Mapping[str, Any]]
    figures: dict[dt.date, LoadFigures]

    def read(self, athlete: UUID) -> None:
        """Raises NotFound."""
        today = self.find(athlete)
        self.form = LoadForm(self.request.GET.dict(), until=newest_full_day(athlete, today), today=today)
        shown = self.form.period
        # The oldest week may begin before the days that are shown, and before those of which anything is kept.
        begun = shown.last - (-(-len(shown.days) // WEEK) * WEEK - 1) * DAY
        first = max(begun, dt.date(FIRST_YEAR, 1, 1))
        rows: Any = with_heart_rate(load_days_visible_to(self.member).filter(athlete=athlete))
        rows = answers.narrowed(LoadDayFilter, rows, from_date=first, to_date=shown.last)
        self.rows = {row.local_date: LoadDayOutput(row).data for row in rows}
        self.figures = figures_by_day(athlete, shown.first, shown.last)

    def means(self, day: dt.date) -> tuple[Figure, Figure]:
        """Of 7 and of 28 days, of the kind that is asked for."""
        week, month = MEANS[self.form.asked]
        return getattr(self.figures[day], week), getattr(self.figures[day], month)

    def days(self) -> list[Day]:
        """From the first of the period of which anything is known; none where nothing is."""
        found: list[Day] = []
        for day in self.form.period.days:
            row, (week, month) = self.rows.get(day), self.means(day)
            state = row["state"] if row else UNREPORTED if self.figures[day].days else BEFORE
            if found or state != BEFORE:
                load = row["load_au"] if row else None
                found.append(Day(day, state, load, week.value, month.value))
        return found


BESIDE: Final = (
    ("Work done", "work-done", WorkDonePage),
    ("Heart rate", "heart-rate", HeartRatePage),
    ("Wellness", "wellness", WellnessPage),
)
"""Title, route and page of what stands beside load."""


class LoadPage(OneLoad):
    def get(self, request: HttpRequest, organisation: UUID, athlete: UUID) -> HttpResponse:
        self.read(athlete)
        period, days = self.form.period, self.days()
        last, told = self.figures[period.last], any(one.state != UNREPORTED for one in days)
        asked = urlencode({"from_date": period.first, "to_date": period.last, "means": self.form.asked})
        return self.show(
            "console/load.html",
            status=200 if self.form.is_valid() else 400,
            athlete=self.athlete,
            form=self.form,
            athlete_address=self.address("athlete", athlete),
            ways=[
                (title, self.address(name, athlete))
                for title, name, page in BESIDE
                if page.open_to(self.member)
            ],
            chart=f"{self.address('load-chart', athlete)}?{asked}" if told else "",
            told=self._told(),
            no_lines=told and not any(one.week is not None for one in days),
            plain_means=self.form.asked == PLAIN,
            means=list(self._means(last)),
            weeks=list(self._weeks()),
            basis=BASIS,
            divisor=WEEK - last.week.ddof,
            lines=[self._line(one) for one in reversed(days)] if told else [],
            effort_question=EFFORT_QUESTION,
            effort_words=list(enumerate(EFFORT_WORDS)),
            since=short_day(period.first),
            until=short_day(period.last),
        )

    def _told(self) -> str:
        """The picture in a sentence, for whoever does not see it."""
        last = self.form.period.last
        figures, (week, month) = self.figures[last], self.means(last)
        if not figures.week.reported_days:
            return f"In the seven days up to {short_day(last)} no load is known: it takes effort and minutes."
        return (
            f"In the seven days up to {short_day(last)}: {figures.week.reported_load:.0f} AU on the"
            f" {figures.week.reported_days} of 7 days that are known. Mean of 7 days: {said(week, 0, ' AU a day')};"
            f" of 28 days: {said(month, 0, ' AU a day')}."
        )

    def _means(self, last: LoadFigures) -> Iterator[tuple[str, str, str]]:
        yield "Of all days", said(last.acute, 0, " AU"), said(last.chronic, 0, " AU")
        yield "Weighted", said(last.weighted_acute, 0, " AU"), said(last.weighted_chronic, 0, " AU")

    def _weeks(self) -> Iterator[WeekLine]:
        """Of seven days each, the newest first; those before anything was known are left out."""
        period = self.form.period
        for end in period.days[::-1][::WEEK]:
            figures = self.figures[end]
            if not figures.days:
                return
            rows = [self.rows[day] for n in range(WEEK) if (day := end - n * DAY) in self.rows]
            minutes = sum(row["minutes"] for row in rows)
            week = figures.week
            yield WeekLine(
                days=days_said(end - (WEEK - 1) * DAY, end),
                told=f"{week.reported_days} of 7",
                load=said(week.load) if week.load.value is not None else f"{week.reported_load:.0f} reported",
                change=share(figures.change),
                monotony=said(week.monotony, 2),
                strain=said(week.strain),
                minutes=f"{minutes:.0f}" if minutes or week.reported_days else DASH,
                what=of_what(part for row in rows for part in row["by_modality"]) or DASH,
            )

    def _line(self, one: Day) -> DayLine:
        row = self.rows.get(one.day)
        week, month = self.means(one.day)
        return DayLine(
            day=short_day(one.day),
            state=STATES[one.state],
            load=DASH if one.load is None else f"{one.load:.0f}",
            minutes=f"{row['minutes']:.0f}" if row and row["minutes"] else DASH,
            week=DASH if week.value is None else f"{week.value:.0f}",
            month=DASH if month.value is None else f"{month.value:.0f}",
        )


class LoadChart(OneLoad):
    """The picture alone, which the page shows; `narrow` for a telephone."""

    def get(self, request: HttpRequest, organisation: UUID, athlete: UUID) -> HttpResponse:
        self.read(athlete)
        days: Sequence[Day] = self.days()
        if not days or not self.form.is_valid():
            raise NotFound()
        size = NARROW if "narrow" in request.GET else WIDE
        return HttpResponse(drawn(load_chart(days, size)), content_type="image/svg+xml")
