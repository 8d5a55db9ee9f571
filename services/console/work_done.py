"""What an athlete did, kind by kind: kilograms, hard sets, metres and minutes stand side by side, never added."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final
from uuid import UUID

from django.http import HttpRequest, HttpResponse

from athletes.api.athlete_views import AthleteView
from athletes.calc.external_load import NO_LOAD_KNOWN
from programming.calc.difference_words import plain
from scoring.api.balance_views import MOST_DAYS, USUAL_DAYS
from scoring.api.external_load_serializers import ExternalLoadOutput
from scoring.api.external_load_views import ExternalLoadView
from scoring.external import NO_DISTANCES, external_load
from services.console.balance_words import WITHOUT, named
from services.console.one_athlete import OneAthletePage
from services.console.period import PeriodForm
from services.console.words import DASH, counted, short_day

WHY: Final = {NO_DISTANCES: "nobody measured the way", NO_LOAD_KNOWN: "no load is known"}
Row = tuple[str, ...]


class WorkForm(PeriodForm):
    """As long, and at most as long, as where the interface tells it."""

    usual_days = USUAL_DAYS
    most_days = MOST_DAYS


class WorkDonePage(OneAthletePage):
    shows = (AthleteView, ExternalLoadView)

    def get(self, request: HttpRequest, organisation: UUID, athlete: UUID) -> HttpResponse:
        today = self.find(athlete)
        form = WorkForm(request.GET.dict(), until=today, today=today)
        period = form.period
        read = {"from_date": period.first, "until_date": period.last}
        told = ExternalLoadOutput({**read, "told": external_load(athlete, period.first, period.last)}).data
        return self.show(
            "console/work_done.html",
            status=200 if form.is_valid() else 400,
            athlete=self.athlete,
            form=form,
            athlete_address=self.address("athlete", athlete),
            back=self.address("athlete-load", athlete),
            results=list(_results(told["results"])),
            patterns=[_pattern(one) for one in told["volume_by_pattern"]],
            muscles=[_muscle(one) for one in told["hard_sets_by_muscle_group"]],
            hard=f"{told['hard_reserve']:g}",
            unknown=told["unknown_sets"],
            movements=[_movement(one) for one in told["by_movement"]],
            logged=[_logged(one) for one in told["logged"]],
            since=short_day(period.first),
            until=short_day(period.last),
        )


def _results(told: Mapping[str, Any]) -> list[str]:
    """How many results stand behind it, and of which no sets are known."""
    left_out = [
        f"of {one['sessions']} no set is counted: {WITHOUT.get(one['reason']) or plain(one['reason'])}"
        for one in told["without_sets"]
    ]
    return [f"{counted(told['sessions'], 'result')}", *left_out]


def _amount(value: float | None, reason: str | None, unit: str) -> str:
    """A dash where it is not counted so, with the reason where nobody measured it."""
    if value is not None:
        return f"{value:.0f} {unit}"
    return f"{DASH} ({WHY[reason]})" if reason in WHY else DASH


def _pattern(one: Mapping[str, Any]) -> Row:
    without = one["sets_without_load"]
    return (
        named(one["pattern"]),
        _amount(one["volume_load_kg"], one["volume_load_kg_reason"], "kg"),
        counted(one["sets"], "set") + (f"; {without} without a known load" if without else ""),
        f"{one['repetitions']:.0f}",
    )


def _muscle(one: Mapping[str, Any]) -> Row:
    return (
        named(one["muscle_group"]),
        f"{one['direct']:g}",
        f"{one['fractional']:g}",
        f"{one['total']:g}",
    )


def _movement(one: Mapping[str, Any]) -> Row:
    without, minutes = one["sets_without_time"], f"{one['minutes']:.0f} min"
    if without == one["sets"]:
        minutes = f"{DASH} (no set was timed)"
    elif without:
        minutes += f"; {counted(without, 'set')} not timed"
    return (
        one["name"],
        f"{one['sets']}",
        _amount(one["distance_m"], one["distance_m_reason"], "m"),
        _amount(one["energy_kcal"], one["energy_kcal_reason"], "kcal"),
        minutes,
    )


def _logged(one: Mapping[str, Any]) -> Row:
    without = one["sessions_without_distance"]
    return (
        named(one["modality"]),
        f"{one['sessions']}",
        f"{one['minutes']:.0f} min",
        _amount(one["distance_m"], one["distance_m_reason"], "m")
        + (f"; {without} without a way" if without and one["distance_m"] is not None else ""),
    )
