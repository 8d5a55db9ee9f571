"""The settings of safety: each change is a new row with its author, the newest one holds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.db import transaction

from athletes.actions.support import refuse
from athletes.emergency import may_receive
from athletes.models import Athlete, SafetySettings
from services.changes.actions import record_changes
from services.problems import FieldProblem, Forbidden
from services.tenancy.actor import COACHES, Actor
from services.tenancy.models import Membership
from services.tenancy.queries import locations_visible_to

HOLD_PRIORITY: Final = 1
"""Beside sessions that were moved, behind results only: who is held from now on must not train by an old plan."""


@dataclass(frozen=True)
class NewSettings:
    """location_id None: of the organisation. Empty number or text: the default. recipient_id None: an owner."""

    location_id: UUID | None = None
    missing_screening_holds: bool = False
    emergency_number: str = ""
    emergency_text: str = ""
    recipient_id: UUID | None = None


def set_safety(*, actor: Actor, new: NewSettings) -> SafetySettings:
    """Make these the settings from now on, and ask for prescriptions again where that changes who is held.

    Raises Forbidden, Invalid.
    """
    if actor.role not in COACHES:
        raise Forbidden("Owners and coaches decide on the settings of safety.")
    _check(actor, new)
    with transaction.atomic():
        row = SafetySettings.objects.create(
            org_id=actor.org_id,
            location_id=new.location_id,
            missing_screening_holds=new.missing_screening_holds,
            emergency_number=new.emergency_number,
            emergency_text=new.emergency_text,
            recipient_id=new.recipient_id,
            set_by_id=actor.person_id,
        )
        athletes = Athlete.objects.filter(is_active=True)
        if new.location_id is not None:
            athletes = athletes.filter(location_id=new.location_id)
        subjects = athletes.order_by("id").values_list("id", flat=True)
        record_changes(kind="athlete", subjects=subjects, priority=HOLD_PRIORITY)
    return row


def _check(actor: Actor, new: NewSettings) -> None:
    problems = []
    if new.location_id is not None and not locations_visible_to(actor).filter(id=new.location_id).exists():
        problems.append(FieldProblem("#/location", "unknown_location", "There is no such location."))
    if new.recipient_id is not None:
        member = Membership.objects.filter(id=new.recipient_id, is_active=True).first()
        if member is None or not may_receive(member, new.location_id):
            detail = "Name an active owner or coach, or staff of this location."
            problems.append(FieldProblem("#/recipient", "unknown_recipient", detail))
    refuse(problems)
