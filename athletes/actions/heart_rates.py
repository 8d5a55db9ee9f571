"""Resting and maximal heart rate of an athlete: stated from a day on, and taken back."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final

from django.db import transaction

from athletes.actions.support import (
    insert_once,
    local_date,
    refuse,
    refuse_long_ago,
    require_own_or_staff,
)
from athletes.models import Athlete, HeartRates
from services.problems import FieldProblem
from services.tenancy.actor import Actor

LEAST_BETWEEN_BPM: Final = 40.0
"""Ours: nobody's maximum lies so close to the rate at rest; two numbers that do are not of one person, or of rest."""
CONTENT: Final = (
    "athlete_id", "from_date", "resting_bpm", "resting_source", "maximal_bpm", "maximal_source", "coefficients",
)  # fmt: skip


@dataclass(frozen=True)
class Stated:
    """Beats a minute, where each is from, and which coefficients weigh the reserve ("none": nobody chose)."""

    from_date: dt.date
    resting_bpm: float
    resting_source: str
    maximal_bpm: float
    maximal_source: str
    coefficients: str


def state_heart_rates(
    *, actor: Actor, athlete: Athlete, stated: Stated, now: dt.datetime, client_id: str | None = None
) -> tuple[HeartRates, bool]:
    """Store what holds from a day on; (row, was created). Nothing is recomputed: what rests on it is told when read.

    Raises Invalid for a day to come, ten years ago or before birth, and for rates too close; Forbidden,
    ClientIdReused.
    """
    require_own_or_staff(actor, athlete)
    if stated.maximal_bpm - stated.resting_bpm < LEAST_BETWEEN_BPM:
        detail = (
            f"At least {LEAST_BETWEEN_BPM:g} beats lie between rest and the maximum; check which is which."
        )
        refuse([FieldProblem("#/maximal_bpm", "contradiction", detail)])
    if stated.from_date > local_date(now, athlete.zone):
        refuse([FieldProblem("#/from_date", "in_the_future", "This day is still to come.")])
    noon = dt.datetime.combine(stated.from_date, dt.time(12), tzinfo=dt.UTC)
    refuse_long_ago(noon, now, athlete, "#/from_date")
    row = HeartRates(
        org_id=actor.org_id,
        athlete=athlete,
        **vars(stated),
        client_id=client_id,
        recorded_by_id=actor.person_id,
    )
    with transaction.atomic():
        return insert_once(row, same=CONTENT)


def take_heart_rates_back(*, actor: Actor, row: HeartRates) -> None:
    """They were not this athlete's, or not so. Raises Forbidden."""
    require_own_or_staff(actor, row.athlete)
    row.delete()
