"""Storing results: as they were sent, once, never changed; a correction is a new version with its reason."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import Exists, OuterRef
from django.utils import timezone

from athletes.actions.support import hold_athlete, local_date, refuse_future, refuse_long_ago
from athletes.errors import ClientIdReused
from athletes.models import Athlete
from athletes.participation import athletes_visible_in
from programming.models import ScheduledSession
from programming.plans import VariationEntry, session_plan
from programming.queries import scheduled_sessions_visible_to
from scoring.actions.floor import require_floor
from scoring.errors import ResultAlreadyCorrected, ResultExists
from scoring.models import Attempt, Prescription, Review, SetLog
from scoring.sent import BLOCKS, SETTINGS, amount_of, parts_of, sets_of
from scoring.timing import is_early
from services.changes.actions import record_change
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import Actor

SENT_AHEAD: Final = "The earlier one was sent before the session, and nobody had accepted it."


@dataclass(frozen=True)
class Report:
    """A result as it arrived: `as_sent` is the body, `data` what stands under the name of its kind, validated."""

    kind: str
    data: Any
    as_sent: Mapping[str, Any]
    performed_at: dt.datetime
    client_id: str | None
    prescription_id: UUID | None = None
    note: str = ""
    effort: float | None = None
    minutes: float | None = None


@transaction.atomic
def submit_attempt(
    *, actor: Actor, session_id: UUID, athlete_id: UUID, report: Report, priority: int = 0
) -> tuple[Attempt, bool]:
    """Store a result and ask for its recompute; (attempt, was stored now).

    The same `client_id` with the same content is the same result. Raises Invalid for what cannot be meant,
    ResultExists when the athlete already has one, NothingPrescribed for a result as prescribed without a plan.
    What merely does not add up is stored; the review says so. What was sent ahead of the session, and nobody has
    accepted, keeps no result of the session itself out: that one replaces it. priority: of the recompute.
    """
    session = _session(actor, session_id)
    athlete = _athlete(actor, session, athlete_id)
    # In this order: what is there by now may be this very result, sent twice at once, and is then known as well.
    taken = _latest(session, athlete)
    known = _known(report, session, athlete)
    if known is not None:
        return known, False
    if taken is None:
        return _store(actor, session, athlete, report, replaces=None, reason="", priority=priority)
    ahead = None if is_early(report.performed_at, session.starts_at) else _sent_ahead(taken, session)
    if ahead is None:
        raise _exists(taken)
    return _store(
        actor, session, athlete, report,
        replaces=ahead, reason=SENT_AHEAD, keeps_told=False, priority=priority,
    )  # fmt: skip


@transaction.atomic
def correct_attempt(*, actor: Actor, attempt: Attempt, report: Report, reason: str) -> tuple[Attempt, bool]:
    """Store a new version of a result; the old one stays as it is.

    A body without a note, an effort or minutes says nothing against what the athlete told of it: that goes on with
    the new version.
    Raises ResultAlreadyCorrected unless `attempt` is the latest version.
    """
    session = _session(actor, attempt.session_id)
    athlete = _athlete(actor, session, attempt.athlete_id)
    taken = Attempt.objects.filter(replaces=attempt).exists()
    known = _known(report, session, athlete)
    if known is not None:
        return known, False
    if taken:
        raise ResultAlreadyCorrected()
    return _store(actor, session, athlete, report, replaces=attempt, reason=reason)


def _latest(session: ScheduledSession, athlete: Athlete) -> UUID | None:
    """The version of the athlete's result that counts, if there is one."""
    later = Attempt.objects.filter(replaces=OuterRef("id"))
    mine = Attempt.objects.filter(~Exists(later), session=session, athlete=athlete)
    return mine.values_list("id", flat=True).first()


def _sent_ahead(attempt_id: UUID, session: ScheduledSession) -> Attempt | None:
    """The result, where it was done ahead of its session and nobody has accepted it (one query)."""
    accepted = Review.objects.filter(attempt_id=OuterRef("id"), accepted=True)
    attempt = Attempt.objects.filter(~Exists(accepted), id=attempt_id).first()
    return attempt if attempt is not None and is_early(attempt.performed_at, session.starts_at) else None


def _exists(attempt_id: UUID) -> ResultExists:
    return ResultExists(f"The result is stored as attempt {attempt_id}. {ResultExists.remedy}")


def _session(actor: Actor, session_id: UUID) -> ScheduledSession:
    session = scheduled_sessions_visible_to(actor).filter(id=session_id).first()
    if session is None:
        raise _unknown("#/session", "There is no such scheduled session in this organisation.")
    return session


