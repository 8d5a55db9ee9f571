"""The logged sets of a result, as the computation takes them."""

from __future__ import annotations

from typing import cast

from django.db.models import QuerySet

from programming.plans import SessionPlan, variation_entries
from scoring.calc.attempt import EndedBy, SetEntry
from scoring.models import Attempt, SetLog
from scoring.observed import Logged, attempt_rest_s
from services.tenancy.compiled import Given, compiled


def logged_sets(attempt: Attempt, plan: SessionPlan) -> list[Logged]:
    """The sets with their variations as they were on the day, also when these have newer versions by now.

    One query, one more for variations of older versions.
    """
    rows = _sets(attempt=attempt.id)
    entries = {entry.version_id: entry for entry in plan.variations.values()}
    older = {row.variation_version_id for row in rows} - entries.keys()
    if older:
        entries |= variation_entries(older)
    sets = [(entry_of(row), entries[row.variation_version_id]) for row in rows]
    return [Logged(entry, done, attempt_rest_s(entry, plan)) for entry, done in sets]


@compiled
def _sets(attempt: Given) -> QuerySet[SetLog]:
    return SetLog.objects.filter(attempt=attempt).order_by("ordinal")


def entry_of(row: SetLog) -> SetEntry:
    return SetEntry(
        work=row.work,
        amount=row.amount,
        unit=row.unit,
        ended_by=cast(EndedBy, row.ended_by),
        rest_before_s=row.rest_before_s,
        duration_s=row.duration_s,
        rir=row.rir,
        load_kg=row.load_kg,
        assistance_kg=row.assistance_kg,
        height_cm=row.height_cm,
        interval=row.interval,
    )
