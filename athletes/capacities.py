"""From stored rows to the calculation of capacity and back. No writes."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import hypot, log1p, sqrt
from typing import Any, Final
from uuid import UUID

from athletes.calc.borrowing import Told, Traits, borrowed
from athletes.calc.capacity import (
    METHOD_VERSION,
    Absence,
    Capacity,
    Observation,
    Prior,
    Work,
    after_body_mass,
    carried,
    estimate_capacity,
    on_the_day,
)
from athletes.calc.constants import BODY_MASS_CHANGED
from athletes.calc.curve_pooling import CurveFit
from athletes.calc.fatigue import MULTIPLIER_MEDIAN, MULTIPLIER_MEDIANS
from athletes.calc.pooling import Fit
from athletes.calc.tired import Spent, spent_of_people
from athletes.catalogue import CatalogueVersion
from athletes.moments import NOON
from athletes.performed import MassHistory, Settings, effective_kg
from programming.calc.catalogue import parse_prior

STORE_VERSION: Final = 7
"""Raise when stored rows are read differently, so that the same rows make other inputs."""

METHOD: Final = f"log-linear capacity filter {METHOD_VERSION}.{STORE_VERSION}"

UNKNOWN_BODY_MASS_KG: Final = 75.0
UNKNOWN_BODY_MASS_CV: Final = 0.2
UNKNOWN_BODY_MASS_LOG_SD: Final = sqrt(log1p(UNKNOWN_BODY_MASS_CV**2))
"""Of an athlete who was never weighed. Ours: 75 kg with two thirds between 61 and 92 kg takes in most adults
of either sex who train; only the start of the estimate depends on it."""

FIT: Final = "fit"
"""Under this name a snapshot's prior of a movement holds what the organisation's own athletes have said."""

CURVE: Final = "curve"
"""Under this name what they have said of its curve."""

DIGITS: Final = 6
"""Of a load in kg, and of repetitions spent: a milligram is noise of the arithmetic, not another load."""


@dataclass(frozen=True)
class Person:
    """What a prior asks of somebody besides the body mass; sex "" and born_on None where they are not given."""

    sex: str = ""
    born_on: dt.date | None = None

    def age_on(self, day: dt.date) -> float | None:
        """In years."""
        return None if self.born_on is None else (day - self.born_on).days / 365.25


NOBODY: Final = Person()


@dataclass(frozen=True)
class SeenRow:
    """An observation as it is stored: what was done, without the load that follows from the body mass."""

    movement_id: UUID
    variation_version_id: UUID
    local_date: dt.date
    kind: str
    settings: Settings
    repetitions: float
    rir: float | None
    weight: float
    hour: float = NOON
    spent: Spent | None = None


@dataclass(frozen=True)
class Inputs:
    """Everything that a capacity is a function of.

    body_masses_kg: that of the last observation's day and the newest one, where both are known. expected: ln L10 that
    the catalogue expects of such a person, before the organisation's own fit.
    """

    prior: Prior
    observations: tuple[Observation, ...]
    day: int
    prior_number: int
    absences: tuple[Absence, ...] = ()
    work: tuple[Work, ...] = ()
    body_masses_kg: tuple[float, float] | None = None
    expected: float = 0.0

    @property
    def body_mass_changed(self) -> bool:
        """Much since the last observation: a smaller change is no input, and computes nothing again."""
        if self.body_masses_kg is None:
            return False
        before, after = self.body_masses_kg
        return max(after / before, before / after) >= BODY_MASS_CHANGED

    def fingerprint(self) -> str:
        """SHA-256 of the inputs, whose loads are rounded already, and of the versions of the method."""
        p = self.prior
        rows = sorted(
            [
                *(o.day, o.kind, o.load_kg, o.repetitions, -1.0 if o.rir is None else o.rir, o.weight),
                *(o.variation, o.body_mass_kg or 0.0, o.hour, o.spent, o.spent_sd),
            ]
            for o in self.observations
        )
        work = sorted([w.day, w.repetitions, w.failure_repetitions, w.hour] for w in self.work)
        content = [
            [METHOD_VERSION, STORE_VERSION, self.prior_number, self.day],
            [
                p.log_l10,
                p.log_l10_sd,
                p.log_k,
                p.log_k_sd,
                p.asymptote_share,
                p.misfit,
                p.gain,
                self.expected,
            ],
            rows,
            sorted([one.from_day, one.to_day] for one in self.absences),
            work,
            self.body_masses_kg if self.body_mass_changed else None,
        ]
        return hashlib.sha256(json.dumps(content, separators=(",", ":")).encode()).hexdigest()


def catalogue_prior(document: Mapping[str, Any], body_mass_kg: float | None) -> Prior:
    """The prior of one movement for a person of this body mass, without any fit; wider when the mass is unknown and
    matters."""
    described = parse_prior({name: value for name, value in document.items() if name not in (FIT, CURVE)})
    if body_mass_kg is not None:
        return described.at(body_mass_kg)
    prior = described.at(UNKNOWN_BODY_MASS_KG)
    if described.l10_per_body_mass is None:
        return prior
    return replace(prior, log_l10_sd=hypot(prior.log_l10_sd, UNKNOWN_BODY_MASS_LOG_SD))


def prior_of(
    document: Mapping[str, Any],
    body_mass_kg: float | None,
    person: Person = NOBODY,
    day: dt.date | None = None,
) -> Prior:
    """The same with the organisation's own fit and curve, where the snapshot has them (see athletes.calc.pooling and
    curve_pooling)."""
    prior = catalogue_prior(document, body_mass_kg)
    if (curve := document.get(CURVE)) is not None:
        prior = CurveFit(**curve).on(prior)
    if (told := document.get(FIT)) is None:
        return prior
    fit = Fit(**told)
    age = None if day is None else person.age_on(day)
    unknown = sqrt(max(prior.log_l10_sd**2 - float(document["l10_sd"]) ** 2, 0.0))
    return replace(prior, log_l10=prior.log_l10 + fit.at(person.sex, age), log_l10_sd=hypot(fit.sd, unknown))


def usable(
    rows: Sequence[SeenRow], versions: Mapping[UUID, CatalogueVersion], masses: MassHistory, sex: str = ""
) -> list[Observation]:
    """Observations with their effective loads, each under the key of its variation, and with what was spent before
    as people of that sex (where it is given) spend it.

    Left out: a row whose variation has no curve, and one that needs a body mass while none is known at all
    (it comes in with the first weighing, which asks for a recompute).
    """
    found = []
    median = MULTIPLIER_MEDIANS.get(sex, MULTIPLIER_MEDIAN)
    for row in rows:
        version = versions[row.variation_version_id]
        if not version.curve_applies:
            continue
        load_kg = effective_kg(version.variation, row.settings, masses.on(row.local_date))
        if load_kg is None:
            continue
        spent, spent_sd = (0.0, 0.0) if row.spent is None else spent_of_people(row.spent, median)
        found.append(
            Observation(
                day=row.local_date.toordinal(),
                load_kg=round(load_kg, DIGITS),
                repetitions=row.repetitions,
                kind=row.kind,  # type: ignore[arg-type]  # checked by Observation itself
                rir=row.rir,
                weight=row.weight,
                variation=version.variation.key,
                hour=row.hour,
                body_mass_kg=masses.on(row.local_date),
                spent=round(spent, DIGITS),
                spent_sd=round(spent_sd, DIGITS),
            )
        )
    return found


def inputs_of(
    observations: Sequence[Observation],
    prior_document: Mapping[str, Any],
    prior_number: int,
    masses: MassHistory,
    absences: Sequence[Absence] = (),
    work: Sequence[Work] = (),
    person: Person = NOBODY,
) -> Inputs:
    """The inputs of a movement that was observed; the state is that of the last observation's day.

    So a row does not age by itself: `on_day` carries it to another day. The prior is that of the body mass on
    the day of the first observation.
    """
    first, last = (pick(o.day for o in observations) for pick in (min, max))
    began = dt.date.fromordinal(first)
    prior = prior_of(prior_document, masses.on(began), person, began)
    expected = catalogue_prior(prior_document, masses.on(began)).log_l10
    before = masses.on(dt.date.fromordinal(last))
    known = None if before is None else (before, masses.body_masses_kg[-1])
    return Inputs(
        prior, tuple(observations), last, prior_number, tuple(absences), tuple(work), known, expected
    )


def compute(inputs: Inputs) -> Capacity:
    found = estimate_capacity(
        inputs.prior, inputs.observations, day=inputs.day, absences=inputs.absences, work=inputs.work
    )
    found = replace(found, start=(inputs.expected, inputs.prior.log_l10, inputs.prior.log_l10_sd))
    return found if inputs.body_masses_kg is None else after_body_mass(found, *inputs.body_masses_kg)


def on_day(capacity: Capacity, day: dt.date, hour: float = NOON) -> Capacity:
    """What can be done on a later day, as it is known: drift, confirmed absence, and the soreness of that hour.

    Earlier days change nothing; hour counts from the midnight that the day begins with.
    """
    return on_the_day(carried(capacity, day.toordinal()), hour)


def read_traits(snapshot: Mapping[str, Any]) -> dict[UUID, Traits]:
    """What a snapshot's movements may have in common; none in those that were taken before it was kept."""
    return {
        UUID(movement): Traits(entry["pattern"], entry["muscle_groups"])
        for movement, entry in snapshot.get("traits", {}).items()
    }


@dataclass(frozen=True)
class Lent:
    """What seen movements say of an unseen one: its traits, and each seen one's with what was told."""

    traits: Traits
    seen: tuple[tuple[Traits, Told], ...]


def unobserved(
    prior_document: Mapping[str, Any],
    body_mass_kg: float | None,
    day: dt.date,
    person: Person = NOBODY,
    lent: Lent | None = None,
) -> Capacity:
    """What is taken of somebody of whom nothing was seen in the movement; of people in general without `lent`."""
    prior = prior_of(prior_document, body_mass_kg, person, day)
    if lent is not None:
        prior = borrowed(prior, lent.traits, lent.seen)
    return estimate_capacity(prior, (), day=day.toordinal())
