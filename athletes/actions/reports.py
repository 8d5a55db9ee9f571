"""Reports of pain and of signs of an emergency: stored as told, acknowledged by a named person."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from django.db import transaction

from athletes.actions.support import (
    insert_once,
    local_date,
    refuse,
    refuse_future,
    require_location,
    require_own_or_staff,
)
from athletes.emergency import recipient_for
from athletes.models import Athlete, Report, ReportReview
from athletes.safety_errors import AlreadyAcknowledged
from athletes.safety_words import SIDES, SIGNS, SITES
from programming.models import ScheduledSession
from services.changes.actions import record_change
from services.problems import FieldProblem
from services.tenancy.actor import Actor

PAIN, RED_FLAG = "pain", "red_flag"
WORST = 10
CONTENT = (
    "athlete_id",
    "kind",
    "sign",
    "site",
    "side",
    "severity",
    "session_id",
    "during",
    "note",
    "happened_at",
)


@dataclass(frozen=True)
class Told:
    """A report as it arrives. kind pain has site, side and severity 0..10; kind red_flag has the sign."""

    kind: str
    happened_at: dt.datetime
    sign: str = ""
    site: str = ""
    side: str = ""
    severity: int | None = None
    session_id: UUID | None = None
    during: str = ""
    note: str = ""


def create_report(
    *, actor: Actor, athlete: Athlete, told: Told, now: dt.datetime, client_id: str | None = None
) -> tuple[ReportReview, bool]:
    """Store a report with the person who is to look at it; (its review, was created).

    A sign of an emergency holds the athlete from now on, and so does strong or repeated pain. Raises Invalid,
    Forbidden, ClientIdReused.
    """
    require_own_or_staff(actor, athlete)
    _check(told)
    refuse_future(told.happened_at, now, "#/happened_at")
    row = Report(
        org_id=actor.org_id,
        athlete=athlete,
        kind=told.kind,
        sign=told.sign,
        site=told.site,
        side=told.side,
        severity=told.severity,
        session_id=told.session_id,
        during=told.during,
        note=told.note,
        happened_at=told.happened_at,
        zone=athlete.zone,
        local_date=local_date(told.happened_at, athlete.zone),
        client_id=client_id,
        reported_by_id=actor.person_id,
    )
    with transaction.atomic():
        report, created = insert_once(row, same=CONTENT)
        if not created:
            return ReportReview.objects.select_related("recipient__person", "report").get(
                report=report
            ), False
        recipient = recipient_for(athlete.location_id)
        review = ReportReview.objects.create(org_id=actor.org_id, report=report, recipient=recipient)
        record_change(kind="athlete", subject=athlete.id)
    return review, True


def _check(told: Told) -> None:
    problems = _pain_problems(told) if told.kind == PAIN else _flag_problems(told)
    if told.session_id is not None and not ScheduledSession.objects.filter(id=told.session_id).exists():
        detail = "There is no such scheduled session in this organisation."
        problems.append(FieldProblem("#/session", "unknown_reference", detail))
    refuse(problems)


def _pain_problems(told: Told) -> list[FieldProblem]:
    found = []
    for name, value, known in (("site", told.site, SITES), ("side", told.side, SIDES)):
        if value not in known:
            detail = f"Pain has a {name}: one of {', '.join(known)}."
            found.append(FieldProblem(f"#/{name}", "required", detail))
    if told.severity is None or not 0 <= told.severity <= WORST:
        found.append(FieldProblem("#/severity", "required", f"Pain has a severity from 0 to {WORST}."))
    if told.sign:
        detail = "A sign of an emergency is a report of the kind red_flag; send that at once."
        found.append(FieldProblem("#/sign", "contradiction", detail))
    return found


def _flag_problems(told: Told) -> list[FieldProblem]:
    """As little as possible: nobody fills in a form in an emergency, so site and severity are welcome, not asked."""
    if told.sign in SIGNS:
        return []
    return [FieldProblem("#/sign", "required", f"Name the sign: one of {', '.join(SIGNS)}.")]


def acknowledge_report(
    *, actor: Actor, review: ReportReview, note: str, now: dt.datetime
) -> tuple[ReportReview, bool]:
    """Say that one has seen it and takes it on; (row, was done now). Once; releases no hold.

    Raises Forbidden, AlreadyAcknowledged when it was somebody else.
    """
    require_location(actor, review.report.athlete.location_id)
    mine = ReportReview.objects.filter(id=review.id, acknowledged_at=None)
    done = mine.update(acknowledged_at=now, acknowledged_by_id=actor.person_id, is_closed=True, note=note)
    review.refresh_from_db(fields=["acknowledged_at", "acknowledged_by", "is_closed", "note"])
    if not done and review.acknowledged_by_id != actor.person_id:
        raise AlreadyAcknowledged()
    return review, bool(done)
