"""The recompute of capacity: a function of observations, weighings and prior, written when it moved."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from athletes.actions.priors import prior_covering
from athletes.actions.support import require_org
from athletes.calc.capacity import METHOD_VERSION, to_json
from athletes.calc.capacity import Observation as Seen
from athletes.capacities import Inputs, SeenRow, compute, inputs_of, usable
from athletes.catalogue import versions
from athletes.models import Capacity, Observation, PriorSnapshot
from athletes.performed import MassHistory, Settings
from athletes.queries import mass_histories

_SEEN = (
    "movement_id",
    "variation_version_id",
    "local_date",
    "kind",
    "load_kg",
    "assistance_kg",
    "height_cm",
    "repetitions",
    "rir",
    "weight",
)
_WRITTEN = ("state", "observations", "inputs", "prior", "method_version", "as_of", "computed_at")


def recompute_capacities(*, athlete_id: UUID, today: dt.date) -> frozenset[UUID]:
    """Bring the athlete's capacities up to date; the movements whose row was written or removed.

    The whole history is filtered again, so late and corrected entries need no special care. Five queries when
    nothing moved, however many movements; one more to write, one to remove what has no observation left.
    Observations dated after `today` (a zone that is ahead) count. Running it twice is running it once.
    """
    with transaction.atomic():
        masses = mass_histories([athlete_id])[athlete_id]
        seen = _seen_by_movement(athlete_id, masses)
        prior = prior_covering(seen)
        inputs = {
            movement: inputs_of(rows, prior.document["movements"][str(movement)], prior.number, masses)
            for movement, rows in seen.items()
        }
        stored = dict(Capacity.objects.filter(athlete_id=athlete_id).values_list("movement_id", "inputs"))
        moved = {movement: of for movement, of in inputs.items() if stored.get(movement) != of.fingerprint()}
        gone = stored.keys() - inputs.keys()
        _write(athlete_id, moved, prior)
        if gone:
            Capacity.objects.filter(athlete_id=athlete_id, movement_id__in=gone).delete()
    return frozenset(moved) | frozenset(gone)


def _seen_by_movement(athlete_id: UUID, masses: MassHistory) -> dict[UUID, list[Seen]]:
    """Usable observations of each movement (two queries)."""
    rows = [
        SeenRow(movement, version, day, kind, Settings(load, assistance, height), done, rir, weight)
        for movement, version, day, kind, load, assistance, height, done, rir, weight in (
            Observation.objects.filter(athlete_id=athlete_id).values_list(*_SEEN)
        )
    ]
    known = versions({row.variation_version_id for row in rows})
    by_movement: dict[UUID, list[SeenRow]] = defaultdict(list)
    for row in rows:
        by_movement[row.movement_id].append(row)
    used = {movement: usable(listed, known, masses) for movement, listed in by_movement.items()}
    return {movement: listed for movement, listed in used.items() if listed}


def _write(athlete_id: UUID, moved: Mapping[UUID, Inputs], prior: PriorSnapshot) -> None:
    now = timezone.now()
    rows = []
    for movement, inputs in sorted(moved.items()):
        state = compute(inputs)
        rows.append(
            Capacity(
                org_id=require_org(),
                athlete_id=athlete_id,
                movement_id=movement,
                state=to_json(state),
                observations=state.observations,
                inputs=inputs.fingerprint(),
                prior=prior,
                method_version=METHOD_VERSION,
                as_of=dt.date.fromordinal(inputs.day),
                computed_at=now,
            )
        )
    if rows:
        Capacity.objects.bulk_create(
            rows,
            update_conflicts=True,
            unique_fields=["org", "athlete", "movement"],
            update_fields=list(_WRITTEN),
        )
