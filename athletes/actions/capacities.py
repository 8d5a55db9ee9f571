"""The recompute of capacity: a function of observations, weighings and prior, written when it moved."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from uuid import UUID

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from athletes.actions.priors import prior_covering
from athletes.actions.support import require_org
from athletes.capacities import Inputs, compute, inputs_of
from athletes.capacity_inputs import absences_of, person_of, seen_by_movement, work_by_movement
from athletes.endurance import CriticalInputs, HoldInputs, inputs_of_amounts
from athletes.models import Capacity, PriorSnapshot
from athletes.queries import mass_histories
from athletes.states import method_version, write_state
from services.tenancy.compiled import Given, compiled
from services.tenancy.inserted import insert

_WRITTEN = ("state", "observations", "inputs", "prior", "method_version", "as_of", "computed_at")


def recompute_capacities(*, athlete_id: UUID, today: dt.date) -> frozenset[UUID]:
    """Bring the athlete's capacities up to date; the movements whose row was written or removed.

    The whole history is filtered again, so late and corrected entries need no special care. Nine queries when
    nothing moved, however many movements; one more to write, one to remove what has no observation left.
    Observations dated after `today` (a zone that is ahead) count. Running it twice is running it once.
    """
    with transaction.atomic(savepoint=False):
        masses = mass_histories([athlete_id])[athlete_id]
        person = person_of(athlete_id)
        seen, amounts, known = seen_by_movement(athlete_id, masses, person.sex)
        absences, work = absences_of(athlete_id), work_by_movement(athlete_id)
        prior = prior_covering([*seen, *amounts])
        priors = prior.document["movements"]
        inputs: dict[UUID, Inputs | HoldInputs | CriticalInputs] = {
            movement: inputs_of(
                rows, priors[str(movement)], prior.number, masses, absences, work.get(movement, ()), person
            )
            for movement, rows in seen.items()
        }
        for movement, told in amounts.items():
            of = inputs_of_amounts(told, known, priors[str(movement)], prior.number, masses, absences)
            if of is not None:
                inputs[movement] = of
        stored = dict(_stored(athlete=athlete_id))
        moved = {movement: of for movement, of in inputs.items() if stored.get(movement) != of.fingerprint()}
        gone = stored.keys() - inputs.keys()
        _write(athlete_id, moved, prior)
        if gone:
            Capacity.objects.filter(athlete_id=athlete_id, movement_id__in=gone).delete()
    return frozenset(moved) | frozenset(gone)


@compiled
def _stored(athlete: Given) -> QuerySet[Capacity, tuple[UUID, str]]:
    return Capacity.objects.filter(athlete_id=athlete).values_list("movement_id", "inputs")


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
    insert(rows, key=("org", "athlete", "movement"), written=_WRITTEN)
