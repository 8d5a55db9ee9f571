"""What is kept of an athlete beside capacities: how quickly they tire and how quickly they work. Written when what a
row rests on has moved.
"""

from __future__ import annotations

from typing import NamedTuple
from uuid import UUID

from django.db.models import QuerySet
from django.utils import timezone

from athletes.actions.support import require_org
from athletes.calc import multiplier, tempo
from athletes.calc.multiplier import Multiplier
from athletes.calc.tempo import Tempos
from athletes.models import Athlete, Tempo, Tiring
from services.tenancy.compiled import Given, compiled
from services.tenancy.inserted import insert

_DERIVED = ("inputs", "method_version", "computed_at")


class Kept(NamedTuple):
    """The athlete's sex, and the fingerprints of what the rows rest on; None without a row."""

    sex: str
    tiring: str | None
    tempo: str | None


def kept_of(athlete_id: UUID) -> Kept:
    """One query."""
    ((sex, tiring, tempo_),) = _kept(athlete=athlete_id)
    return Kept(sex, tiring, tempo_)


@compiled
def _kept(athlete: Given) -> QuerySet[Athlete, tuple[str, str | None, str | None]]:
    return Athlete.objects.filter(id=athlete).values_list("sex", "tirings__inputs", "tempos__inputs")


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
        method_version=multiplier.METHOD_VERSION,
        computed_at=timezone.now(),
    )
    insert([row], key=("org", "athlete"), written=("median", "log_sd", "sets", "sessions", *_DERIVED))


def drop_tiring(*, athlete_id: UUID) -> None:
    """Remove the row: there is no result any more that it could rest on (one query)."""
    Tiring.objects.filter(athlete_id=athlete_id).delete()


def store_tempo(*, athlete_id: UUID, told: Tempos, inputs: str) -> None:
    """Make this the athlete's row (one query)."""
    row = Tempo(
        org_id=require_org(),
        athlete_id=athlete_id,
        mean=told.other.mean,
        log_sd=told.other.sd,
        movements={movement: list(one) for movement, one in told.movements.items()},
        inputs=inputs,
        method_version=tempo.METHOD_VERSION,
        computed_at=timezone.now(),
    )
    insert([row], key=("org", "athlete"), written=("mean", "log_sd", "movements", *_DERIVED))


def drop_tempo(*, athlete_id: UUID) -> None:
    """Remove the row: there is no set any more that it could rest on (one query)."""
    Tempo.objects.filter(athlete_id=athlete_id).delete()
