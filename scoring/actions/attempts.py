"""Storing results: as they were sent, once, never changed; a correction is a new version with its reason."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone

from athletes.actions.support import hold_athlete, local_date, refuse, refuse_future, require_own_or_staff
from athletes.errors import ClientIdReused
from athletes.models import Athlete
from athletes.performed import Settings, setting_problems
from athletes.queries import athletes_visible_to
from programming.models import ScheduledSession
from programming.queries import (
    SessionPlan,
    VariationEntry,
    scheduled_sessions_visible_to,
    session_plan,
)
from scoring.errors import ResultAlreadyCorrected, ResultExists
from scoring.models import Attempt, Prescription, SetLog
from services.changes.actions import record_change
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import Actor

SETTINGS = ("load_kg", "assistance_kg", "height_cm")


def _settings(entry: Mapping[str, Any]) -> Settings:
    return Settings(**{name: entry.get(name) for name in SETTINGS})


@dataclass(frozen=True)
class Report:
    """A result as it arrived: `data` is the validated body, `as_sent` the body itself."""

    kind: str
    data: Mapping[str, Any]
    as_sent: Mapping[str, Any]
    performed_at: dt.datetime
    client_id: str | None
    prescription_id: UUID | None = None


@transaction.atomic
def submit_attempt(
    *, actor: Actor, session_id: UUID, athlete_id: UUID, report: Report
) -> tuple[Attempt, bool]:
    """Store a result and ask for its recompute; (attempt, was stored now).

    The same `client_id` with the same content is the same result. Raises Invalid for what cannot be meant,
    ResultExists when the athlete already has one. What merely does not add up is stored; the review says so.
    """
    session = _session(actor, session_id)
    athlete = _athlete(actor, athlete_id)
    # In this order: what is there by now may be this very result, sent twice at once, and is then known as well.
    taken = Attempt.objects.filter(session=session, athlete=athlete).exists()
    known = _known(report, session, athlete)
    if known is not None:
        return known, False
    if taken:
        raise ResultExists()
    attempt, stored = _store(actor, session, athlete, report, replaces=None, reason="")
    return attempt, stored


@transaction.atomic
def correct_attempt(*, actor: Actor, attempt: Attempt, report: Report, reason: str) -> tuple[Attempt, bool]:
    """Store a new version of a result; the old one stays as it is.

    Raises ResultAlreadyCorrected unless `attempt` is the latest version.
    """
    session, athlete = _session(actor, attempt.session_id), _athlete(actor, attempt.athlete_id)
    taken = Attempt.objects.filter(replaces=attempt).exists()
    known = _known(report, session, athlete)
    if known is not None:
        return known, False
    if taken:
        raise ResultAlreadyCorrected()
    return _store(actor, session, athlete, report, replaces=attempt, reason=reason)


def _session(actor: Actor, session_id: UUID) -> ScheduledSession:
    session = scheduled_sessions_visible_to(actor).filter(id=session_id).first()
    if session is None:
        raise _unknown("#/session", "There is no such scheduled session in this organisation.")
    return session


def _athlete(actor: Actor, athlete_id: UUID) -> Athlete:
    athlete = athletes_visible_to(actor).filter(id=athlete_id).first()
    if athlete is None:
        raise _unknown("#/athlete", "There is no such athlete whose results you may send.")
    require_own_or_staff(actor, athlete)
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
) -> tuple[Attempt, bool]:
    refuse_future(report.performed_at, timezone.now(), "#/performed_at")
    plan = session_plan(session.id)
    variations = plan.variations
    sets = report.data.get("sets", [])
    _check_sets(sets, plan)
    _check_totals(report.data.get("work", []), plan)
    attempt = Attempt(
        org_id=actor.org_id,
        session=session,
        athlete=athlete,
        prescription_id=_prescription(report, session, athlete),
        kind=report.kind,
        as_sent=report.as_sent,
        elapsed_s=report.data.get("elapsed_s"),
        performed_at=report.performed_at,
        zone=athlete.zone,
        local_date=local_date(report.performed_at, athlete.zone),
        replaces=replaces,
        reason=reason,
        client_id=report.client_id,
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
        raise (ResultAlreadyCorrected() if replaces else ResultExists()) from None
    SetLog.objects.bulk_create(
        _set_row(actor.org_id, attempt, ordinal, entry, variations) for ordinal, entry in enumerate(sets)
    )
    record_change(kind="athlete", subject=athlete.id, from_date=attempt.local_date)
    return attempt, True


def _check_sets(sets: Sequence[Mapping[str, Any]], plan: SessionPlan) -> None:
    """Raise Invalid for work that the session does not have and variations that the catalogue does not have."""
    problems = []
    for number, entry in enumerate(sets):
        at = f"#/set_log/sets/{number}"
        index = plan.block.index_of(entry["work"])
        if index is None:
            problems.append(_unknown_work(f"{at}/work", plan))
            continue
        movement, known = plan.block.work[index].movement, plan.variations.get(entry["variation"])
        if known is None or known.movement.key != movement:
            detail = f"Name a variation of {movement} from the organisation's catalogue."
            problems.append(FieldProblem(f"{at}/variation", "unknown_variation", detail))
        else:
            problems += setting_problems(known.variation, _settings(entry), at)
    refuse(problems)


def _check_totals(work: Sequence[Mapping[str, Any]], plan: SessionPlan) -> None:
    """Raise Invalid for unknown work and for work that is named twice."""
    problems, seen = [], set()
    for number, entry in enumerate(work):
        at = f"#/totals/work/{number}/work"
        if plan.block.index_of(entry["work"]) is None:
            problems.append(_unknown_work(at, plan))
        elif entry["work"] in seen:
            problems.append(FieldProblem(at, "named_twice", "Name each work item once, with its total."))
        seen.add(entry["work"])
    refuse(problems)


def _unknown_work(pointer: str, plan: SessionPlan) -> FieldProblem:
    keys = ", ".join(item.key for item in plan.block.work)
    return FieldProblem(pointer, "unknown_work", f"The session's work is: {keys}.")


def _prescription(report: Report, session: ScheduledSession, athlete: Athlete) -> UUID | None:
    """The named prescription, else the one that was current when the result was performed."""
    mine = Prescription.objects.filter(session=session, athlete=athlete)
    if report.prescription_id is None:
        before = mine.filter(issued_at__lte=report.performed_at).order_by("-number")
        current = before.values_list("id", flat=True).first()
        return current or mine.order_by("number").values_list("id", flat=True).first()
    if not mine.filter(id=report.prescription_id).exists():
        raise _unknown("#/prescription", "There is no such prescription of this athlete for this session.")
    return report.prescription_id


def _set_row(
    org_id: UUID,
    attempt: Attempt,
    ordinal: int,
    entry: Mapping[str, Any],
    variations: Mapping[str, VariationEntry],
) -> SetLog:
    return SetLog(
        org_id=org_id,
        attempt=attempt,
        ordinal=ordinal,
        work=entry["work"],
        variation_version_id=variations[entry["variation"]].version_id,
        repetitions=entry["repetitions"],
        rest_before_s=entry.get("rest_before_s"),
        duration_s=entry.get("duration_s"),
        rir=entry.get("rir"),
        ended_by=entry["ended_by"],
        **{name: entry.get(name) for name in SETTINGS},
    )
