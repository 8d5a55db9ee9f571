"""Tests through the door of logged sets: what is beyond belief is stored only when the staff say that it is right."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from athletes.actions.tested import TIME_TRIAL, Performance, unit_of
from athletes.capacities import NOBODY, Person
from athletes.catalogue import CatalogueVersion
from athletes.errors import ImplausibleTest
from athletes.heaviest import FEMALE, beyond_hands, beyond_the_world
from athletes.known import persons, prior_documents
from athletes.models import Athlete, Observation
from athletes.performed import MassHistory, fraction_of
from athletes.plausible import SPREADS, Performed, beyond_belief
from athletes.states import unobserved_state
from programming.calc.units import NAMES, tells
from programming.calc.variation import REPETITIONS
from services.problems import FieldProblem
from services.tenancy.actor import STAFF, Actor

ALONE_SPREADS: Final = {FEMALE: 1.645}
ALONE_SPREADS_OF_OTHERS: Final = 2.0
"""Of a lift with an external load by somebody of whom nothing else is known in the movement: for women P95, 2.1 times
the typical load of that body mass where the SD is 0.45, for everybody else 2.5 times. The catalogue's priors are of
both sexes, and of the same body mass women lift less. Ours: pounds typed as kilograms are 2.2 times, so that the slip
of whoever is stronger than most is asked about; a few true tests in a hundred are too, at the price of a request."""

ASKED: Final = "beyond_belief"
NEVER: Final = "beyond_the_world"


@dataclass(frozen=True)
class Doubt:
    """Why a test is not believed as it stands; code NEVER: not by anybody's word."""

    code: str
    detail: str


class Doubter:
    """What is true of people in general in these movements, and who was seen in them before (four queries)."""

    def __init__(
        self, athlete_ids: Collection[UUID], movement_ids: Collection[UUID], but: UUID | None = None
    ) -> None:
        """but: a test that is being replaced, and so tells nothing any more."""
        self._documents = prior_documents(set(movement_ids))
        self._people = persons(athlete_ids)
        seen = Observation.objects.filter(athlete_id__in=athlete_ids, movement_id__in=movement_ids)
        if but is not None:
            seen = seen.exclude(source_id=but)
        self._seen = set(seen.values_list("athlete_id", "movement_id"))

    def doubt(
        self,
        athlete_id: UUID,
        version: CatalogueVersion,
        tested: Performance,
        mass: float | None,
        day: dt.date,
    ) -> Doubt | None:
        """Why the test is not believed, None: it is (no query). mass: body mass [kg] on the day."""
        done = _performed(version, tested)
        if done is None or not done.amount > 0.0:
            return None
        person = self._people.get(athlete_id, NOBODY)
        repetitions = done.amount if done.unit == REPETITIONS else 1.0
        load_kg = done.settings.load_kg
        if beyond_the_world(version.variation, load_kg, repetitions, person.sex, mass):
            return Doubt(NEVER, f"{_said(done)} is more than the strongest of the world lift.")
        if beyond_hands(version.variation, load_kg, repetitions):
            return Doubt(ASKED, f"{_said(done)} is more than anybody is likely to hold.")
        if self._surprises((athlete_id, version.movement_id), version, done, mass, person, day):
            return Doubt(ASKED, f"{_said(done)} is far beyond what is known of people of this body mass.")
        return None

    def _surprises(
        self,
        key: tuple[UUID, UUID],
        version: CatalogueVersion,
        done: Performed,
        mass: float | None,
        person: Person,
        day: dt.date,
    ) -> bool:
        document = self._documents.get(version.movement_id)
        if document is None or not tells(version.capacity_kind, version.variation, done.unit):
            return False
        spreads = SPREADS if key in self._seen else _spreads(done, person.sex)
        return beyond_belief(unobserved_state(document, mass, day, person), done, mass, spreads)


def refuse_doubted(
    actor: Actor,
    athlete: Athlete,
    version: CatalogueVersion,
    tested: Performance,
    *,
    masses: MassHistory,
    day: dt.date,
    confirmed: bool,
    replaced: UUID | None = None,
) -> None:
    """Raise ImplausibleTest unless the test is believed, or one of the staff, not the athlete, says it is right."""
    doubt = Doubter([athlete.id], [version.movement_id], replaced).doubt(
        athlete.id, version, tested, masses.on(day), day
    )
    may_confirm = actor.role in STAFF and actor.person_id != athlete.person_id
    if doubt is None or (doubt.code == ASKED and confirmed and may_confirm):
        return
    raise ImplausibleTest(
        f"{doubt.detail} {ImplausibleTest.remedy}",
        errors=[
            FieldProblem("#/confirmed" if doubt.code == ASKED else "#/load_kg", doubt.code, doubt.detail)
        ],
    )


def _spreads(done: Performed, sex: str) -> float:
    """How far above people in general somebody is believed to be by this one test."""
    external = (
        done.settings.load_kg is not None and not fraction_of(done.variation, done.settings.height_cm) > 0.0
    )
    if done.unit != REPETITIONS or not external:
        return SPREADS
    return ALONE_SPREADS.get(sex, ALONE_SPREADS_OF_OTHERS)


def _performed(version: CatalogueVersion, tested: Performance) -> Performed | None:
    unit = unit_of(tested)
    if unit is None:
        return None
    amount = float(getattr(tested, unit))
    if unit == REPETITIONS and amount > 0.0:
        amount += float(tested.rir or 0)
    seconds = tested.elapsed_s if tested.kind == TIME_TRIAL else None
    return Performed(version.variation, tested.settings, unit, amount, seconds)


def _said(done: Performed) -> str:
    load = "" if done.settings.load_kg is None else f" with {done.settings.load_kg:g} kg"
    within = "" if done.seconds is None else f" in {done.seconds:g} s"
    return f"{done.variation.key}, {done.amount:g} {NAMES[done.unit]}{load}{within},"
