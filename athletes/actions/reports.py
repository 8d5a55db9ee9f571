"""Reports of pain and of signs of an emergency: stored as told, acknowledged by a named person."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from athletes.actions.support import (
    local_date,
    refuse,
    require_location,
    require_own_or_staff,
)
from athletes.emergency import recipient_for
from athletes.models import Athlete, Report, ReportReview
from athletes.participation import received_about
from athletes.reported import UNKNOWN_REFERENCE, USED_BEFORE, Otherwise, Told
from athletes.safety_errors import AlreadyAcknowledged, OwnReport
from athletes.safety_words import SIDES, SIGNS, SITES
from programming.models import ScheduledSession
from services.changes.actions import record_change
from services.problems import FieldProblem
from services.tenancy.actor import Actor

PAIN, RED_FLAG = "pain", "red_flag"
WORST = 10

__all__ = ["PAIN", "RED_FLAG", "WORST", "Told", "acknowledge_report", "create_report"]


def create_report(
    *,
    actor: Actor,
    athlete: Athlete,
    told: Told,
    now: dt.datetime,
    client_id: str | None = None,
    passed_over: Sequence[Otherwise] = (),
) -> tuple[ReportReview, bool]:
    """Store a report with the person who is to look at it; (its review, was created).

    A sign of an emergency holds the athlete from now on, and so does strong or repeated pain. Only what was told
    before by the same `client_id`, word for word, is the same report; what is stored otherwise than it was told is
    noted with the row, and so is what was `passed_over` of the request around it. Staff may report of whoever comes
    to a session of theirs. Raises Invalid where the sign is missing or a word is not known, Forbidden.
    """
    if not received_about(actor, now.date()).filter(id=athlete.id).exists():
        require_own_or_staff(actor, athlete)
    _check(told)
    with transaction.atomic():
        report, created = _insert_once(_report(actor, athlete, told, now, client_id, passed_over))
        if not created:
            return ReportReview.objects.select_related("recipient__person", "report").get(
                report=report
            ), False
        recipient = recipient_for(athlete.location_id)
        review = ReportReview.objects.create(org_id=actor.org_id, report=report, recipient=recipient)
        record_change(kind="athlete", subject=athlete.id)
    return review, True


def _report(
    actor: Actor,
    athlete: Athlete,
    told: Told,
    now: dt.datetime,
    client_id: str | None,
    passed_over: Sequence[Otherwise],
) -> Report:
    """The row as it is stored (two queries at most)."""
    happened_at, of_time = told.instant(now)
    otherwise = [*told.otherwise, *of_time, *passed_over]
    session_id = told.session_id
    if session_id is not None and not ScheduledSession.objects.filter(id=session_id).exists():
        otherwise.append(Otherwise("session", str(session_id), UNKNOWN_REFERENCE))
        session_id = None
    if client_id is not None and _of_client_id(athlete, client_id).exists():
        otherwise.append(Otherwise("client_id", client_id, USED_BEFORE))
    return Report(
        org_id=actor.org_id,
        athlete=athlete,
        kind=told.kind,
        sign=told.sign,
        site=told.site,
        side=told.side,
        severity=told.severity,
        session_id=session_id,
        during=told.during,
        note=told.note,
        happened_at=happened_at,
        zone=athlete.zone,
        local_date=local_date(happened_at, athlete.zone),
        taken_otherwise=[one.to_json() for one in otherwise],
        client_id=client_id,
        told_digest=told.digest(),
        reported_by_id=actor.person_id,
    )


def _of_client_id(athlete: Athlete, client_id: str) -> QuerySet[Report]:
    """Of this athlete alone: what somebody else's device has sent is no reason to refuse anything."""
    return Report.objects.filter(athlete=athlete, client_id=client_id)


def _insert_once(row: Report) -> tuple[Report, bool]:
    """Insert the row, unless the same was told with its `client_id` before; (row, was inserted)."""
    if row.client_id is None:
        row.save(force_insert=True)
        return row, True
    same = _of_client_id(row.athlete, row.client_id).filter(told_digest=row.told_digest)
    stored = same.first()
    if stored is None:
        try:
            with transaction.atomic():
                row.save(force_insert=True)
            return row, True
        except IntegrityError:
            stored = same.first()
            if stored is None:  # it was another rule that refused the row
                raise
    return stored, False


def _check(told: Told) -> None:
    refuse(_pain_problems(told) if told.kind == PAIN else _flag_problems(told))


def _pain_problems(told: Told) -> list[FieldProblem]:
    """What is told must be known; where, which side and how strong may stay open, since that can be asked later."""
    found = []
    for name, value, known in (("site", told.site, SITES), ("side", told.side, SIDES)):
        if value and value not in known:
            detail = f"Pain has a {name}: one of {', '.join(known)}."
            found.append(FieldProblem(f"#/{name}", "required", detail))
    if told.severity is not None and not 0 <= told.severity <= WORST:
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

    Never by the athlete of whom it tells: somebody else is to look. Raises Forbidden, OwnReport,
    AlreadyAcknowledged when it was somebody else.
    """
    require_location(actor, review.report.athlete.location_id)
    if actor.person_id == review.report.athlete.person_id:
        raise OwnReport()
    mine = ReportReview.objects.filter(id=review.id, acknowledged_at=None)
    done = mine.update(acknowledged_at=now, acknowledged_by_id=actor.person_id, is_closed=True, note=note)
    review.refresh_from_db(fields=["acknowledged_at", "acknowledged_by", "is_closed", "note"])
    if not done and review.acknowledged_by_id != actor.person_id:
        raise AlreadyAcknowledged()
    return review, bool(done)
