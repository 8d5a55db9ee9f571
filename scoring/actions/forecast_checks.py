"""Storing what a result says of the forecast it was done under; part of the recompute of a result."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import uuid5

from django.db.models import QuerySet

from programming.plans import SessionPlan
from scoring.held import Scored, checks_of
from scoring.models import Attempt, ForecastCheck, Prescription
from scoring.observed import Logged
from services.tenancy.compiled import Given, compiled, compiled_delete
from services.tenancy.inserted import insert

_KEY = ("org", "attempt", "block", "work")
_WRITTEN = tuple(
    field.name for field in ForecastCheck._meta.fields if field.name not in (*_KEY, "id", "created_at")
)


def write_checks(
    attempt: Attempt,
    plan: SessionPlan,
    logged: Sequence[Logged],
    blocks: Sequence[Scored],
    *,
    believed: bool,
    again: bool,
) -> None:
    """In place of what was stored of the result, of any version (two queries where there was a prescription, none
    without one; one more where `again`: something may be stored already).

    Running it twice is running it once, ids and all.
    """
    if again:
        _drop(session=attempt.session_id, athlete=attempt.athlete_id)
    rows = checks_of(attempt, plan, logged, blocks, _why_not(attempt, believed))
    for row in rows:
        row.id = uuid5(attempt.id, f"{row.block}:{row.work}")
    insert(rows, key=_KEY, written=_WRITTEN)


def _why_not(attempt: Attempt, believed: bool) -> str:
    given = attempt.prescription
    if given is None:
        return ""
    if not believed:
        return "not_believed"
    if given.issued_at > attempt.performed_at:
        return "made_afterwards"
    newer = _newer.first(
        session=attempt.session_id,
        athlete=attempt.athlete_id,
        number=given.number,
        performed_at=attempt.performed_at,
    )
    return "" if newer is None else "replaced"


@compiled
def _newer(session: Given, athlete: Given, number: Given, performed_at: Given) -> QuerySet[Prescription, int]:
    rows = Prescription.objects.filter(
        session_id=session, athlete_id=athlete, number__gt=number, issued_at__lte=performed_at
    )
    return rows.values_list("number", flat=True)[:1]


@compiled_delete
def _drop(session: Given, athlete: Given) -> QuerySet[ForecastCheck]:
    return ForecastCheck.objects.filter(session_id=session, athlete_id=athlete)
