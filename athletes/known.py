"""Capacities as a computation reads them: rows at once, states for any day and hour."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from athletes.calc.borrowing import Told, Traits, told_by
from athletes.calc.capacity import Capacity as LoadCapacity
from athletes.capacities import NOBODY, Lent, Person, read_traits
from athletes.catalogue import movement_priors
from athletes.models import Athlete, Capacity, PriorSnapshot
from athletes.moments import NOON
from athletes.performed import MassHistory
from athletes.queries import mass_histories, newest_prior
from athletes.states import CapacityState, read_state, state_on_day, unobserved_state
from services.tenancy.compiled import Given, any_of, compiled

_Key = tuple[UUID, UUID]


def capacities_for(
    athlete_ids: Collection[UUID], movement_ids: Collection[UUID], today: dt.date, hour: float = NOON
) -> dict[_Key, CapacityState]:
    """Capacity at an hour of `today` of each (athlete, movement), the plain prior where nothing was observed.

    Of the kind of its movement (athletes.states); a movement of which no capacity is kept (jumps, skills) is left
    out. What nobody has seen of an athlete borrows from what was seen in other movements (athletes.calc.borrowing).
    One query when everything has been observed, else five, and a sixth for a movement that has no prior in the
    snapshot: it is newer, or none is kept.
    """
    return CapacityReader(athlete_ids, movement_ids).at(today, hour)


class CapacityReader:
    """What `capacities_for` answers, for several days and hours: the rows are read once."""

    def __init__(self, athlete_ids: Collection[UUID], movement_ids: Collection[UUID]) -> None:
        rows = _stored(athletes=list(athlete_ids), movements=list(movement_ids))
        self._stored = {(athlete_id, movement): read_state(state) for athlete_id, movement, state in rows}
        wanted = {(athlete, movement) for athlete in athlete_ids for movement in movement_ids}
        unseen = wanted - self._stored.keys()
        self._unseen = _Unseen(athlete_ids, movement_ids, unseen) if unseen else None

    def at(
        self, today: dt.date, hour: float = NOON, movement_ids: Collection[UUID] | None = None
    ) -> dict[_Key, CapacityState]:
        """By athlete and movement, of these movements or of all that were read."""
        found = {
            key: state_on_day(state, today, hour)
            for key, state in self._stored.items()
            if movement_ids is None or key[1] in movement_ids
        }
        return found if self._unseen is None else found | self._unseen.at(today, movement_ids)


@compiled
def _stored(athletes: Given, movements: Given) -> QuerySet[Capacity, tuple[UUID, UUID, Any]]:
    rows = Capacity.objects.filter(athlete_id=any_of(athletes), movement_id=any_of(movements))
    return rows.values_list("athlete_id", "movement_id", "state")


class _Unseen:
    """Of which nothing is stored: priors, and what lends to them (four queries, a fifth without a prior)."""

    def __init__(
        self, athlete_ids: Collection[UUID], movement_ids: Collection[UUID], unseen: Collection[_Key]
    ) -> None:
        newest = newest_prior()
        self._priors = prior_documents(movement_ids, newest)
        self._masses: Mapping[UUID, MassHistory] = mass_histories(athlete_ids)
        self._people = persons(athlete_ids)
        self._traits = read_traits(newest.document if newest else {})
        self._told = _told_by_athlete(athlete_ids, self._traits)
        self._keys = sorted((key for key in unseen if key[1] in self._priors), key=str)

    def at(self, today: dt.date, movement_ids: Collection[UUID] | None) -> dict[_Key, CapacityState]:
        return {
            key: self._state(*key, today)
            for key in self._keys
            if movement_ids is None or key[1] in movement_ids
        }

    def _state(self, athlete_id: UUID, movement_id: UUID, today: dt.date) -> CapacityState:
        seen, of = self._told[athlete_id], self._traits.get(movement_id)
        lent = Lent(of, seen) if of is not None and seen else None
        mass, person = self._masses[athlete_id].on(today), self._people.get(athlete_id, NOBODY)
        return unobserved_state(self._priors[movement_id], mass, today, person, lent)


def persons(athlete_ids: Collection[UUID]) -> dict[UUID, Person]:
    """What a prior asks of each athlete besides the body mass (one query)."""
    rows = _persons(athletes=list(athlete_ids))
    return {athlete_id: Person(sex, born_on) for athlete_id, sex, born_on in rows}


@compiled
def _persons(athletes: Given) -> QuerySet[Athlete, tuple[UUID, str, dt.date | None]]:
    return Athlete.objects.filter(id=any_of(athletes)).values_list("id", "sex", "born_on")


def _told_by_athlete(
    athlete_ids: Collection[UUID], traits: Mapping[UUID, Traits]
) -> dict[UUID, tuple[tuple[Traits, Told], ...]]:
    """What each athlete's stored capacities in load and repetitions say of other movements (one query)."""
    found: dict[UUID, list[tuple[Traits, Told]]] = {athlete_id: [] for athlete_id in athlete_ids}
    rows = _stored(athletes=list(athlete_ids), movements=list(traits))
    for athlete_id, movement_id, document in sorted(rows, key=lambda row: row[1]):
        state = read_state(document)
        told = told_by(state) if isinstance(state, LoadCapacity) else None
        if told is not None:
            found[athlete_id].append((traits[movement_id], told))
    return {athlete_id: tuple(listed) for athlete_id, listed in found.items()}


def prior_documents(
    movement_ids: Collection[UUID], newest: PriorSnapshot | None = None
) -> dict[UUID, Mapping[str, Any]]:
    """From the newest snapshot, and from the catalogue for what has none there (one query or two; one less with the
    newest snapshot given).

    Movements of which no capacity is kept are left out.
    """
    newest = newest or newest_prior()
    frozen = {} if newest is None else newest.document["movements"]
    found = {movement: frozen[str(movement)] for movement in movement_ids if frozen.get(str(movement))}
    if len(found) < len(set(movement_ids)):
        current = movement_priors()
        found |= {movement: current.get(movement) for movement in movement_ids if movement not in found}
    return {movement: document for movement, document in found.items() if document is not None}
