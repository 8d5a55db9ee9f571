"""Absences: asked about when two weeks were silent, confirmed or denied by people, never assumed."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.db import transaction
from django.db.models import Max, QuerySet

from athletes.actions.late_logs import SILENCE, UNCONFIRMED, release_proved, release_question
from athletes.actions.support import (
    hold_athlete,
    insert_once,
    local_date,
    refuse,
    require_location,
    require_own_or_staff,
)
from athletes.actions.work import note_statement
from athletes.calc.absence import KINDS, PEAK_DAYS, Kind, silence_before
from athletes.models import Absence, AbsenceAnswer, Athlete, HoldRelease, WorkDone
from athletes.participation import first_day_for_athlete
from athletes.queries import active_athlete
from athletes.safety_errors import AbsenceAlreadyAnswered, AbsenceReleased
from services.changes.actions import record_change
from services.problems import FieldProblem
from services.tenancy.actor import Actor
from services.tenancy.compiled import Given, compiled

REPORTED: Final = "reported"
LONGEST_AHEAD: Final = dt.timedelta(days=366)


@dataclass(frozen=True)
class Answer:
    """What somebody says of an absence.

    trained False: away until `to_date`, and how the return goes. trained True: what was done, the last time on
    `to_date`.
    """

    trained: bool
    to_date: dt.date
    kind: Kind = "returning"
    what_was_done: str = ""


def ask_about_silence(*, athlete_id: UUID, now: dt.datetime, until: dt.datetime) -> Absence | None:
    """Write the question down when the next session up to `until` comes after two weeks of silence.

    Part of the recompute of an athlete, after what was done has been noted. The next session alone decides: before
    a later one there is still time to train. Also releases, in the name of who logged it, questions that training
    logged late has answered. At most six queries where nothing is asked or released, however many absences there
    were; running it twice is running it once.
    """
    athlete = active_athlete(athlete_id)
    if athlete is None:
        return None
    release_proved(athlete, now)
    day = first_day_for_athlete(athlete, now, until)
    if day is None:
        return None
    last = _last_work.first(athlete=athlete.id, before=day)
    silent = None if last is None else silence_before([last.toordinal()], day.toordinal())
    if silent is None:
        return None
    from_date = dt.date.fromordinal(silent.first_day)
    if _is_known(athlete, from_date):
        return None
    row = _absence(athlete, SILENCE, from_date, dt.date.fromordinal(silent.last_day))
    Absence.objects.bulk_create([row], ignore_conflicts=True)
    return Absence.objects.get(athlete=athlete, origin=SILENCE, from_date=from_date)


@compiled
def _last_work(athlete: Given, before: Given) -> QuerySet[WorkDone, dt.date]:
    rows = WorkDone.objects.filter(athlete=athlete, local_date__lt=before)
    return rows.order_by("-local_date").values_list("local_date", flat=True)[:1]


def _is_known(athlete: Athlete, from_date: dt.date) -> bool:
    """Whether this silence was asked about, or lies in an absence that somebody has confirmed."""
    if Absence.objects.filter(athlete=athlete, origin=SILENCE, from_date=from_date).exists():
        return True
    return AbsenceAnswer.objects.filter(athlete=athlete, trained=False, to_date__gte=from_date).exists()


def _absence(
    athlete: Athlete, origin: str, from_date: dt.date, to_date: dt.date, client_id: str | None = None
) -> Absence:
    return Absence(
        org_id=athlete.org_id,
        athlete=athlete,
        origin=origin,
        from_date=from_date,
        to_date=to_date,
        peak_volumes=peak_volumes(athlete.id, from_date),
        peak_amounts=peak_amounts(athlete.id, from_date),
        client_id=client_id,
    )


def peak_volumes(athlete_id: UUID, before: dt.date) -> dict[str, float]:
    """By movement the most repetitions in one session or test of the twelve weeks before a day (one query)."""
    peaks = (
        _work_before(athlete_id, before)
        .values_list("movement_id")
        .annotate(peak=Max("repetitions"))
        .order_by("movement_id")
    )
    return {str(movement): peak for movement, peak in peaks if peak > 0}


def peak_amounts(athlete_id: UUID, before: dt.date) -> dict[str, dict[str, float]]:
    """By movement and unit the most of what is not counted in repetitions, as `peak_volumes` has it (one query)."""
    found: dict[str, dict[str, float]] = {}
    rows = _work_before(athlete_id, before).exclude(amounts={}).order_by("movement_id")
    for movement, amounts in rows.values_list("movement_id", "amounts"):
        peaks = found.setdefault(str(movement), {})
        for unit, amount in amounts.items():
            peaks[unit] = max(amount, peaks.get(unit, 0.0))
    return found


def _work_before(athlete_id: UUID, before: dt.date) -> QuerySet[WorkDone]:
    return WorkDone.objects.filter(
        athlete_id=athlete_id,
        movement__isnull=False,
        doubted=False,
        local_date__lt=before,
        local_date__gte=before - dt.timedelta(days=PEAK_DAYS),
    )


def answer_absence(
    *, actor: Actor, absence: Absence, answer: Answer, now: dt.datetime
) -> tuple[AbsenceAnswer, bool]:
    """Confirm or deny; (row, was created). The same answer again is the same row.

    A confirmation takes effect at once, and no log takes it back. A denial by staff takes effect too; that of the
    athlete stands until a named person releases the hold. Raises Invalid, Forbidden, AbsenceAlreadyAnswered, and
    AbsenceReleased for a confirmation that would have no effect.
    """
    athlete = absence.athlete
    require_own_or_staff(actor, athlete)
    today = local_date(now, athlete.zone)
    _check(answer, absence.from_date, today)
    with transaction.atomic():
        hold_athlete(athlete.id)
        known = AbsenceAnswer.objects.filter(absence=absence).first()
        if known is not None:
            if not _says(known, answer):
                raise AbsenceAlreadyAnswered()
            return known, False
        if not answer.trained and HoldRelease.objects.filter(code=UNCONFIRMED, cause=absence.id).exists():
            raise AbsenceReleased()
        row = _write(actor, athlete, absence, answer, today)
        _record(athlete, absence)
    return row, True


def _write(actor: Actor, athlete: Athlete, absence: Absence, answer: Answer, today: dt.date) -> AbsenceAnswer:
    row = AbsenceAnswer.objects.create(
        org_id=actor.org_id,
        athlete=athlete,
        absence=absence,
        trained=answer.trained,
        kind="" if answer.trained else answer.kind,
        to_date=answer.to_date,
        what_was_done=answer.what_was_done,
        local_date=today,
        answered_by_id=actor.person_id,
    )
    if answer.trained and actor.person_id != athlete.person_id:
        release_question(athlete, absence.id, actor.person_id, answer.what_was_done, today)
        note_statement(actor=actor, athlete=athlete, absence_id=absence.id, day=answer.to_date)
    return row


def _says(row: AbsenceAnswer, answer: Answer) -> bool:
    kind = "" if answer.trained else answer.kind
    return (row.trained, row.kind, row.to_date, row.what_was_done) == (
        answer.trained,
        kind,
        answer.to_date,
        answer.what_was_done,
    )


def _check(answer: Answer, from_date: dt.date, today: dt.date) -> None:
    problems = []
    if answer.kind not in KINDS:
        problems.append(FieldProblem("#/kind", "unknown_kind", f"Use one of: {', '.join(KINDS)}."))
    if answer.to_date < from_date:
        detail = f"The last day lies before the first, {from_date}."
        problems.append(FieldProblem("#/to_date", "contradiction", detail))
    if answer.to_date > today + LONGEST_AHEAD:
        detail = "Tell of a year at most; what comes after is told when it is known."
        problems.append(FieldProblem("#/to_date", "out_of_range", detail))
    elif answer.trained and answer.to_date > today:
        problems.append(FieldProblem("#/to_date", "in_the_future", "This training has not taken place yet."))
    if answer.trained and not answer.what_was_done.strip():
        detail = "Say what was trained; a person of the staff reads it."
        problems.append(FieldProblem("#/what_was_done", "required", detail))
    refuse(problems)


def report_absence(
    *,
    actor: Actor,
    athlete: Athlete,
    from_date: dt.date,
    to_date: dt.date,
    kind: Kind,
    now: dt.datetime,
    note: str = "",
    client_id: str | None = None,
) -> tuple[Absence, bool]:
    """Tell of an absence before anybody asks (a journey, an illness, somebody new); (row, was created).

    It is confirmed by being told. Only staff say that somebody is new to training. Raises Invalid, Forbidden,
    ClientIdReused.
    """
    require_own_or_staff(actor, athlete)
    if kind == "new":
        require_location(actor, athlete.location_id)
    answer = Answer(trained=False, to_date=to_date, kind=kind, what_was_done=note)
    _check(answer, from_date, local_date(now, athlete.zone))
    with transaction.atomic():
        hold_athlete(athlete.id)
        row = _absence(athlete, REPORTED, from_date, to_date, client_id)
        absence, created = insert_once(row, same=("athlete_id", "from_date", "to_date"))
        if created:
            _write(actor, athlete, absence, answer, local_date(now, athlete.zone))
            _record(athlete, absence)
    return absence, created


def _record(athlete: Athlete, absence: Absence) -> None:
    """What is prescribed changes, and whether the athlete has a place in rankings."""
    record_change(kind="athlete", subject=athlete.id, from_date=absence.from_date)
    record_change(kind="absence", subject=athlete.id)
