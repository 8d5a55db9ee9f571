"""What was done by movement and day, kept for the questions of safety; derived from tests, results and statements."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any, Final
from uuid import UUID

from django.db import transaction
from django.db.models import Exists, OuterRef, QuerySet

from athletes.actions.support import require_org
from athletes.catalogue import versions
from athletes.models import Assessment, Athlete, WorkDone
from athletes.moments import NOON, hours_into
from programming.calc.variation import REPETITIONS, UNITS
from services.tenancy.actor import Actor
from services.tenancy.compiled import Given, any_of, compiled, compiled_delete
from services.tenancy.inserted import insert

AMOUNTS: Final = tuple(unit for unit in UNITS if unit != REPETITIONS)
FROM_ATTEMPT: Final = "attempt"
FROM_ASSESSMENT: Final = "assessment"
FROM_STATEMENT: Final = "statement"


@dataclass(frozen=True)
class WorkRow:
    """What one source says of one movement (None: that there was training, and no more).

    hour is that of local_date; amounts: by unit what is not counted in repetitions, in metres, kilocalories, seconds.
    doubted: the numbers wait for somebody to look at them.
    """

    source_id: UUID
    movement_id: UUID | None
    local_date: dt.date
    repetitions: float
    failure_repetitions: float
    eccentric: float
    recorded_by_id: UUID
    hour: float = NOON
    amounts: Mapping[str, float] = field(default_factory=dict)
    doubted: bool = False


def amounts_of(rows: Iterable[Any]) -> dict[str, float]:
    """By unit the amounts of sets or tests, added up; repetitions have a place of their own."""
    found: dict[str, float] = {}
    for row in rows:
        for unit in AMOUNTS:
            done = float(getattr(row, unit) or 0.0)
            if done > 0.0:
                found[unit] = found.get(unit, 0.0) + done
    return found


def replace_work(
    *, athlete_id: UUID, source: str, source_ids: Collection[UUID], rows: Sequence[WorkRow]
) -> None:
    """Make these the rows of the named sources (two queries). Running it twice is running it once."""
    with transaction.atomic(savepoint=False):
        _drop(athlete=athlete_id, source=source, sources=list(source_ids))
        org_id = require_org()
        insert([WorkDone(org_id=org_id, athlete_id=athlete_id, source=source, **asdict(row)) for row in rows])


@compiled_delete
def _drop(athlete: Given, source: Given, sources: Given) -> QuerySet[WorkDone]:
    return WorkDone.objects.filter(athlete_id=athlete, source=source, source_id=any_of(sources))


def note_tests(*, athlete_id: UUID) -> None:
    """Bring the work of the athlete's tests up to date (one query when nothing is new).

    What a correction replaces goes when the correction comes, which is new then.
    """
    new = _new_tests(athlete=athlete_id)
    if any(test.replaces_id is not None for test in new):
        _drop_replaced(athlete=athlete_id)
    if new:
        replace_work(
            athlete_id=athlete_id, source=FROM_ASSESSMENT, source_ids=[row.id for row in new], rows=_of(new)
        )


@compiled
def _new_tests(athlete: Given) -> QuerySet[Assessment]:
    later = Assessment.objects.filter(replaces=OuterRef("id"), athlete_id=athlete)
    # Of this athlete alone: a subject's cost must not grow with the organisation, whatever the planner knows of it.
    known = WorkDone.objects.filter(source=FROM_ASSESSMENT, source_id=OuterRef("id"), athlete_id=athlete)
    return Assessment.objects.filter(~Exists(later), ~Exists(known), athlete_id=athlete)


@compiled_delete
def _drop_replaced(athlete: Given) -> QuerySet[WorkDone]:
    replaced = Assessment.objects.filter(replaces=OuterRef("source_id"), athlete_id=athlete)
    return WorkDone.objects.filter(Exists(replaced), athlete_id=athlete, source=FROM_ASSESSMENT)


def _of(tests: Sequence[Assessment]) -> list[WorkRow]:
    known = versions({test.variation_version_id for test in tests})
    rows = []
    for test in tests:
        version = known[test.variation_version_id]
        done = float(test.repetitions or 0)
        failed = done if test.ended_by == "failure" else 0.0
        rows.append(
            WorkRow(
                source_id=test.id,
                movement_id=version.movement_id,
                local_date=test.local_date,
                repetitions=done,
                failure_repetitions=failed,
                eccentric=version.variation.eccentric,
                recorded_by_id=test.recorded_by_id,
                hour=hours_into(test.local_date, test.performed_at, test.zone),
                amounts=amounts_of([test]),
            )
        )
    return rows


def note_statement(*, actor: Actor, athlete: Athlete, absence_id: UUID, day: dt.date) -> None:
    """Somebody says that there was training on the day, although nothing was logged."""
    row = WorkRow(absence_id, None, day, 0.0, 0.0, 0.0, actor.person_id)
    replace_work(athlete_id=athlete.id, source=FROM_STATEMENT, source_ids=[absence_id], rows=[row])
