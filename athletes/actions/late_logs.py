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

SILENCE: Final = "silence"
UNCONFIRMED: Final = "absence_unconfirmed"
_DAY: Final = dt.timedelta(days=1)


@dataclass(frozen=True)
class _Proof:
    """Training of the day that the question did not know of, and who logged it."""

    absence: Absence
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
        release_question(proof.absence, proof.person_id, reason, today)


def _proofs(athlete: Athlete) -> list[_Proof]:
    """Of each question neither released nor confirmed the first training since, where it answers the question.

    It was before the question, and leaves less than two weeks without any (one query).
    """
    released = HoldRelease.objects.filter(code=UNCONFIRMED, cause=OuterRef("id"))
    confirmed = AbsenceAnswer.objects.filter(absence=OuterRef("id"), trained=False)
    work = WorkDone.objects.filter(athlete=OuterRef("athlete"), local_date__gte=OuterRef("from_date"))
    first = work.exclude(source=FROM_STATEMENT).order_by("local_date", "id")
    questions = Absence.objects.filter(~Exists(released), ~Exists(confirmed), athlete=athlete, origin=SILENCE)
    logged: QuerySet[Any] = questions.annotate(
        _day=Subquery(first.values("local_date")[:1]), _person=Subquery(first.values("recorded_by")[:1])
    )
    found = []
    for absence in logged.exclude(_day=None):
        proof = _Proof(absence, absence._day, absence._person)
        silent = (proof.day - (absence.from_date - _DAY)).days
        if proof.day <= local_date(absence.created_at, athlete.zone) and silent < SILENT_DAYS:
            found.append(proof)
    return found


def release_question(absence: Absence, person_id: UUID, reason: str, day: dt.date) -> None:
    """In the name of a person, unless somebody has done it already."""
    row = HoldRelease(
        org_id=absence.org_id,
        athlete_id=absence.athlete_id,
        code=UNCONFIRMED,
        cause=absence.id,
        covers=[str(absence.id)],
        reason=reason,
        local_date=day,
        released_by_id=person_id,
    )
    HoldRelease.objects.bulk_create([row], ignore_conflicts=True)
