"""Reads: querysets of what an actor may see, and frozen rows for the calculation.

Every function that returns a dict takes all its athletes at once and makes a fixed number of queries.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import OuterRef, Q, QuerySet, Subquery

from athletes.calc.borrowing import Told, Traits, told_by
from athletes.calc.capacity import Capacity as LoadCapacity
from athletes.capacities import NOBODY, Lent, Person, read_traits
from athletes.catalogue import movement_priors
from athletes.models import (
    AbsenceAnswer,
    Assessment,
    Athlete,
    BodyMass,
    Capacity,
    GroupMember,
    HoldRelease,
    Limitation,
    PriorSnapshot,
)
from athletes.moments import NOON
from athletes.performed import MassHistory, mass_history
from athletes.safeties import safeties
from athletes.safety import NO_CONCERN, Safety
from athletes.states import CapacityState, read_state, state_on_day, unobserved_state
from services.tenancy.actor import Actor, Role


def athletes_visible_to(actor: Actor) -> QuerySet[Athlete]:
    """Coaches see everybody, location staff the athletes of their locations, athletes themselves."""
    rows = Athlete.objects.all()
    if actor.sees_all_athletes:
        return rows
    if actor.role == Role.LOCATION_STAFF:
        return rows.filter(location_id__in=actor.location_ids)
    return rows.filter(person_id=actor.person_id)


def body_masses_visible_to(actor: Actor) -> QuerySet[BodyMass]:
    return BodyMass.objects.filter(athlete__in=athletes_visible_to(actor))


def limitations_visible_to(actor: Actor) -> QuerySet[Limitation]:
    return Limitation.objects.filter(athlete__in=athletes_visible_to(actor))


def assessments_visible_to(actor: Actor) -> QuerySet[Assessment]:
    """With `replaced_by`, the id of the correction, and the variation."""
    later = Assessment.objects.filter(replaces=OuterRef("id")).values("id")[:1]
    rows = Assessment.objects.filter(athlete__in=athletes_visible_to(actor))
    return rows.select_related("variation_version__variation").annotate(replaced_by=Subquery(later))


def capacities_visible_to(actor: Actor) -> QuerySet[Capacity]:
    rows = Capacity.objects.filter(athlete__in=athletes_visible_to(actor))
    return rows.select_related("movement", "prior")


def group_members_visible_to(actor: Actor) -> QuerySet[GroupMember]:
    """Those of the athletes whom the actor may know of, past and future ones too."""
    return GroupMember.objects.filter(athlete__in=athletes_visible_to(actor)).select_related("athlete")


def newest_prior() -> PriorSnapshot | None:
    return PriorSnapshot.objects.order_by("-number").first()


def mass_histories(athlete_ids: Collection[UUID]) -> dict[UUID, MassHistory]:
    """Weighings of each athlete, an empty history for those without any (one query)."""
    found: dict[UUID, list[tuple[dt.date, float]]] = defaultdict(list)
    rows = BodyMass.objects.filter(athlete_id__in=athlete_ids).order_by("local_date", "measured_at", "id")
    for athlete_id, day, mass in rows.values_list("athlete_id", "local_date", "body_mass_kg"):
        found[athlete_id].append((day, mass))
    return {athlete_id: mass_history(found[athlete_id]) for athlete_id in athlete_ids}


@dataclass(frozen=True)
class AthleteInputs:
    """What a prescription needs to know of an athlete besides capacity.

    kit is a kit document, None for the location's; hazards are those that are limited on the date; sex is
    "female", "male", or anything else where it is not given.
    """

    body_mass_kg: float | None
    kit: Mapping[str, Any] | None
    hazards: frozenset[str]
    zone: str
    trains_alone: bool
    sex: str
    safety: Safety = NO_CONCERN


def prescribing_inputs(athlete_ids: Collection[UUID], on_date: dt.date) -> dict[UUID, AthleteInputs]:
    """By athlete; unknown ids are left out (five queries)."""
    masses = mass_histories(athlete_ids)
    safety = safeties(athlete_ids, on_date)
    limited: dict[UUID, set[str]] = defaultdict(set)
    holding = Q(from_date__lte=on_date) & (Q(until_date=None) | Q(until_date__gte=on_date))
    limits = Limitation.objects.filter(holding, athlete_id__in=athlete_ids)
    for athlete_id, hazard in limits.values_list("athlete_id", "hazard"):
        limited[athlete_id].add(hazard)
    rows = Athlete.objects.filter(id__in=athlete_ids).values_list("id", "kit", "zone", "trains_alone", "sex")
    return {
        athlete_id: AthleteInputs(
            masses[athlete_id].on(on_date),
            kit,
            frozenset(limited[athlete_id]),
            zone,
            alone,
            sex,
            safety.get(athlete_id, NO_CONCERN),
        )
        for athlete_id, kit, zone, alone, sex in rows
    }


@dataclass(frozen=True)
class AbsentDays:
    """Days without training that people have confirmed, both included."""

    from_date: dt.date
    to_date: dt.date


def confirmed_absences(athlete_id: UUID) -> list[AbsentDays]:
    """Earliest first; without those of which somebody has said since that there was training (two queries)."""
    covers = HoldRelease.objects.filter(athlete_id=athlete_id, code="absence_unconfirmed")
    released = {cause for listed in covers.values_list("covers", flat=True) for cause in listed}
    rows = AbsenceAnswer.objects.filter(athlete_id=athlete_id, trained=False)
    found = rows.order_by("absence__from_date", "to_date").values_list(
        "absence_id", "absence__from_date", "to_date"
    )
    return [AbsentDays(first, last) for absence, first, last in found if str(absence) not in released]


def capacities_for(
    athlete_ids: Collection[UUID], movement_ids: Collection[UUID], today: dt.date, hour: float = NOON
) -> dict[tuple[UUID, UUID], CapacityState]:
    """Capacity at an hour of `today` of each (athlete, movement), the plain prior where nothing was observed.

    Of the kind of its movement (athletes.states); a movement of which no capacity is kept (jumps, skills) is left
    out. What nobody has seen of an athlete borrows from what was seen in other movements (athletes.calc.borrowing).
    One query when everything has been observed, else five, and a sixth for a movement that has no prior in the
    snapshot: it is newer, or none is kept.
    """
    stored = Capacity.objects.filter(athlete_id__in=athlete_ids, movement_id__in=movement_ids)
    found = {
        (athlete_id, movement_id): state_on_day(read_state(state), today, hour)
        for athlete_id, movement_id, state in stored.values_list("athlete_id", "movement_id", "state")
    }
    if all((athlete, movement) in found for athlete in athlete_ids for movement in movement_ids):
        return found
    newest = newest_prior()
    priors = prior_documents(movement_ids, newest)
    masses, people = mass_histories(athlete_ids), persons(athlete_ids)
    traits = read_traits(newest.document if newest else {})
    told = _told_by_athlete(athlete_ids, traits)
    for movement_id, document in priors.items():
        for athlete_id in athlete_ids:
            if (athlete_id, movement_id) not in found:
                seen, of = told[athlete_id], traits.get(movement_id)
                lent = Lent(of, seen) if of is not None and seen else None
                found[athlete_id, movement_id] = unobserved_state(
                    document, masses[athlete_id].on(today), today, people.get(athlete_id, NOBODY), lent
                )
    return found


def persons(athlete_ids: Collection[UUID]) -> dict[UUID, Person]:
    """What a prior asks of each athlete besides the body mass (one query)."""
    rows = Athlete.objects.filter(id__in=athlete_ids).values_list("id", "sex", "born_on")
    return {athlete_id: Person(sex, born_on) for athlete_id, sex, born_on in rows}


def _told_by_athlete(
    athlete_ids: Collection[UUID], traits: Mapping[UUID, Traits]
) -> dict[UUID, tuple[tuple[Traits, Told], ...]]:
    """What each athlete's stored capacities in load and repetitions say of other movements (one query)."""
    found: dict[UUID, list[tuple[Traits, Told]]] = {athlete_id: [] for athlete_id in athlete_ids}
    rows = Capacity.objects.filter(athlete_id__in=athlete_ids, movement_id__in=traits).order_by("movement_id")
    for athlete_id, movement_id, document in rows.values_list("athlete_id", "movement_id", "state"):
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
