"""What is said in an emergency, and who hears of it first: by location, else by organisation, else a default."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from uuid import UUID

from athletes.guidance import text
from athletes.models import SafetySettings
from services.tenancy.actor import COACHES, Role
from services.tenancy.models import Membership

DEFAULT_NUMBER: Final = "the local emergency number"


@dataclass(frozen=True)
class Emergency:
    """number is what to call: the configured one, else words."""

    number: str
    text: str


@dataclass(frozen=True)
class EffectiveSettings:
    """What holds at a location, None for the organisation as a whole; recipient is None when nobody is named."""

    location_id: UUID | None
    is_default: bool
    missing_screening_holds: bool
    emergency: Emergency
    recipient_id: UUID | None


GENERAL: Final = Emergency(DEFAULT_NUMBER, text("emergency"))
"""Where nothing else is said, and for whoever must not learn what is said at a place."""


def settings_by_location() -> dict[UUID | None, SafetySettings]:
    """The settings that hold at each location that has its own, under None those of the organisation (one query)."""
    rows = SafetySettings.objects.order_by("location_id", "-created_at", "-id").distinct("location_id")
    return {row.location_id: row for row in rows}


def effective_settings(location_id: UUID | None) -> EffectiveSettings:
    """The newest settings of the location, else those of the organisation, else the defaults (one query)."""
    rows = settings_by_location()
    row = rows.get(location_id) or rows.get(None)
    if row is None:
        return EffectiveSettings(location_id, True, False, _emergency(None), None)
    return EffectiveSettings(
        location_id, False, row.missing_screening_holds, _emergency(row), row.recipient_id
    )


def _emergency(row: SafetySettings | None) -> Emergency:
    number = row.emergency_number if row is not None else ""
    said = row.emergency_text if row is not None else ""
    return Emergency(number or DEFAULT_NUMBER, said or text("emergency"))


def recipient_for(location_id: UUID) -> Membership | None:
    """Whoever is named for the location, while they may still act there; else the owner who joined first.

    Three queries at most.
    """
    named = effective_settings(location_id).recipient_id
    members = Membership.objects.select_related("person").filter(is_active=True)
    if named is not None:
        row = members.filter(id=named).first()
        if row is not None and may_receive(row, location_id):
            return row
    return members.filter(role=Role.OWNER).order_by("created_at", "id").first()


def may_receive(membership: Membership, location_id: UUID | None) -> bool:
    """Whether the member sees the reports of the location (None: of every location)."""
    if membership.role in COACHES:
        return True
    if membership.role != Role.LOCATION_STAFF or location_id is None:
        return False
    return membership.places.filter(location_id=location_id).exists()
