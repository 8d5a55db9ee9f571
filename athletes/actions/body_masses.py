"""Weighings."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from athletes.actions.support import (
    insert_once,
    local_date,
    refuse,
    refuse_future,
    refuse_long_ago,
    require_own_or_staff,
)
from athletes.models import Athlete, BodyMass
from services.changes.actions import record_change
from services.problems import FieldProblem
from services.tenancy.actor import Actor

LIGHTEST_KG, HEAVIEST_KG = 20.0, 400.0
CONTENT = ("athlete_id", "body_mass_kg", "measured_at")


def record_body_mass(
    *,
    actor: Actor,
    athlete: Athlete,
    body_mass_kg: float,
    measured_at: dt.datetime,
    now: dt.datetime,
    client_id: str | None = None,
    priority: int = 0,
) -> tuple[BodyMass, bool]:
    """Store a weighing; (row, was created). It also counts for days before it that have none of their own.

    priority: of the recompute that it asks for. Raises Invalid outside 20 to 400 kg, in the future, ten years ago or
    before birth, Forbidden, ClientIdReused.
    """
    require_own_or_staff(actor, athlete)
    if not LIGHTEST_KG <= body_mass_kg <= HEAVIEST_KG:
        detail = f"A body mass lies between {LIGHTEST_KG:g} and {HEAVIEST_KG:g} kg; check the unit."
        refuse([FieldProblem("#/body_mass_kg", "out_of_range", detail)])
    refuse_future(measured_at, now, "#/measured_at")
    row = BodyMass(
        org_id=actor.org_id,
        athlete=athlete,
        body_mass_kg=body_mass_kg,
        measured_at=measured_at,
        zone=athlete.zone,
        local_date=local_date(measured_at, athlete.zone),
        client_id=client_id,
        recorded_by_id=actor.person_id,
    )
    with transaction.atomic():
        weighing, created = insert_once(row, same=CONTENT)
        if created:  # what was stored before is answered as it was
            refuse_long_ago(measured_at, now, athlete, "#/measured_at")
            record_change(
                kind="athlete", subject=athlete.id, from_date=weighing.local_date, priority=priority
            )
    return weighing, created
