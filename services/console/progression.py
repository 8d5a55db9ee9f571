"""How an athlete progressed, movement by movement, in the terms in which one speaks of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpRequest, HttpResponse

from athletes.api.athlete_views import AthleteView
from athletes.api.progress_serializers import ProgressOutput
from athletes.api.progress_views import ProgressionView
from athletes.progress import progression_of
from programming.api.catalogue_views import MovementsView, VariationsView
from programming.calc.difference_words import plain
from programming.queries import movements_visible_to, variations_visible_to
from services.console import progress_words as words
from services.console.ability import setting_said
from services.console.charts import SMALL, Sight, drawn, progress_chart
from services.console.one_athlete import OneAthletePage
from services.console.pounds import sights_in
from services.console.progress_form import SinceForm
from services.console.words import DASH, short_day
from services.problems import NotFound

FEWEST: Final = 2
"""Days that make a course; of one day there is nothing to draw."""


@dataclass(frozen=True)
class Course:
    """One movement in words. chances: of better, neither and worse; chart: "" where there is nothing to draw."""

    key: str
    movement: str
    way: str
    measure: str
    now: str
    change: str
    percent: str
    chances: tuple[str, str, str]
    worth: str
    detectable: str
    due: str
    counted: str
    bests: Sequence[tuple[str, str, str]]
    bests_left_out: int
    days: Sequence[tuple[str, str, str]]
    chart: str
    alt: str


class OneProgression(OneAthletePage):
    shows = (AthleteView, ProgressionView, MovementsView, VariationsView)
    form: SinceForm

    def read(self, athlete: UUID, movement: UUID | None = None) -> Sequence[Mapping[str, Any]]:
        """By movement what the interface tells. Raises NotFound."""
        today = self.find(athlete)
        self.form = SinceForm(self.request.GET.dict(), today=today)
        found = progression_of(self.athlete, self.form.asked, movement)
        return [ProgressOutput(one).data for one in found]


class ProgressionPage(OneProgression):
    def get(self, request: HttpRequest, organisation: UUID, athlete: UUID) -> HttpResponse:
        told = self.read(athlete)
        movements = dict(movements_visible_to(self.member).values_list("key", "name"))
        variations = dict(variations_visible_to(self.member).values_list("key", "name"))
        courses = [self._course(one, movements, variations) for one in told]
        return self.show(
            "console/progression.html",
            status=200 if self.form.is_valid() else 400,
            athlete=self.athlete,
            athlete_address=self.address("athlete", athlete),
            form=self.form,
            since=short_day(self.form.asked.since),
            courses=sorted(courses, key=lambda one: one.movement),
        )

    def _course(
        self, one: Mapping[str, Any], movements: Mapping[str, str], variations: Mapping[str, str]
    ) -> Course:
        unit, movement = one["unit"], movements[one["movement_key"]]
        change, reason = one["change"], one["change_reason"]
        own, percent = words.change_said(change, reason, unit)
        now = (
            _value(one["points"][-1], unit)
            if one["points"]
            else f"{DASH} ({words.why(one['points_reason'])})"
        )
        measure = words.MEASURES.get(one["measure"] or "", "")
        counted = "" if change is None else short_day(_day(change["counted_from"]))
        asked = urlencode({name: value for name, value in self.request.GET.items() if value})
        address = self.address("progression-chart", self.athlete.id, one["movement"])
        key = one["variation_key"]
        return Course(
            key=one["movement_key"],
            movement=movement,
            way="" if key is None else variations.get(key, plain(key)) + setting_said(one),
            measure=measure,
            now=now,
            change=own,
            percent=percent,
            chances=words.chances(change),
            worth=words.worth_said(change),
            detectable=words.detectable_said(one["detectable"], one["detectable_reason"], unit),
            due=words.due_said(one),
            counted=counted,
            bests=[words.best_said(best, variations) for best in one["bests"]],
            bests_left_out=one["bests_left_out"],
            days=[_line(point, unit) for point in reversed(one["points"])],
            chart=f"{address}?{asked}" if len(sights_of(one)) >= FEWEST else "",
            alt=f"{movement}, {measure}: {now} today; change since {counted}: {own}.",
        )


class ProgressionChart(OneProgression):
    """The picture of one movement, which the page shows."""

    def get(self, request: HttpRequest, organisation: UUID, athlete: UUID, movement: UUID) -> HttpResponse:
        told = self.read(athlete, movement)
        sights = sights_of(told[0]) if told else []
        if len(sights) < FEWEST:
            raise NotFound()
        one = told[0]
        unit = self.reader.weights if one["unit"] == "kg" else one["unit"]
        if one["unit"] == "kg":
            sights = list(sights_in(unit, sights))
        label = words.amount(sights[-1].median, unit)
        change = one["change"]
        counted = None if change is None else _day(change["counted_from"])
        chart = progress_chart(sights, label=label, since=counted, size=SMALL)
        return HttpResponse(drawn(chart), content_type="image/svg+xml")


def sights_of(one: Mapping[str, Any]) -> list[Sight]:
    """The days of which a value is told, ascending."""
    return [
        Sight(_day(point["local_date"]), *(point["value"][name] for name in ("median", "lower", "upper")))
        for point in one["points"]
        if point["value"] is not None
    ]


def _day(told: str) -> dt.date:
    """A day as the interface writes it."""
    return dt.date.fromisoformat(told)


def _value(point: Mapping[str, Any], unit: str) -> str:
    told = point["value"]
    if told is None:
        return f"{DASH} ({words.why(point['value_reason'])})"
    return f"{words.amount(told['median'], unit)} ({words.spread(told, unit)})"


def _line(point: Mapping[str, Any], unit: str) -> tuple[str, str, str]:
    told, day = point["value"], short_day(_day(point["local_date"]))
    if told is None:
        return day, f"{DASH} ({words.why(point['value_reason'])})", DASH
    return day, words.amount(told["median"], unit), words.spread(told, unit, alone=True)
