"""The stored load of athletes as what the calculation takes: where a day stands, and what was known before it."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.db.models import QuerySet

from athletes.calc.load_means import CHRONIC_DAYS, Weighted
from athletes.calc.running_load import RunningLoad
from athletes.models import LoadDay, LoadSummary, RestDay, TrainingLog
from athletes.queries import athletes_visible_to
from services.tenancy.actor import Actor
from services.tenancy.compiled import Given, any_of, compiled

MODALITIES: Final = (
    "strength",
    "running",
    "cycling",
    "rowing",
    "swimming",
    "walking",
    "class",
    "sport",
    "other",
)
PROGRAMMED: Final = "programme"
"""What results of scheduled sessions count as."""

REPORTED: Final = "reported"
REST: Final = "rest"
INCOMPLETE: Final = "incomplete"
UNREPORTED: Final = "unreported"
STATES: Final = (REPORTED, REST, INCOMPLETE, UNREPORTED)


@dataclass(frozen=True)
class Known:
    """What has come together up to the day `until`, which is None where nothing was ever told."""

    state: RunningLoad
    until: dt.date | None

    def on(self, day: dt.date) -> RunningLoad:
        """As of a later day, the days between being unreported."""
        if self.until is None:
            return self.state
        return self.state.after_silence((day - self.until).days)


NOTHING_KNOWN: Final = Known(RunningLoad(), None)


def training_logs_visible_to(actor: Actor) -> QuerySet[TrainingLog]:
    return TrainingLog.objects.filter(athlete__in=athletes_visible_to(actor))


def rest_days_visible_to(actor: Actor) -> QuerySet[RestDay]:
    return RestDay.objects.filter(athlete__in=athletes_visible_to(actor))


def load_days_visible_to(actor: Actor) -> QuerySet[LoadDay]:
    return LoadDay.objects.filter(athlete__in=athletes_visible_to(actor))


def known_up_to(athlete_ids: Collection[UUID], day: dt.date) -> dict[UUID, Known]:
    """By athlete what is known up to a day, that day included (two queries)."""
    ids = list(athlete_ids)
    last = {row.athlete_id: row for row in _last_summaries(athletes=ids, until=day)}
    loads: dict[UUID, list[float | None]] = defaultdict(list)
    # Who is silent for four weeks by then has nothing in the window, so nothing of long ago is read.
    first = day - dt.timedelta(days=2 * CHRONIC_DAYS - 2)
    for athlete_id, at, load in _loads(athletes=list(last), since=first, until=day):
        if at > last[athlete_id].local_date - dt.timedelta(days=CHRONIC_DAYS):
            loads[athlete_id].append(load)
    return {
        athlete_id: _known(last[athlete_id], loads[athlete_id]) if athlete_id in last else NOTHING_KNOWN
        for athlete_id in ids
    }


def _known(row: LoadSummary, loads: list[float | None]) -> Known:
    # Days before the first known load do not count, and stand before it.
    kept = tuple(loads[-row.days :]) if row.days else ()
    state = RunningLoad(
        row.days,
        kept,
        Weighted(row.acute_total, row.acute_weight),
        Weighted(row.chronic_total, row.chronic_weight),
    )
    return Known(state, row.local_date)


@compiled
def _last_summaries(athletes: Given, until: Given) -> QuerySet[LoadSummary]:
    rows = LoadSummary.objects.filter(athlete_id=any_of(athletes), local_date__lte=until)
    return rows.order_by("athlete_id", "-local_date").distinct("athlete_id")


@compiled
def _loads(
    athletes: Given, since: Given, until: Given
) -> QuerySet[LoadDay, tuple[UUID, dt.date, float | None]]:
    rows = LoadDay.objects.filter(athlete_id=any_of(athletes), local_date__gte=since, local_date__lte=until)
    return rows.order_by("local_date").values_list("athlete_id", "local_date", "load_au")