def _athlete(actor: Actor, session: ScheduledSession, athlete_id: UUID) -> Athlete:
    athlete = athletes_visible_in(actor, session).filter(id=athlete_id).first()
    if athlete is None:
        raise _unknown("#/athlete", "There is no such athlete whose results you may send.")
    require_floor(actor, athlete, session)
    return athlete


def _unknown(pointer: str, detail: str) -> Invalid:
    return Invalid(errors=[FieldProblem(pointer, "unknown_reference", detail)])


def _known(report: Report, session: ScheduledSession, athlete: Athlete) -> Attempt | None:
    """The result that was stored under this client_id, if it says the same; else a conflict."""
    if report.client_id is None:
        return None
    stored = Attempt.objects.filter(client_id=report.client_id).first()
    if stored is None:
        return None
    same = stored.session_id == session.id and stored.athlete_id == athlete.id
    if not same or stored.as_sent != report.as_sent:
        raise ClientIdReused()
    return stored


def _store(
    actor: Actor,
    session: ScheduledSession,
    athlete: Athlete,
    report: Report,
    *,
    replaces: Attempt | None,
    reason: str,
    keeps_told: bool = True,
    priority: int = 0,
) -> tuple[Attempt, bool]:
    """keeps_told: whether what the athlete told of the version that is replaced is told of this one as well."""
    kept = replaces if keeps_told else None
    now = timezone.now()
    refuse_future(report.performed_at, now, "#/performed_at")
    refuse_long_ago(report.performed_at, now, athlete, "#/performed_at")
    plan = session_plan(session.id)
    prescription = _prescription(report, session, athlete)
    sets = [
        entry
        for part in parts_of(report.kind, report.data, plan)
        for entry in sets_of(part, plan, prescription)
    ]
    attempt = Attempt(
        org_id=actor.org_id,
        session=session,
        athlete=athlete,
        prescription=prescription,
        kind=report.kind,
        as_sent=report.as_sent,
        elapsed_s=None if report.kind == BLOCKS else report.data.get("elapsed_s"),
        performed_at=report.performed_at,
        zone=athlete.zone,
        local_date=local_date(report.performed_at, athlete.zone),
        replaces=replaces,
        reason=reason,
        client_id=report.client_id,
        note=report.note if kept is None or "note" in report.as_sent else kept.note,
        effort=report.effort if kept is None or "effort" in report.as_sent else kept.effort,
        minutes=report.minutes if kept is None or "minutes" in report.as_sent else kept.minutes,
        sent_by_id=actor.person_id,
    )
    hold_athlete(athlete.id)
    try:
        with transaction.atomic():
            attempt.save(force_insert=True)
    except IntegrityError:
        # Two submissions at once: the other one has won. Equal ones are one.
        winner = _known(report, session, athlete)
        if winner is not None:
            return winner, False
        taken = _latest(session, athlete)
        raise (ResultAlreadyCorrected() if kept or taken is None else _exists(taken)) from None
    SetLog.objects.bulk_create(
        _set_row(actor.org_id, attempt, ordinal, entry, plan.variations) for ordinal, entry in enumerate(sets)
    )
    first = attempt.local_date if replaces is None else min(attempt.local_date, replaces.local_date)
    record_change(kind="athlete", subject=athlete.id, from_date=first, priority=priority)
    return attempt, True


def _prescription(report: Report, session: ScheduledSession, athlete: Athlete) -> Prescription | None:
    """The named prescription, else the one that was current when the result was performed."""
    mine = Prescription.objects.filter(session=session, athlete=athlete)
    if report.prescription_id is None:
        before = mine.filter(issued_at__lte=report.performed_at).order_by("-number").first()
        return before or mine.order_by("number").first()
    named = mine.filter(id=report.prescription_id).first()
    if named is None:
        raise _unknown("#/prescription", "There is no such prescription of this athlete for this session.")
    return named


def _set_row(
    org_id: UUID,
    attempt: Attempt,
    ordinal: int,
    entry: Mapping[str, Any],
    variations: Mapping[str, VariationEntry],
) -> SetLog:
    unit, amount = amount_of(entry)
    return SetLog(
        org_id=org_id,
        attempt=attempt,
        ordinal=ordinal,
        work=entry["work"],
        variation_version_id=variations[entry["variation"]].version_id,
        interval=entry.get("interval"),
        rest_before_s=entry.get("rest_before_s"),
        duration_s=entry.get("duration_s"),
        rir=entry.get("rir"),
        ended_by=entry["ended_by"],
        **{name: entry.get(name) for name in SETTINGS},
        **{unit: amount},
    )
