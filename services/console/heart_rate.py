"""Heart rates of an athlete: what was stated of rest and maximum, and what the rates of training say of its load."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.db.models import Q
from django.http import HttpRequest, HttpResponse

from athletes.api.athlete_views import AthleteView
from athletes.api.heart_rate_serializers import HeartRatesOutput
from athletes.api.heart_rate_views import HeartRatesView
from athletes.api.load_serializers import LoadDayOutput, TrainingLogOutput
from athletes.api.load_summary_views import LoadDayFilter, LoadDaysView
from athletes.api.load_views import TrainingLogsView
from athletes.health_reads import HEART_RATE
from athletes.heart_rates import (
    MEASURED,
    NO_COEFFICIENTS,
    NO_RATES,
    NO_SESSION,
    NONE,
    SOME_WITHOUT,
    TOLD,
    heart_rates_visible_to,
    with_heart_rate,
)
from athletes.loads import load_days_visible_to, training_logs_visible_to
from programming.calc.difference_words import plain
from services.console import answers
from services.console.one_athlete import OneAthletePage
from services.console.period import PeriodForm
from services.console.words import DASH, short_day

FROM: Final = {MEASURED: "measured", TOLD: "as somebody told it"}
WEIGHED: Final = {
    "banister_1991_men": "Banister 1991, found in men",
    "banister_1991_women": "Banister 1991, found in women",
    "morton_1990_men": "Morton 1990, found in men",
    "morton_1990_women": "Morton 1990, found in women",
    NONE: "none chosen",
}
"""How what lies between rest and maximum is weighted, by the name of the published set."""
WHY: Final = {
    NO_SESSION: "no session with a mean rate",
    SOME_WITHOUT: "a session of the day has no mean rate",
    NO_RATES: "no rate at rest and no maximum is known",
    NO_COEFFICIENTS: "nobody has chosen how the rates are weighted",
}
MOST: Final = 10
"""Statements shown, the newest."""


@dataclass(frozen=True)
class Stated:
    """Both rates from a day on, in words."""

    day: str
    resting: str
    maximal: str
    weighed: str


@dataclass(frozen=True)
class Session:
    """One training with a rate, and what the rates of its day come to."""

    day: str
    what: str
    minutes: str
    mean: str
    highest: str
    load: str
    above: bool


class HeartRatePage(OneAthletePage):
    """Staff of a location may not open it: rates are told to owners, coaches and the athlete."""

    shows = (AthleteView, HeartRatesView, TrainingLogsView, LoadDaysView)

    def get(self, request: HttpRequest, organisation: UUID, athlete: UUID) -> HttpResponse:
        today = self.find(athlete)
        self.note_health(HEART_RATE, [athlete])
        form = PeriodForm(request.GET.dict(), until=today, today=today)
        period = form.period
        stated: Any = heart_rates_visible_to(self.member).filter(athlete=athlete)
        return self.show(
            "console/heart_rate.html",
            status=200 if form.is_valid() else 400,
            athlete=self.athlete,
            form=form,
            back=self.address("athlete-load", athlete),
            athlete_address=self.address("athlete", athlete),
            stated=[_stated(row) for row in stated.order_by("-from_date", "-created_at", "-id")[:MOST]],
            sessions=list(self._sessions(athlete, period.first, period.last)),
            since=short_day(period.first),
            until=short_day(period.last),
        )

    def _sessions(self, athlete: UUID, first: Any, last: Any) -> Iterator[Session]:
        """Those that told a rate, the newest first (two queries for any number)."""
        days: Any = with_heart_rate(load_days_visible_to(self.member).filter(athlete=athlete))
        days = answers.narrowed(LoadDayFilter, days, from_date=first, to_date=last)
        by_day = {row.local_date: LoadDayOutput(row).data["heart_rate"] for row in days}
        logs: Any = training_logs_visible_to(self.member).filter(
            Q(mean_heart_rate__isnull=False) | Q(highest_heart_rate__isnull=False),
            athlete=athlete,
            local_date__range=(first, last),
        )
        for row in logs.order_by("-started_at", "-id"):
            yield _session(row, by_day.get(row.local_date))


def _stated(row: Any) -> Stated:
    told = HeartRatesOutput(row).data
    rates = {
        name: f"{told[f'{name}_bpm']:.0f}, {FROM[told[f'{name}_source']]}" for name in ("resting", "maximal")
    }
    named = told["coefficients"]
    return Stated(day=short_day(row.from_date), weighed=WEIGHED.get(named, plain(named)), **rates)


def _session(row: Any, day: Mapping[str, Any] | None) -> Session:
    """day: None where the load of the day is not worked out yet."""
    told = TrainingLogOutput(row).data
    return Session(
        day=short_day(row.local_date),
        what=plain(told["modality"]),
        minutes=f"{told['minutes']:.0f}",
        mean=_rate(told["mean_heart_rate"]),
        highest=_rate(told["highest_heart_rate"]),
        load=DASH if day is None else _load(day),
        above=bool(day and day["above_maximal"]),
    )


def _rate(bpm: float | None) -> str:
    return DASH if bpm is None else f"{bpm:.0f}"


def _load(day: Mapping[str, Any]) -> str:
    """Of all of the day, else of what told a rate and why that is not all."""
    if day["load_au"] is not None:
        return f"{day['load_au']:.0f}"
    reason = day["load_au_reason"]
    why = WHY.get(reason, plain(reason))
    if day["reported_load_au"] is None:
        return f"{DASH} ({why})"
    return f"{day['reported_load_au']:.0f} of what has a rate; {why}"
