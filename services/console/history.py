"""How an athlete's capacity in a movement went: a picture, and the table behind it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.http import HttpRequest, HttpResponse

from athletes.api.assessment_views import CapacityHistoryView
from athletes.api.athlete_views import AthleteView
from athletes.capacity_history import NEVER_OBSERVED, NOT_LOAD_REPETITION, History, history_of
from programming.api.catalogue_views import MovementsView
from programming.queries import movements_visible_to
from services.console import answers
from services.console.charts import Sight, drawn, history_chart
from services.console.one_athlete import OneAthletePage
from services.console.pounds import sights_in
from services.console.words import short_day
from services.problems import NotFound

WHAT: Final = "Load for ten repetitions, rested"
NONE: Final = {
    NEVER_OBSERVED: "Nothing was seen of it yet. A test, or the first logged set, begins it.",
    NOT_LOAD_REPETITION: "A history is told of work with loads and repetitions alone.",
}


@dataclass(frozen=True)
class Line:
    """One day of the table, in kg."""

    day: str
    middle: str
    spread: str


class OneHistory(OneAthletePage):
    shows = (AthleteView, CapacityHistoryView, MovementsView)
    movement: Any
    history: History

    def read(self, athlete: UUID, movement: UUID) -> Sequence[Sight]:
        """Raises NotFound."""
        today = self.find(athlete)
        self.movement = answers.found_or_404(movements_visible_to(self.member), movement)
        self.history = history_of(self.athlete, movement, today)
        return [
            Sight(
                one.local_date,
                *(getattr(one.ten_repetition_kg, name) for name in ("median", "lower", "upper")),
            )
            for one in self.history.points
        ]


class HistoryPage(OneHistory):
    def get(self, request: HttpRequest, organisation: UUID, athlete: UUID, movement: UUID) -> HttpResponse:
        sights = self.read(athlete, movement)
        return self.show(
            "console/history.html",
            athlete=self.athlete,
            movement=self.movement,
            what=WHAT,
            athlete_address=self.address("athlete", athlete),
            chart=self.address("history-chart", athlete, movement),
            lines=[_line(one) for one in reversed(sights)],
            told=_told(sights),
            reason=NONE.get(self.history.points_reason or "", ""),
            method=self.history.method,
        )


class HistoryChart(OneHistory):
    """The picture alone, which the page shows."""

    def get(self, request: HttpRequest, organisation: UUID, athlete: UUID, movement: UUID) -> HttpResponse:
        sights = self.read(athlete, movement)
        if not sights:
            raise NotFound()
        unit = self.reader.weights
        chart = history_chart(sights_in(unit, sights), unit=unit, what=WHAT)
        return HttpResponse(drawn(chart), content_type="image/svg+xml")


def _line(one: Sight) -> Line:
    return Line(short_day(one.day), f"{one.median:.1f} kg", f"{one.lower:.1f} to {one.upper:.1f} kg")


def _told(sights: Sequence[Sight]) -> str:
    """The picture in a sentence, for whoever does not see it."""
    if not sights:
        return ""
    first, last = sights[0], sights[-1]
    now = f"{last.median:.0f} kg on {short_day(last.day)}, on 8 of 10 days {last.lower:.0f} to {last.upper:.0f} kg"
    if first == last:
        return f"{WHAT}: {now}."
    return f"{WHAT}: from {first.median:.0f} kg on {short_day(first.day)} to {now}."
