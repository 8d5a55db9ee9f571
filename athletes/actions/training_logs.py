"""Training that is no scheduled session, and days of rest."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any, Final, TypedDict, Unpack

from django.db import transaction

from athletes.actions.support import (
    insert_once,
    local_date,
    refuse,
    refuse_future,
    refuse_long_ago,
    require_own_or_staff,
)
from athletes.models import Athlete, RestDay, TrainingLog
from services.api.conditional import delete_versioned, update_versioned
from services.changes.actions import record_change
from services.problems import FieldProblem
from services.tenancy.actor import Actor

NUMBERS: Final = ("effort", "minutes", "distance_m", "mean_heart_rate", "highest_heart_rate")
CONTENT: Final = ("athlete_id", "modality", *NUMBERS, "started_at", "note")


@dataclass(frozen=True)
class Trained:
    """What somebody did; effort 0 to 10 and minutes of the whole of it, rates in beats a minute."""

    modality: str
    effort: float
    minutes: float
    started_at: dt.datetime
    distance_m: float | None = None
    mean_heart_rate: float | None = None
    highest_heart_rate: float | None = None
    note: str = ""


class TrainedFields(TypedDict, total=False):
    """What of a training log may be changed: all of `Trained`."""

    modality: str
    effort: float
    minutes: float
    started_at: dt.datetime
    distance_m: float | None
    mean_heart_rate: float | None
    highest_heart_rate: float | None
    note: str


def log_training(
    *,
    actor: Actor,
    athlete: Athlete,
    trained: Trained,
    now: dt.datetime,
    client_id: str | None = None,
    priority: int = 0,
) -> tuple[TrainingLog, bool]:
    """Store it; (row, was created). priority: of the recompute that it asks for.

    Raises Invalid for what cannot be meant, Forbidden, ClientIdReused.
    """
    require_own_or_staff(actor, athlete)
    _check(trained.mean_heart_rate, trained.highest_heart_rate)
    refuse_future(trained.started_at, now, "#/started_at")
    row = TrainingLog(
        org_id=actor.org_id,
        athlete=athlete,
        **vars(trained),
        zone=athlete.zone,
        local_date=local_date(trained.started_at, athlete.zone),
        client_id=client_id,
        recorded_by_id=actor.person_id,
    )
    with transaction.atomic():
        stored, created = insert_once(row, same=CONTENT)
        if created:  # what was stored before is answered as it was
            refuse_long_ago(trained.started_at, now, athlete, "#/started_at")
            record_change(kind="athlete", subject=athlete.id, from_date=stored.local_date, priority=priority)
    return stored, created


def change_training_log(
    *, actor: Actor, log: TrainingLog, expected: int, now: dt.datetime, **fields: Unpack[TrainedFields]
) -> TrainingLog:
    """Correct what was logged. Raises Invalid, Forbidden, PreconditionFailed.

    The day goes by the clock of the zone in which it was logged, wherever the athlete is by now.
    """
    athlete = log.athlete
    require_own_or_staff(actor, athlete)
    _check(
        fields.get("mean_heart_rate", log.mean_heart_rate),
        fields.get("highest_heart_rate", log.highest_heart_rate),
    )
    moved: dict[str, Any] = {}
    earliest = log.local_date
    if "started_at" in fields:
        refuse_future(fields["started_at"], now, "#/started_at")
        refuse_long_ago(fields["started_at"], now, athlete, "#/started_at")
        moved["local_date"] = local_date(fields["started_at"], log.zone)
        earliest = min(earliest, moved["local_date"])
    with transaction.atomic():
        changed = update_versioned(log, expected, **fields, **moved)
        record_change(kind="athlete", subject=athlete.id, from_date=earliest)
    return changed


def remove_training_log(*, actor: Actor, log: TrainingLog, expected: int) -> None:
    """Remove what was logged by mistake. Raises Forbidden, PreconditionFailed."""
    require_own_or_staff(actor, log.athlete)
    with transaction.atomic():
        delete_versioned(log, expected)
        record_change(kind="athlete", subject=log.athlete_id, from_date=log.local_date)


def confirm_rest(*, actor: Actor, athlete: Athlete, day: dt.date, now: dt.datetime) -> tuple[RestDay, bool]:
    """Say that there was no training on a day; (row, was created). Where there was some after all, that counts.

    Raises Invalid for a day to come, ten years ago or before birth, Forbidden.
    """
    require_own_or_staff(actor, athlete)
    if day > local_date(now, athlete.zone):
        detail = "This day is still to come; confirm rest when it is over."
        refuse([FieldProblem("#/local_date", "in_the_future", detail)])
    noon = dt.datetime.combine(day, dt.time(12), tzinfo=dt.UTC)
    refuse_long_ago(noon, now, athlete, "#/local_date")
    with transaction.atomic():
        row, created = RestDay.objects.get_or_create(
            org_id=actor.org_id,
            athlete=athlete,
            local_date=day,
            defaults={"recorded_by_id": actor.person_id},
        )
        if created:
            record_change(kind="athlete", subject=athlete.id, from_date=day)
    return row, created


def take_rest_back(*, actor: Actor, rest_day: RestDay) -> None:
    """The day is not known to have been one of rest any more. Raises Forbidden."""
    require_own_or_staff(actor, rest_day.athlete)
    with transaction.atomic():
        rest_day.delete()
        record_change(kind="athlete", subject=rest_day.athlete_id, from_date=rest_day.local_date)


def _check(mean: float | None, highest: float | None) -> None:
    if mean is not None and highest is not None and mean > highest:
        detail = "The mean lies above the highest rate; check which is which."
        refuse([FieldProblem("#/mean_heart_rate", "contradiction", detail)])
