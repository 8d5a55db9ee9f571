"""What is known of an athlete at this moment, for answers that look back. No writes."""

from __future__ import annotations

from uuid import UUID

from django.db.models import OuterRef, Subquery

from athletes.models import Athlete, Capacity, Tiring
from athletes.states import CapacityState, read_state
from scoring.person import median_of


def states_known(athlete_id: UUID) -> dict[UUID, CapacityState]:
    """Capacity by movement, as of each one's last observation (one query)."""
    rows = Capacity.objects.filter(athlete_id=athlete_id)
    return {row.movement_id: read_state(row.state) for row in rows}


def multiplier_known(athlete_id: UUID) -> float:
    """The multiplier of slow fatigue, learned or as thought of people in general (one query)."""
    own = Tiring.objects.filter(athlete_id=OuterRef("id")).values("median")[:1]
    sex, learned = Athlete.objects.values_list("sex", Subquery(own)).get(id=athlete_id)
    return median_of(sex) if learned is None else float(learned)
