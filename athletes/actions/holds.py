"""Holds: set by the staff, and released by a named person with a reason. Advisory; physicians decide, not this."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from uuid import UUID

from django.db import transaction

from athletes.actions.support import hold_athlete, insert_once, local_date, refuse, require_location
from athletes.actions.work import note_statement
from athletes.models import (
    Absence,
    AbsenceAnswer,
    Athlete,
    HoldRelease,
    Report,
    ReportReview,
    Screening,
    StaffHold,
)
from athletes.safety import Hold, HoldCode
from athletes.safety_errors import NotYourHold, OwnHold, ReportNotAcknowledged
from athletes.safety_words import MAY_RELEASE, SHORTEST_CLEARANCE
from services.changes.actions import record_change
from services.problems import FieldProblem
from services.tenancy.actor import STAFF, Actor, Role


def set_hold(
    *, actor: Actor, athlete: Athlete, reason: str, now: dt.datetime, client_id: str | None = None
) -> tuple[StaffHold, bool]:
    """Hold an athlete for a reason of the staff's own; (row, was created). Raises Forbidden, ClientIdReused."""
    require_location(actor, athlete.location_id)
    _require_text(reason, "#/reason")
    row = StaffHold(
        org_id=actor.org_id,
        athlete=athlete,
        reason=reason,
        local_date=local_date(now, athlete.zone),
        client_id=client_id,
        set_by_id=actor.person_id,
    )
    with transaction.atomic():
        hold, created = insert_once(row, same=("athlete_id", "reason"))
        if created:
            record_change(kind="athlete", subject=athlete.id)
    return hold, created


def release_hold(
    *,
    actor: Actor,
    athlete: Athlete,
    code: HoldCode,
    cause: UUID,
    reason: str,
    now: dt.datetime,
    cleared_by: str = "",
) -> tuple[HoldRelease, bool]:
    """Let the athlete go on; (row, was created). Covers the cause and the older causes of its code, nothing newer.

    Never by the athlete themselves. Releasing twice is releasing once. cleared_by: which licensed person said what;
    a red flag does not go without it. Raises Invalid for a code that only a new screening ends, for a cause that is
    not there and for a red flag that is not accounted for, ReportNotAcknowledged, Forbidden.
    """
    require_location(actor, athlete.location_id)
    if actor.person_id == athlete.person_id:
        raise OwnHold()
    _require_text(reason, "#/reason")
    if code not in MAY_RELEASE:
        detail = "No release ends this hold: record a new screening."
        refuse([FieldProblem("#/code", "needs_a_screening", detail)])
    if actor.role not in MAY_RELEASE[code]:
        raise NotYourHold()
    with transaction.atomic():
        hold_athlete(athlete.id)
        known = HoldRelease.objects.filter(athlete=athlete, code=code, cause=cause).first()
        if known is not None:
            return known, False
        covers = _covered(athlete, code, cause)
        if code == "red_flag":
            _require_clearance(covers, reason, cleared_by)
        row = HoldRelease.objects.create(
            org_id=actor.org_id,
            athlete=athlete,
            code=code,
            cause=cause,
            covers=[str(one) for one in covers],
            reason=reason,
            cleared_by=cleared_by,
            local_date=local_date(now, athlete.zone),
            released_by_id=actor.person_id,
        )
        if code == "absence_unconfirmed":
            _note_training(actor, athlete, cause, row.local_date)
        record_change(kind="athlete", subject=athlete.id)
        if (
            code == "absence_unconfirmed"
        ):  # of a confirmed one it ends the return, and with it the lack of a place
            record_change(kind="absence", subject=athlete.id)
    return row, True


def require_release(actor: Actor, athlete: Athlete, holds: Sequence[Hold]) -> None:
    """Raise unless the actor may end every one of the holds: to prescribe past one is as much as to release it.

    A hold that only a new screening ends is one for the staff who may record it. Raises OwnHold, NotYourHold.
    """
    if not holds:
        return
    if actor.person_id == athlete.person_id:
        raise OwnHold()
    if actor.role == Role.LOCATION_STAFF and athlete.location_id not in actor.location_ids:
        raise NotYourHold(
            "Only an owner, a coach or staff of where the athlete trains may prescribe past this hold."
        )
    barred = [hold for hold in holds if actor.role not in MAY_RELEASE.get(hold.code, STAFF)]
    if barred:
        raise NotYourHold(f"Prescribing past this hold is for who may release it: {barred[0].released_by}.")


def _covered(athlete: Athlete, code: HoldCode, cause: UUID) -> list[UUID]:
    """The causes of a code up to the named one, oldest first. Raises Invalid when it is not among them."""
    if code == "absence_unconfirmed":
        causes: Collection[UUID] = Absence.objects.filter(athlete=athlete, id=cause).values_list(
            "id", flat=True
        )
    elif code == "screening_yes":
        rows = Screening.objects.filter(athlete=athlete, concern=True)
        causes = rows.order_by("created_at", "id").values_list("id", flat=True)
    elif code == "set_by_staff":
        holds = StaffHold.objects.filter(athlete=athlete).order_by("created_at", "id")
        causes = holds.values_list("id", flat=True)
    else:
        reports = Report.objects.filter(athlete=athlete, kind=code).order_by("created_at", "id")
        causes = reports.values_list("id", flat=True)
    listed = list(causes)
    if cause not in listed:
        detail = "There is no such cause of a hold of this kind; read the athlete's holds."
        refuse([FieldProblem("#/cause", "unknown_cause", detail)])
    return listed[: listed.index(cause) + 1]


def _require_clearance(reports: Collection[UUID], reason: str, cleared_by: str) -> None:
    """A warning sign is let go by what somebody licensed said. Raises Invalid, ReportNotAcknowledged."""
    problems = []
    if len(reason.strip()) < SHORTEST_CLEARANCE:
        detail = f"Say in {SHORTEST_CLEARANCE} characters or more what has been found out."
        problems.append(FieldProblem("#/reason", "too_short", detail))
    if not cleared_by.strip():
        detail = "Say which physician or other licensed person has cleared the athlete, and what they said."
        problems.append(FieldProblem("#/cleared_by", "required", detail))
    refuse(problems)
    waiting = ReportReview.objects.filter(report_id__in=reports, acknowledged_at=None)
    open_reports = waiting.order_by("created_at", "id").values_list("report_id", flat=True)
    if open_reports:
        raise ReportNotAcknowledged(
            errors=[
                FieldProblem("#/cause", "not_acknowledged", f"Acknowledge the report {one} first.")
                for one in open_reports
            ]
        )


def _note_training(actor: Actor, athlete: Athlete, absence_id: UUID, today: dt.date) -> None:
    """Who is released from the question of an absence did train; the day counts, so that silence is counted anew.

    Not where the absence was confirmed: then the release ends a return, and nobody said that there was training.
    """
    answer = AbsenceAnswer.objects.filter(absence_id=absence_id).first()
    if answer is not None and not answer.trained:
        return
    absence = Absence.objects.get(id=absence_id)
    day = answer.to_date if answer is not None else min(absence.to_date, today)
    note_statement(actor=actor, athlete=athlete, absence_id=absence_id, day=day)


def _require_text(text: str, pointer: str) -> None:
    if not text.strip():
        refuse([FieldProblem(pointer, "blank", "Say why.")])
