"""Learning how quickly an athlete works, from the sets whose seconds were logged: part of the recompute."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Sequence
from typing import Any, Final
from uuid import UUID

from django.db.models import Exists, F, FloatField, OuterRef, Q, QuerySet
from django.db.models.fields.json import KeyTextTransform
from django.db.models.functions import Cast

from athletes.actions.learned import Kept, drop_tempo, kept_of, store_tempo
from athletes.calc.tempo import LEAST_UNITS, METHOD_VERSION, TimedSet, learn
from programming.calc.variation import DEFAULT_REPETITION_S
from scoring.actions.scores import latest_attempts
from scoring.believed import TIMES_CONTRADICTED, WITHHELD, unbelieved_reviews
from scoring.models import SetLog
from services.tenancy.compiled import Given, compiled

MOST_SETS: Final = 160
"""The newest: people change, and so many know it well (ours)."""
MOST_OF_A_SESSION: Final = 40
"""The first ones, so that no long log takes the place of all other days and movements (ours)."""
YEAR: Final = dt.timedelta(days=365)
TELLING: Final = ("planned", "failure", "clock")
"""How sets end whose seconds are those of what was counted."""

_VERSION: Final = "variation_version__"
# Movement, local date, repetitions, seconds, usual seconds of the version as it was logged, how the set ended.
Row = tuple[UUID, dt.date, int, float, float | None, str]


def learn_tempo(*, athlete_id: UUID, today: dt.date, kept: Kept | None = None) -> bool:
    """Bring the athlete's row up to date; whether it was written or removed.

    One query where nothing has moved, and one more where something has; another where `kept` is not given. Running it
    twice is running it once.
    """
    before = (kept or kept_of(athlete_id)).tempo
    rows = _timed(athlete=athlete_id, first=today - YEAR, last=today)
    if not rows:
        if before is not None:
            drop_tempo(athlete_id=athlete_id)
        return before is not None
    inputs = _fingerprint(rows)
    if inputs == before:
        return False
    told = learn([_timed_set(*row) for row in rows]).rounded()
    store_tempo(athlete_id=athlete_id, told=told, inputs=inputs)
    return True


def _timed_set(
    movement: UUID, day: dt.date, count: int, seconds: float, usual_s: float | None, ended_by: str
) -> TimedSet:
    usual = usual_s or DEFAULT_REPETITION_S
    return TimedSet(str(movement), day.toordinal(), float(count), seconds, usual, ended_by == "failure")


def _fingerprint(rows: Sequence[Row]) -> str:
    return hashlib.sha256(repr((METHOD_VERSION, rows)).encode()).hexdigest()


@compiled
def _timed(athlete: Given, first: Given, last: Given) -> QuerySet[SetLog, Any]:
    """The newest sets of repetitions with their seconds, in results that are believed and whose times do not
    contradict themselves; nothing from the first set on that pain ended, in whatever movement.
    """
    hurt = SetLog.objects.filter(
        attempt=OuterRef("attempt"), ended_by="pain", ordinal__lte=OuterRef("ordinal")
    )
    believed = latest_attempts(athlete).filter(
        ~Exists(unbelieved_reviews("id", WITHHELD | TIMES_CONTRADICTED)),
        local_date__gte=first,
        local_date__lte=last,
    )
    rows = SetLog.objects.filter(
        Q(attempt__in=believed.values("id")),
        ~Exists(hurt),
        ended_by__in=TELLING,
        repetitions__gte=LEAST_UNITS,
        duration_s__gt=0.0,
        ordinal__lt=MOST_OF_A_SESSION,
    ).annotate(usual_s=Cast(KeyTextTransform("repetition_s", f"{_VERSION}document"), FloatField()))
    newest = rows.order_by(F("attempt__performed_at").desc(), F("attempt_id").desc(), "ordinal")
    columns = (
        f"{_VERSION}variation__movement_id",
        "attempt__local_date",
        "repetitions",
        "duration_s",
        "usual_s",
        "ended_by",
    )
    return newest.values_list(*columns)[:MOST_SETS]
