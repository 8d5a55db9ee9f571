"""Tests through the door of logged sets: what is beyond belief is stored only when the staff say that it is right."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.db.models import F, Max
from django.db.models.functions import Coalesce

from athletes.actions.tested import TIME_TRIAL, Performance, unit_of
from athletes.calc.capacity import Capacity as LoadCapacity
from athletes.capacities import NOBODY, Person
from athletes.catalogue import CatalogueVersion, versions
from athletes.errors import ImplausibleTest
from athletes.heaviest import FEMALE, beyond_hands, beyond_the_world
from athletes.known import persons, prior_documents
from athletes.models import Athlete, Observation
from athletes.performed import MassHistory, Settings, effective_kg, fraction_of
from athletes.plausible import SPREADS, Performed, beyond_belief, implied_log_l10
from athletes.states import CapacityState, unobserved_state
from programming.calc.load import load_said
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
OWN_DISTANCE: Final = math.log(1.8)
"""So far above the most that somebody has shown a test is asked about, whatever others of that body mass lift. Below
the 2.2 of pounds typed as kilograms by what somebody differs from one test to the next, about a fifth; and above
ordinary progress: the untrained gain about 40 % in their first months, the trained less (ACSM 2002, from memory),
with that fifth 1.7 times. Only of what told the most: the light sets that somebody begins with show none."""
LIMITS: Final = frozenset({"one_rm", "to_failure", "rir"})
MOST_TOLD_RIR: Final = 5.0
"""How many left are still told as a count (ours): of more it is only known that they were many."""

ASKED: Final = "beyond_belief"
NEVER: Final = "beyond_the_world"


@dataclass(frozen=True)
class Doubt:
    """Why a test is not believed as it stands; code NEVER: not by anybody's word."""

    code: str
    detail: str


@dataclass(frozen=True)
class _Shown:
    """The most of one version with one setting; is_limit: it was the most that there was."""

    name: str
    done: Performed
    is_limit: bool


class Doubter:
    """What is true of people in general in these movements, and who has shown what in them (at most five queries)."""

    def __init__(
        self, athlete_ids: Collection[UUID], movement_ids: Collection[UUID], but: UUID | None = None
    ) -> None:
        """but: a test that is being replaced, and so tells nothing any more."""
        self._documents = prior_documents(set(movement_ids))
        self._people = persons(athlete_ids)
        self._shown = _shown(athlete_ids, movement_ids, but)

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
        return None if done is None else self.doubt_of(athlete_id, version, done, mass, day)

    def doubt_of(
        self,
        athlete_id: UUID,
        version: CatalogueVersion,
        done: Performed,
        mass: float | None,
        day: dt.date,
    ) -> Doubt | None:
        """The same of what was done, repetitions with those that were left (no query)."""
        if not done.amount > 0.0:
            return None
        person = self._people.get(athlete_id, NOBODY)
        said = _said(version.name, done)
        repetitions = done.amount if done.unit == REPETITIONS else 1.0
        load_kg = done.settings.load_kg
        if beyond_the_world(version.variation, load_kg, repetitions, person.sex, mass):
            return Doubt(NEVER, f"{said}, is more than the strongest of the world lift.")
        if beyond_hands(version.variation, load_kg, repetitions):
            return Doubt(ASKED, f"{said}, is more than anybody is likely to hold.")
        why = self._surprises((athlete_id, version.movement_id), version, done, mass, person, day)
        return None if why is None else Doubt(ASKED, f"{said}, is {why}.")

    def _surprises(
        self,
        key: tuple[UUID, UUID],
        version: CatalogueVersion,
        done: Performed,
        mass: float | None,
        person: Person,
        day: dt.date,
    ) -> str | None:
        """How it lies beyond what is known of the athlete, or else of people; None: it does not."""
        document = self._documents.get(version.movement_id)
        if document is None or not tells(version.capacity_kind, version.variation, done.unit):
            return None
        state = unobserved_state(document, mass, day, person)
        most = _most_shown(state, done, mass, self._shown.get(key, ()))
        if most is not None and most.distance > OWN_DISTANCE and most.of_limits:
            return f"far above the most that the athlete has shown ({most.said})"
        known = most is not None and most.distance <= OWN_DISTANCE
        if beyond_belief(state, done, mass, SPREADS if known else _spreads(done, person.sex)):
            return "far beyond what is known of people of this body mass"
        return None


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
    if doubt is None or (doubt.code == ASKED and confirmed and may_confirm(actor, athlete)):
        return
    remedy = ImplausibleTest.remedy if doubt.code == ASKED else ImplausibleTest.check
    raise ImplausibleTest(
        f"{doubt.detail} {remedy}",
        errors=[
            FieldProblem("#/confirmed" if doubt.code == ASKED else "#/load_kg", doubt.code, doubt.detail)
        ],
    )


