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
from athletes.calc.capacity import Absence, Work
from athletes.calc.capacity import Observation as Seen
from athletes.capacities import Inputs, SeenRow, compute, inputs_of, usable
from athletes.catalogue import CatalogueVersion, versions
from athletes.endurance import AmountRow, CriticalInputs, HoldInputs, inputs_of_amounts
from athletes.models import Capacity, Observation, PriorSnapshot, WorkDone
from athletes.performed import MassHistory, Settings
from athletes.queries import confirmed_absences, mass_histories
from athletes.states import method_version, write_state
from programming.calc.catalogue import CYCLICAL, HOLD
from programming.calc.variation import REPETITIONS

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
    "unit",
    "amount",
    "seconds",
)
_WRITTEN = ("state", "observations", "inputs", "prior", "method_version", "as_of", "computed_at")


def recompute_capacities(*, athlete_id: UUID, today: dt.date) -> frozenset[UUID]:
    """Bring the athlete's capacities up to date; the movements whose row was written or removed.

    The whole history is filtered again, so late and corrected entries need no special care. Eight queries when
    nothing moved, however many movements; one more to write, one to remove what has no observation left.
    Observations dated after `today` (a zone that is ahead) count. Running it twice is running it once.
    """
    with transaction.atomic():
        masses = mass_histories([athlete_id])[athlete_id]
        seen, amounts, known = _seen_by_movement(athlete_id, masses)
        absences = [
            Absence(away.from_date.toordinal(), max(away.from_date, away.to_date).toordinal())
            for away in confirmed_absences(athlete_id)
        ]
        work = _work_by_movement(athlete_id)
        prior = prior_covering([*seen, *amounts])
        priors = prior.document["movements"]
        inputs: dict[UUID, Inputs | HoldInputs | CriticalInputs] = {
            movement: inputs_of(
                rows, priors[str(movement)], prior.number, masses, absences, work.get(movement, ())
            )
            for movement, rows in seen.items()
        }
        for movement, told in amounts.items():
            of = inputs_of_amounts(told, known, priors[str(movement)], prior.number, masses)
            if of is not None:
                inputs[movement] = of
        stored = dict(Capacity.objects.filter(athlete_id=athlete_id).values_list("movement_id", "inputs"))
        moved = {movement: of for movement, of in inputs.items() if stored.get(movement) != of.fingerprint()}
        gone = stored.keys() - inputs.keys()
        _write(athlete_id, moved, prior)
        if gone:
            Capacity.objects.filter(athlete_id=athlete_id, movement_id__in=gone).delete()
    return frozenset(moved) | frozenset(gone)


def _seen_by_movement(
    athlete_id: UUID, masses: MassHistory
) -> tuple[dict[UUID, list[Seen]], dict[UUID, list[AmountRow]], dict[UUID, CatalogueVersion]]:
    """Usable sets, holds and trials of each movement, and the versions that were done (two queries)."""
    rows: dict[UUID, list[SeenRow]] = defaultdict(list)
    amounts: dict[UUID, list[AmountRow]] = defaultdict(list)
    for (
        movement,
        version,
        day,
        kind,
        *adjusted,
        done,
        rir,
        weight,
        unit,
        amount,
        seconds,
    ) in Observation.objects.filter(athlete_id=athlete_id).values_list(*_SEEN):
        settings = Settings(*adjusted)
        if unit == REPETITIONS:
            rows[movement].append(SeenRow(movement, version, day, kind, settings, done, rir, weight))
        else:
            told = AmountRow(movement, version, day, kind, settings, unit, amount, seconds, weight)
            amounts[movement].append(told)
    performed = {row.variation_version_id for listed in rows.values() for row in listed}
    performed |= {row.variation_version_id for listed in amounts.values() for row in listed}
    known = versions(performed)
    used = {movement: usable(listed, known, masses) for movement, listed in rows.items()}
    kept = {
        movement: [row for row in listed if known[row.variation_version_id].capacity_kind in (HOLD, CYCLICAL)]
        for movement, listed in amounts.items()
    }
    return (
        {movement: listed for movement, listed in used.items() if listed},
        {movement: listed for movement, listed in kept.items() if listed},
        known,
    )


def _work_by_movement(athlete_id: UUID) -> dict[UUID, list[Work]]:
    """What sessions and tests held of each movement (one query)."""
    found: dict[UUID, list[Work]] = defaultdict(list)
    rows = WorkDone.objects.filter(athlete_id=athlete_id, movement__isnull=False, repetitions__gt=0)
    for movement, day, done, failed in rows.values_list(
        "movement_id", "local_date", "repetitions", "failure_repetitions"
    ):
        found[movement].append(Work(day.toordinal(), done, min(failed, done)))
    return found


def _write(
    athlete_id: UUID, moved: Mapping[UUID, Inputs | HoldInputs | CriticalInputs], prior: PriorSnapshot
) -> None:
    now = timezone.now()
    rows = []
    for movement, inputs in sorted(moved.items()):
        state = compute(inputs) if isinstance(inputs, Inputs) else inputs.compute()
        rows.append(
            Capacity(
                org_id=require_org(),
                athlete_id=athlete_id,
                movement_id=movement,
                state=write_state(state),
                observations=state.observations,
                inputs=inputs.fingerprint(),
                prior=prior,
                method_version=method_version(state),
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
