"""Pre-exercise screening: answers are stored once and never changed; what changed since makes them void."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from django.db import transaction

from athletes.actions.support import hold_athlete, insert_once, local_date, refuse, require_own_or_staff
from athletes.guidance import question_set
from athletes.models import Athlete, Screening, ScreeningVoid
from services.changes.actions import record_change
from services.problems import MOST_ERRORS, FieldProblem
from services.tenancy.actor import Actor

CONTENT = ("athlete_id", "question_set", "answers", "used_to_vigorous_effort")


def record_screening(
    *,
    actor: Actor,
    athlete: Athlete,
    version: int,
    answers: Mapping[str, object],
    used_to_vigorous_effort: bool,
    now: dt.datetime,
    client_id: str | None = None,
) -> tuple[Screening, bool]:
    """Store the answers to the present questions; (row, was created). True is yes.

    The athlete answers, staff may enter it on the athlete's behalf. Raises Invalid for another version of the
    questions and unless every question is answered, Forbidden, ClientIdReused.
    """
    require_own_or_staff(actor, athlete)
    asked = question_set()
    if not isinstance(answers, Mapping):
        refuse([FieldProblem("#/answers", "wrong_type", "Must be an object of question keys.")])
    _check(version, answers)
    day = local_date(now, athlete.zone)
    row = Screening(
        org_id=actor.org_id,
        athlete=athlete,
        question_set=version,
        answers=dict(answers),
        concern=any(answers.values()),
        used_to_vigorous_effort=used_to_vigorous_effort,
        zone=athlete.zone,
        local_date=day,
        expires_on=asked.expires_on(day),
        client_id=client_id,
        recorded_by_id=actor.person_id,
    )
    with transaction.atomic():
        screening, created = insert_once(row, same=CONTENT)
        if created:
            record_change(kind="athlete", subject=athlete.id)
    return screening, created


def _check(version: int, answers: Mapping[str, object]) -> None:
    asked = question_set()
    problems = []
    if version != asked.version:
        detail = f"The questions are version {asked.version} now; read them again and ask those."
        problems.append(FieldProblem("#/question_set", "another_version", detail))
    for key in sorted(asked.keys - answers.keys()):
        problems.append(FieldProblem(f"#/answers/{key}", "required", "Answer every question with yes or no."))
    for key in sorted(key for key in asked.keys & answers.keys() if not isinstance(answers[key], bool)):
        problems.append(FieldProblem(f"#/answers/{key}", "wrong_type", "Must be true or false."))
    for key in sorted(answers.keys() - asked.keys)[:MOST_ERRORS]:
        problems.append(FieldProblem(f"#/answers/{key}", "unknown_question", "There is no such question."))
    refuse(problems)


def void_screening(
    *, actor: Actor, screening: Screening, now: dt.datetime, note: str = ""
) -> tuple[ScreeningVoid, bool]:
    """Say that something has changed since: the screening holds no longer and a new one is due; (row, was created).

    Saying it twice is saying it once. Raises Forbidden.
    """
    athlete = screening.athlete
    require_own_or_staff(actor, athlete)
    with transaction.atomic():
        hold_athlete(athlete.id)
        known = ScreeningVoid.objects.filter(screening=screening).first()
        if known is not None:
            return known, False
        row = ScreeningVoid.objects.create(
            org_id=actor.org_id,
            athlete=athlete,
            screening=screening,
            note=note,
            local_date=local_date(now, athlete.zone),
            recorded_by_id=actor.person_id,
        )
        record_change(kind="athlete", subject=athlete.id)
    return row, True
