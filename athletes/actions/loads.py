"""Load days and what comes together over them: written anew from the day on that something was said about.

A function of its sources: results with effort and minutes, training logs, days of rest. Writing from a later day on
gives the rows that writing all of them gives.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import fsum
from typing import Any, Final, NamedTuple
from uuid import UUID

from django.db import models, transaction
from django.db.models import Q, QuerySet, Value
from django.utils import timezone

from athletes.actions.support import require_org
from athletes.calc.load import METHOD_VERSION, session_load
from athletes.calc.running_load import RunningLoad
from athletes.loads import INCOMPLETE, NOTHING_KNOWN, PROGRAMMED, REPORTED, REST, UNREPORTED, known_up_to
from athletes.models import LoadDay, LoadSummary, RestDay, TrainingLog
from services.tenancy.compiled import Given, compiled, compiled_delete
from services.tenancy.inserted import insert

DAY: Final = dt.timedelta(days=1)
BATCH: Final = 500
FEW: Final = 4
BEGINNING: Final = dt.date(1900, 1, 1)
"""Before anything that is taken in."""


class DoneSession(NamedTuple):
    """A session of a local day; effort and minutes None where nobody said."""

    local_date: dt.date
    modality: str
    effort: float | None
    minutes: float | None


@dataclass
class _Day:
    """What is said of one day."""

    sessions: list[DoneSession] = field(default_factory=list)
    rest: bool = False


class Stored(NamedTuple):
    """The newest row of an athlete, which always is of a day that is named; of all rows the method is the same."""

    method_version: int
    local_date: dt.date


def newest_of(athlete_id: UUID) -> Stored | None:
    """One query."""
    row = _newest.first(athlete=athlete_id)
    return None if row is None else Stored(*row)


@compiled
def _newest(athlete: Given) -> QuerySet[LoadSummary, tuple[int, dt.date]]:
    rows = LoadSummary.objects.filter(athlete_id=athlete).order_by("-local_date")
    return rows.values_list("method_version", "local_date")[:1]


def due_from(newest: Stored | None, from_date: dt.date | None) -> dt.date | None:
    """From which day on the rows have to be written; None for none.

    A change that names no day has said nothing of load. All of it where there are no rows yet, or of another method.
    """
    return from_date if newest is not None and newest.method_version == METHOD_VERSION else BEGINNING


def write_load(
    *, athlete_id: UUID, newest: Stored | None, since: dt.date, results: Sequence[DoneSession]
) -> None:
    """Write the rows from `since` on; results: those of that day and later.

    Five queries for what comes after the newest day, eight for what comes before it; more for hundreds of days. Part
    of the recompute of an athlete: running it twice is running it once.
    """
    named = _days_since(athlete_id, since, results)
    with transaction.atomic(savepoint=False):
        kept = _make_way(athlete_id, newest, since)
        if not named:
            return
        before = NOTHING_KNOWN if kept is None else known_up_to([athlete_id], kept)[athlete_id]
        first = min(named) if kept is None else kept + DAY
        rows = list(_rows(athlete_id, first, named, before.state))
        _store(LoadDay, [day for day, _ in rows])
        _store(LoadSummary, [told for _, told in rows])


def _make_way(athlete_id: UUID, newest: Stored | None, since: dt.date) -> dt.date | None:
    """Remove what is to be written anew; the last day before it that stays, None where nothing does."""
    if newest is None or newest.local_date < since:
        return None if newest is None else newest.local_date
    kept = _last_named.first(athlete=athlete_id, before=since)
    after = BEGINNING if kept is None else kept
    _drop_days(athlete=athlete_id, after=after)
    _drop_summaries(athlete=athlete_id, after=after)
    return kept


def _store(model: type[models.Model], rows: Sequence[Any]) -> None:
    if len(rows) <= FEW:
        insert(rows)
    else:
        model._default_manager.bulk_create(rows, batch_size=BATCH)


@compiled
def _last_named(athlete: Given, before: Given) -> QuerySet[LoadDay, dt.date]:
    rows = LoadDay.objects.filter(
        Q(sessions__gt=0) | Q(state=REST), athlete_id=athlete, local_date__lt=before
    )
    return rows.order_by("-local_date").values_list("local_date", flat=True)[:1]


@compiled_delete
def _drop_days(athlete: Given, after: Given) -> QuerySet[LoadDay]:
    return LoadDay.objects.filter(athlete_id=athlete, local_date__gt=after)


@compiled_delete
def _drop_summaries(athlete: Given, after: Given) -> QuerySet[LoadSummary]:
    return LoadSummary.objects.filter(athlete_id=athlete, local_date__gt=after)


def _days_since(athlete_id: UUID, since: dt.date, results: Sequence[DoneSession]) -> dict[dt.date, _Day]:
    """By day what is said of it (one query)."""
    found: dict[dt.date, _Day] = defaultdict(_Day)
    for one in results:
        found[one.local_date].sessions.append(one)
    for day, modality, effort, minutes in _told(athlete=athlete_id, since=since):
        if modality == REST:
            found[day].rest = True
        else:
            found[day].sessions.append(DoneSession(day, modality, effort, minutes))
    return found


@compiled
def _told(athlete: Given, since: Given) -> QuerySet[TrainingLog, tuple[dt.date, str, float, float]]:
    """Training logs, and days of rest in the same columns."""
    of_athlete = {"athlete_id": athlete, "local_date__gte": since}
    rests = RestDay.objects.filter(**of_athlete).values_list(
        "local_date", Value(REST), Value(0.0), Value(0.0)
    )
    logs = TrainingLog.objects.filter(**of_athlete)
    return logs.values_list("local_date", "modality", "effort", "minutes").union(rests, all=True)


def _rows(
    athlete_id: UUID, first: dt.date, named: dict[dt.date, _Day], state: RunningLoad
) -> Iterator[tuple[LoadDay, LoadSummary]]:
    """Of every day from `first` to the last that is named."""
    org_id, now = require_org(), timezone.now()
    for number in range((max(named) - first).days + 1):
        day = first + number * DAY
        row = _day_row(named.get(day, _Day()))
        row.org_id, row.athlete_id, row.local_date, row.computed_at = org_id, athlete_id, day, now
        state = state.after(row.load_au)
        yield (
            row,
            LoadSummary(
                org_id=org_id,
                athlete_id=athlete_id,
                local_date=day,
                days=state.days,
                acute_total=state.acute.total,
                acute_weight=state.acute.weight,
                chronic_total=state.chronic.total,
                chronic_weight=state.chronic.weight,
                method_version=METHOD_VERSION,
                computed_at=now,
            ),
        )


def _day_row(day: _Day) -> LoadDay:
    by_modality: dict[str, list[float]] = defaultdict(lambda: [0.0, 0.0, 0])
    missing = 0
    # In one order, so that the sums are the same to the last digit in whatever order the rows are read.
    for one in sorted(day.sessions, key=lambda one: (one.modality, one.effort or 0.0, one.minutes or 0.0)):
        if one.effort is None or one.minutes is None:
            missing += 1
            continue
        added = (session_load(one.effort, one.minutes), one.minutes, 1)
        by_modality[one.modality] = [a + b for a, b in zip(by_modality[one.modality], added, strict=True)]
    if missing:
        state = INCOMPLETE
    elif day.sessions:
        state = REPORTED
    else:
        state = REST if day.rest else UNREPORTED
    known = state in (REPORTED, REST)
    return LoadDay(
        state=state,
        load_au=sum(load for load, _, _ in by_modality.values()) if known else None,
        minutes=fsum(one.minutes for one in day.sessions if one.minutes is not None),
        sessions=len(day.sessions),
        sessions_without_load=missing,
        by_modality=dict(sorted(by_modality.items())),
        method_version=METHOD_VERSION,
    )


def of_result(local_date: dt.date, effort: float | None, minutes: float | None) -> DoneSession:
    """A result of a scheduled session."""
    return DoneSession(local_date, PROGRAMMED, effort, minutes)
