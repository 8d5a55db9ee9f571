"""Questions of an absence that end without an answer: by a named person, or by training that was logged late.

A late log ends a question that nobody has confirmed. A confirmed absence is the word of a person, and a log, which
may be the athlete's own, does not lift the return that follows from it, not even a part: that takes a release by a
named person (`athletes.actions.holds`), for which `athletes.safeties` asks in the notes.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet, Subquery

from athletes.actions.support import hold_athlete, local_date
from athletes.actions.work import FROM_STATEMENT
from athletes.calc.absence import SILENT_DAYS
from athletes.models import Absence, AbsenceAnswer, Athlete, HoldRelease, WorkDone
from services.tenancy.compiled import Given, compiled

SILENCE: Final = "silence"
UNCONFIRMED: Final = "absence_unconfirmed"
_DAY: Final = dt.timedelta(days=1)


@dataclass(frozen=True)
class _Proof:
    """Training of the day that the question did not know of, and who logged it."""

    absence_id: UUID
    day: dt.date
    person_id: UUID


def release_proved(athlete: Athlete, now: dt.datetime) -> None:
    """Training on a day before the question was asked, logged after it, takes the two weeks away.

    Whoever logged it is the named person; the log says what was done. One query where there is nothing to release,
    however many absences there were.
    """
    if not _proofs(athlete):
        return
    hold_athlete(athlete.id)  # whoever confirms at this moment comes first
    today = local_date(now, athlete.zone)
    for proof in _proofs(athlete):
        reason = f"Training of {proof.day} was logged after the question."
        release_question(athlete, proof.absence_id, proof.person_id, reason, today)


def _proofs(athlete: Athlete) -> list[_Proof]:
    """Of each question neither released nor confirmed the first training since, where it answers the question.

    It was before the question, and leaves less than two weeks without any (one query).
    """
    found = []
    for absence_id, from_date, created_at, day, person_id in _trained_since(athlete=athlete.id):
        silent = (day - (from_date - _DAY)).days
        if day <= local_date(created_at, athlete.zone) and silent < SILENT_DAYS:
            found.append(_Proof(absence_id, day, person_id))
    return found


@compiled
def _trained_since(athlete: Given) -> QuerySet[Absence, tuple[UUID, dt.date, dt.datetime, dt.date, UUID]]:
    released = HoldRelease.objects.filter(code=UNCONFIRMED, cause=OuterRef("id"))
    confirmed = AbsenceAnswer.objects.filter(absence=OuterRef("id"), trained=False)
    work = WorkDone.objects.filter(athlete=OuterRef("athlete"), local_date__gte=OuterRef("from_date"))
    first = work.exclude(source=FROM_STATEMENT).order_by("local_date", "id")
    questions = Absence.objects.filter(~Exists(released), ~Exists(confirmed), athlete=athlete, origin=SILENCE)
    logged: QuerySet[Any] = questions.annotate(
        day=Subquery(first.values("local_date")[:1]), person=Subquery(first.values("recorded_by")[:1])
    )
    return logged.exclude(day=None).values_list("id", "from_date", "created_at", "day", "person")


def release_question(athlete: Athlete, absence_id: UUID, person_id: UUID, reason: str, day: dt.date) -> None:
    """In the name of a person, unless somebody has done it already."""
    row = HoldRelease(
        org_id=athlete.org_id,
        athlete_id=athlete.id,
        code=UNCONFIRMED,
        cause=absence_id,
        covers=[str(absence_id)],
        reason=reason,
        local_date=day,
        released_by_id=person_id,
    )
    HoldRelease.objects.bulk_create([row], ignore_conflicts=True)
