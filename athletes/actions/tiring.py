"""The row of how quickly an athlete tires for long: written when what it rests on has moved."""

from __future__ import annotations

from uuid import UUID

from django.db.models import QuerySet
from django.utils import timezone

from athletes.actions.support import require_org
from athletes.calc.multiplier import METHOD_VERSION, Multiplier
from athletes.models import Tiring
from services.tenancy.compiled import Given, compiled
from services.tenancy.inserted import insert

_WRITTEN = ("median", "log_sd", "sets", "sessions", "inputs", "method_version", "computed_at")


def tiring_inputs(athlete_id: UUID) -> str | None:
    """The fingerprint of what the stored row rests on; None without one (one query)."""
    return _inputs.first(athlete=athlete_id)


@compiled
def _inputs(athlete: Given) -> QuerySet[Tiring, str]:
    return Tiring.objects.filter(athlete_id=athlete).values_list("inputs", flat=True)


def store_tiring(*, athlete_id: UUID, told: Multiplier, sessions: int, inputs: str) -> None:
    """Make this the athlete's row, also where no session told anything (one query)."""
    row = Tiring(
        org_id=require_org(),
        athlete_id=athlete_id,
        median=told.median,
        log_sd=told.log_sd,
        sets=told.sets,
        sessions=sessions,
        inputs=inputs,
        method_version=METHOD_VERSION,
        computed_at=timezone.now(),
    )
    insert([row], key=("org", "athlete"), written=_WRITTEN)


def drop_tiring(*, athlete_id: UUID) -> None:
    """Remove the row: there is no result any more that it could rest on (one query)."""
    Tiring.objects.filter(athlete_id=athlete_id).delete()
