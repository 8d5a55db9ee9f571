"""What progression is made of: sights, work, absences and weighings of many athletes, read at once. No writes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from athletes.calc.capacity import Absence, Work
from athletes.calc.capacity import Observation as Seen
from athletes.capacities import NOBODY, Inputs, Person, inputs_of
from athletes.capacity_inputs import (
    SEEN_FIELDS,
    Amounts,
    Rows,
    rows_by_movement,
    telling_work,
    usable_by_movement,
    versions_in,
)
from athletes.catalogue import CatalogueVersion, versions
from athletes.endurance import CriticalInputs, HoldInputs, inputs_of_amounts
from athletes.known import persons
from athletes.models import Capacity, Observation, PriorSnapshot
from athletes.performed import MassHistory, Settings
from athletes.queries import absences_confirmed, mass_histories


@dataclass(frozen=True)
class Known:
    """A stored capacity: of which movement, and the prior that it was computed with."""

    movement_id: UUID
    movement: str
    kind: str
    prior_number: int
    prior: Mapping[str, Any]


@dataclass(frozen=True)
class LastDone:
    """How a movement was last done."""

    version: CatalogueVersion
    settings: Settings


@dataclass(frozen=True)
class Material:
    """Of one athlete, by movement; `known` in the order of the movements' names."""

    known: tuple[Known, ...]
    masses: MassHistory
    person: Person
    absences: tuple[Absence, ...]
    work: Mapping[UUID, list[Work]]
    rows: Rows
    amounts: Amounts
    seen: Mapping[UUID, list[Seen]]
    told: Amounts
    versions: Mapping[UUID, CatalogueVersion]

    def inputs(self, one: Known) -> Inputs | HoldInputs | CriticalInputs | None:
        """Of the stored sights and the prior that the row was computed with; None where none tells anything."""
        seen = self.seen.get(one.movement_id)
        if seen:
            work = self.work.get(one.movement_id, ())
            return inputs_of(seen, one.prior, one.prior_number, self.masses, self.absences, work, self.person)
        amounts = self.told.get(one.movement_id)
        if not amounts:
            return None
        return inputs_of_amounts(
            amounts, self.versions, one.prior, one.prior_number, self.masses, self.absences
        )

    def last_done(self, movement_id: UUID) -> LastDone | None:
        """The last thing that tells of the movement; of one day the hardest."""
        listed: list[tuple[Any, ...]] = [
            (row.local_date, row.hour, row.repetitions, row) for row in self.rows.get(movement_id, ())
        ]
        listed += [(row.local_date, 0.0, row.amount, row) for row in self.told.get(movement_id, ())]
        if not listed:
            return None
        row = max(listed, key=lambda one: one[:3])[3]
        return LastDone(self.versions[row.variation_version_id], row.settings)


def materials_of(athlete_ids: Collection[UUID], movement_id: UUID | None = None) -> dict[UUID, Material]:
    """By athlete, of all movements or of one (nine queries, however many athletes and movements)."""
    asked = list(athlete_ids)
    masses, people = mass_histories(asked), persons(asked)
    absences = absences_confirmed(asked)
    only = {} if movement_id is None else {"movement_id": movement_id}
    known = _known(asked, only)
    observed = _observed(asked, only)
    work = _work(asked, only)
    found = {athlete: rows_by_movement(observed[athlete]) for athlete in asked}
    catalogue = versions({one for told in found.values() for one in versions_in(*told)})
    materials = {}
    for athlete in asked:
        rows, amounts = found[athlete]
        person = people.get(athlete, NOBODY)
        seen, told = usable_by_movement(rows, amounts, catalogue, masses[athlete], person.sex)
        away = tuple(
            Absence(one.from_date.toordinal(), max(one.from_date, one.to_date).toordinal())
            for one in absences[athlete]
        )
        materials[athlete] = Material(
            tuple(known[athlete]),
            masses[athlete],
            person,
            away,
            work[athlete],
            rows,
            amounts,
            seen,
            told,
            catalogue,
        )
    return materials


def _known(asked: list[UUID], only: Mapping[str, UUID]) -> dict[UUID, list[Known]]:
    rows = list(
        Capacity.objects.filter(athlete_id__in=asked, **only)
        .order_by("movement__key")
        .values_list("athlete_id", "movement_id", "movement__key", "movement__capacity_kind", "prior_id")
    )
    snapshots = PriorSnapshot.objects.in_bulk({row[4] for row in rows})
    found: dict[UUID, list[Known]] = defaultdict(list)
    for athlete, movement, key, kind, prior in rows:
        document = snapshots[prior].document["movements"][str(movement)]
        found[athlete].append(Known(movement, key, kind, snapshots[prior].number, document))
    return found


def _observed(asked: list[UUID], only: Mapping[str, UUID]) -> dict[UUID, list[tuple[Any, ...]]]:
    rows = Observation.objects.filter(athlete_id__in=asked, **only)
    found: dict[UUID, list[tuple[Any, ...]]] = defaultdict(list)
    for athlete, *row in rows.values_list("athlete_id", *SEEN_FIELDS):
        found[athlete].append(tuple(row))
    return found


def _work(asked: list[UUID], only: Mapping[str, UUID]) -> dict[UUID, dict[UUID, list[Work]]]:
    rows = telling_work().filter(athlete_id__in=asked, **only)
    found: dict[UUID, dict[UUID, list[Work]]] = defaultdict(lambda: defaultdict(list))
    columns = ("athlete_id", "movement_id", "local_date", "repetitions", "failure_repetitions", "hour")
    for athlete, movement, day, done, failed, hour in rows.values_list(*columns):
        found[athlete][movement].append(Work(day.toordinal(), done, min(failed, done), hour))
    return found