def may_confirm(actor: Actor, athlete: Athlete) -> bool:
    """Whether their word opens what is beyond belief: of the staff, and not the athlete."""
    return actor.role in STAFF and actor.person_id != athlete.person_id


def _shown(
    athlete_ids: Collection[UUID], movement_ids: Collection[UUID], but: UUID | None
) -> dict[tuple[UUID, UUID], list[_Shown]]:
    """By athlete and movement the most repetitions of each version, with those left, of limits and else (two queries,
    one where nothing was seen).

    Of the rows themselves: a capacity may wait for its recompute, and still knows the test that is replaced.
    """
    rows = Observation.objects.filter(athlete_id__in=athlete_ids, movement_id__in=movement_ids)
    if but is not None:
        rows = rows.exclude(source_id=but)
    settings = ("load_kg", "assistance_kg", "height_cm")
    most = rows.values_list(
        "athlete_id", "movement_id", "variation_version_id", "kind", "rir", *settings
    ).annotate(most=Max(F("repetitions") + Coalesce("rir", 0.0)))
    listed = list(most)
    known = versions({version_id for _, _, version_id, *_ in listed}) if listed else {}
    found: dict[tuple[UUID, UUID], list[_Shown]] = {}
    for athlete_id, movement_id, version_id, kind, rir, load_kg, assistance_kg, height_cm, count in listed:
        if not count > 0.0:  # missed, or counted in another unit
            continue
        version = known[version_id]
        is_limit = kind in LIMITS and (rir or 0.0) <= MOST_TOLD_RIR
        done = Performed(version.variation, Settings(load_kg, assistance_kg, height_cm), REPETITIONS, count)
        found.setdefault((athlete_id, movement_id), []).append(_Shown(version.name, done, is_limit))
    return found


@dataclass(frozen=True)
class _Most:
    """The most that was shown: how far a test lies above it, in ln of the ten-repetition load, and what it was.
    of_limits: some of what was shown was a most.
    """

    distance: float
    said: str
    of_limits: bool


def _most_shown(
    state: CapacityState, done: Performed, mass: float | None, shown: Sequence[_Shown]
) -> _Most | None:
    """None where nothing was shown that can be held against it: of another kind of capacity, or of an unknown load.

    Loads are those of the day of the test: what the body mass has changed since is little beside such a distance.
    """
    load = effective_kg(done.variation, done.settings, mass)
    if not isinstance(state, LoadCapacity) or done.unit != REPETITIONS or load is None:
        return None
    implied = [
        (implied_log_l10(state, kg, one.done.amount), one)
        for one in shown
        if (kg := effective_kg(one.done.variation, one.done.settings, mass)) is not None
    ]
    if not implied:
        return None
    best, most = max(implied, key=lambda pair: pair[0])
    distance = implied_log_l10(state, load, done.amount) - best
    return _Most(distance, _said(most.name, most.done), any(one.is_limit for _, one in implied))


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


def _said(name: str, done: Performed) -> str:
    load_kg = done.settings.load_kg
    load = "" if load_kg is None else f" with {load_said(load_kg, done.variation.implements)}"
    within = "" if done.seconds is None else f" in {done.seconds:g} s"
    one = done.unit == REPETITIONS and done.amount == 1.0
    unit = "repetition" if one else NAMES[done.unit]
    return f"{name}, {done.amount:g} {unit}{load}{within}"
