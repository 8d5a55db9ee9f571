"""Who may read resting and maximal heart rates, and what the rates of training say of the load of days."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import F, OuterRef, Q, QuerySet
from django.db.models.functions import JSONObject

from athletes.calc.heart_rate import COEFFICIENTS, Rates, load_of_mean
from athletes.calc.load import Figure
from athletes.models import HeartRates, LoadDay, TrainingLog
from athletes.queries import athletes_visible_to
from athletes.wellness import READERS
from services.tenancy.actor import Actor

MEASURED: Final = "measured"
TOLD: Final = "told"
SOURCES: Final = (MEASURED, TOLD)
NONE: Final = "none"
CHOICES: Final = (*COEFFICIENTS, NONE)

NO_SESSION: Final = "no_session_with_heart_rate"
SOME_WITHOUT: Final = "sessions_without_heart_rate"
NO_RATES: Final = "resting_and_maximal_rate_not_known"
NO_COEFFICIENTS: Final = "no_coefficients_chosen"
REASONS: Final = (NO_SESSION, SOME_WITHOUT, NO_RATES, NO_COEFFICIENTS)


@dataclass(frozen=True)
class HeartRateLoad:
    """Of one day. load: of all its sessions, None where one told no rate; reported: of those that did, so many.

    above_maximal: a rate lay above the maximal one, also where a session told its highest alone; the maximal one is
    then out of date, or the strap was wrong. A mean above it is counted as the maximum.
    """

    load: Figure
    reported: float | None
    sessions: int
    coefficients: str | None
    above_maximal: bool


def heart_rates_visible_to(actor: Actor) -> QuerySet[HeartRates]:
    """None for staff of a location, who do not read what is said of health."""
    rows = HeartRates.objects.filter(athlete__in=athletes_visible_to(actor))
    return rows if actor.role in READERS else rows.none()


def with_heart_rate(days: QuerySet[LoadDay]) -> QuerySet[LoadDay]:
    """The same days with what `heart_rate_load` asks of each, in the query of the days themselves.

    As with weighings, the rates of a day are the latest stated up to it, else the earliest after it.
    """
    logs = TrainingLog.objects.filter(
        Q(mean_heart_rate__isnull=False) | Q(highest_heart_rate__isnull=False),
        athlete=OuterRef("athlete"),
        local_date=OuterRef("local_date"),
    )
    stated = HeartRates.objects.filter(athlete=OuterRef("athlete"))
    before = stated.filter(from_date__lte=OuterRef("local_date")).order_by("-from_date", "-created_at", "-id")
    after = stated.filter(from_date__gt=OuterRef("local_date")).order_by("from_date", "-created_at", "-id")
    rates = JSONObject(resting=F("resting_bpm"), maximal=F("maximal_bpm"), coefficients=F("coefficients"))
    log = JSONObject(mean=F("mean_heart_rate"), highest=F("highest_heart_rate"), minutes=F("minutes"))
    return days.annotate(
        rated=ArraySubquery(logs.order_by("started_at", "id").values(told=log)),
        rates=ArraySubquery(before.values(told=rates)[:1]),
        later_rates=ArraySubquery(after.values(told=rates)[:1]),
    )


def heart_rate_load(day: Any) -> HeartRateLoad:
    """Of a row of `with_heart_rate`."""
    stated = (day.rates or day.later_rates or [None])[0]
    logs, above = [one for one in day.rated if one["mean"] is not None], _above(day.rated, stated)
    reason = _reason(logs, stated)
    if reason is not None:
        named = None if stated is None or stated["coefficients"] == NONE else stated["coefficients"]
        return HeartRateLoad(Figure(None, reason), None, len(logs), named, above)
    rates = Rates(stated["resting"], stated["maximal"])
    loads = [load_of_mean(one["mean"], one["minutes"], rates, stated["coefficients"]) for one in logs]
    reported = sum(one.load.value or 0.0 for one in loads)
    figure = Figure(reported) if len(logs) >= day.sessions else Figure(None, SOME_WITHOUT)
    return HeartRateLoad(figure, reported, len(logs), stated["coefficients"], above)


def _reason(logs: list[Any], stated: Mapping[str, Any] | None) -> str | None:
    if not logs:
        return NO_SESSION
    if stated is None:
        return NO_RATES
    return NO_COEFFICIENTS if stated["coefficients"] == NONE else None


def _above(logs: list[Any], stated: Mapping[str, Any] | None) -> bool:
    """Whether any rate that was told, the highest of a session too, lies above the maximal one."""
    if stated is None:
        return False
    return any(max(one["mean"] or 0.0, one["highest"] or 0.0) > stated["maximal"] for one in logs)
