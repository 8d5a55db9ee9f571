"""Booking what a session was for one athlete, planned and done; part of the recompute.

Training balance is read over months and whole groups, so it is added up from these rows: from prescriptions and logs
it would take a profile of each.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import astuple
from types import MappingProxyType
from uuid import UUID, uuid5

from django.utils import timezone

from programming.plans import SessionPlan
from scoring.calc.aim_block import stopper_of
from scoring.calc.balance import BALANCE_VERSION, Entry, entries_of, quality_of
from scoring.calc.forecast import BlockForecast
from scoring.calc.profile import ProfiledSet, profile_of
from scoring.frozen import frozen_forecast
from scoring.models import Attempt, Prescription, SessionWork
from scoring.observed import Logged
from scoring.profiled_sets import done_set, planned_sets
from scoring.stored_content import as_current
from services.tenancy.inserted import insert

PLANNED, DONE = "planned", "done"
NO_SETS, NOT_BELIEVED, TOTALS = "no_sets", "not_believed", "totals_tell_no_sets"
_KEY = ("org", "session", "athlete", "origin")
_WRITTEN = ("entries", "reason", "method_version", "computed_at")


Foreseen = Mapping[str, BlockForecast | None]
"""By block what was foreseen in a prescription."""


def book_planned(
    made: Iterable[Prescription],
    plans: Mapping[UUID, SessionPlan],
    foreseen: Mapping[UUID, Foreseen] = MappingProxyType({}),
) -> None:
    """Of prescriptions that have just been stored, in place of those that they supersede (one query for all, none for
    no prescriptions). foreseen: by session, where it is at hand, else it is read from the prescription.
    """
    rows = [_planned(one, plans[one.session_id], foreseen.get(one.session_id)) for one in made]
    insert(rows, key=_KEY, written=_WRITTEN)


def book_done(attempt: Attempt, plan: SessionPlan, logged: Sequence[Logged], *, believed: bool) -> None:
    """Of a result, in place of the version that it corrects (one query)."""
    reason = "" if believed and logged else TOTALS if believed else NOT_BELIEVED
    entries = [] if reason else _done(attempt, plan, logged)
    row = _row(attempt.org_id, attempt.session_id, attempt.athlete_id, DONE, entries, reason)
    insert([row], key=_KEY, written=_WRITTEN)


def _planned(given: Prescription, plan: SessionPlan, foreseen: Foreseen | None) -> SessionWork:
    content, tempo = as_current(given.content), given.basis.get("tempo", {})
    entries = []
    for block in plan.doc.blocks:
        forecast = (
            frozen_forecast(given, plan.doc, block.key) if foreseen is None else foreseen.get(block.key)
        )
        sets = planned_sets(plan, block, content, forecast, tempo)
        entries += _entries(sets, plan, None if forecast is None else forecast.stopped_by)
    reason = "" if entries else str(content.get("plan_reason") or NO_SETS)
    return _row(given.org_id, given.session_id, given.athlete_id, PLANNED, entries, reason)


def _done(attempt: Attempt, plan: SessionPlan, logged: Sequence[Logged]) -> list[Entry]:
    given, entries = attempt.prescription, []
    for block in plan.doc.blocks:
        own = [one for one in logged if block.index_of(one.entry.work) is not None]
        stops = stopper_of([one.entry for one in own])
        if stops is None and own and given is not None:
            forecast = frozen_forecast(given, plan.doc, block.key)
            stops = None if forecast is None else forecast.stopped_by
        entries += _entries([done_set(one) for one in own], plan, stops)
    return entries


def _entries(sets: Sequence[ProfiledSet], plan: SessionPlan, stopped_by: str | None) -> list[Entry]:
    return list(entries_of(sets, quality_of(plan.doc.quality, profile_of(sets, stopped_by))))


def _row(
    org_id: UUID, session_id: UUID, athlete_id: UUID, origin: str, entries: Sequence[Entry], reason: str
) -> SessionWork:
    return SessionWork(
        id=uuid5(session_id, f"{athlete_id}:{origin}"),
        org_id=org_id,
        session_id=session_id,
        athlete_id=athlete_id,
        origin=origin,
        entries=[list(astuple(one)) for one in entries],
        reason=reason[:40],
        method_version=BALANCE_VERSION,
        computed_at=timezone.now(),
    )
