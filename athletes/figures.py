"""Capacity in the terms of a person: repetitions at a load, the maximum, and where they come from."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from athletes.calc.capacity import Capacity as CapacityState
from athletes.calc.capacity import from_json, one_rm, repetitions_at
from athletes.capacities import METHOD, on_day, unobserved
from athletes.catalogue import CatalogueVersion, current_version, versions
from athletes.models import Athlete, Capacity, Observation
from athletes.performed import MassHistory, Settings, effective_kg, fraction_of, setting_problems
from athletes.queries import mass_histories, newest_prior, prior_documents
from services.problems import FieldProblem, Invalid, NotFound

CURVE_DOES_NOT_APPLY = "curve_does_not_apply"
BODY_MASS_MISSING = "body_mass_missing"
NOT_A_LOAD = "not_a_load"


@dataclass(frozen=True)
class Repetitions:
    """Repetitions available at a load: mean, and the values that 10, 50 and 90 % lie below."""

    mean: float
    p10: float
    p50: float
    p90: float


@dataclass(frozen=True)
class Maximum:
    """One-repetition maximum as effective load in kg: median, and the interval that holds it with 80 %."""

    effective_kg: float
    lower_kg: float
    upper_kg: float


@dataclass(frozen=True)
class Figures:
    """One capacity at one way to perform a variation; what cannot be given is None, with the reason."""

    movement_id: UUID
    movement: str
    variation_id: UUID
    variation: str
    load_kg: float | None
    assistance_kg: float | None
    height_cm: float | None
    effective_kg: float | None
    effective_kg_reason: str | None
    repetitions: Repetitions | None
    repetitions_reason: str | None
    one_rm: Maximum | None
    one_rm_reason: str | None
    method: str
    prior_number: int | None
    inputs: str | None
    observations: int
    as_of: dt.date | None
    computed_at: dt.datetime | None


def figures_of(
    version: CatalogueVersion,
    settings: Settings,
    state: CapacityState | None,
    body_mass_kg: float | None,
    row: Capacity | None,
    prior_number: int | None,
) -> Figures:
    """`state` None: the movement has no curve. `row` None: nothing was observed, the state is the prior."""
    effective: float | None = None
    repetitions = maximum = None
    reason: str | None = CURVE_DOES_NOT_APPLY
    repetitions_reason: str | None = CURVE_DOES_NOT_APPLY
    if state is not None and version.curve_applies:
        effective, reason = _effective(version, settings, body_mass_kg)
        repetitions, repetitions_reason = _repetitions(state, effective, reason)
        found = one_rm(state)
        maximum = Maximum(found.kg, found.lo_kg, found.hi_kg)
    return Figures(
        movement_id=version.movement_id,
        movement=version.variation.movement,
        variation_id=version.variation_id,
        variation=version.variation.key,
        load_kg=settings.load_kg,
        assistance_kg=settings.assistance_kg,
        height_cm=settings.height_cm,
        effective_kg=effective,
        effective_kg_reason=reason,
        repetitions=repetitions,
        repetitions_reason=repetitions_reason,
        one_rm=maximum,
        one_rm_reason=None if maximum else CURVE_DOES_NOT_APPLY,
        method=METHOD,
        prior_number=row.prior.number if row else prior_number,
        inputs=row.inputs if row else None,
        observations=row.observations if row else 0,
        as_of=row.as_of if row else None,
        computed_at=row.computed_at if row else None,
    )


def _effective(
    version: CatalogueVersion, settings: Settings, body_mass_kg: float | None
) -> tuple[float | None, str | None]:
    effective = effective_kg(version.variation, settings, body_mass_kg)
    if effective is not None:
        return effective, None
    needs_mass = fraction_of(version.variation, settings.height_cm) > 0.0
    return None, BODY_MASS_MISSING if needs_mass and body_mass_kg is None else NOT_A_LOAD


def _repetitions(
    state: CapacityState, effective: float | None, reason: str | None
) -> tuple[Repetitions | None, str | None]:
    if effective is None:
        return None, reason
    forecast = repetitions_at(state, effective)
    if forecast.mean is None or forecast.p10 is None or forecast.p50 is None or forecast.p90 is None:
        return None, forecast.reason
    return Repetitions(forecast.mean, forecast.p10, forecast.p50, forecast.p90), None


@dataclass(frozen=True)
class FigureReader:
    """Describes the capacity rows of one athlete at what each movement was last seen with."""

    today: dt.date
    masses: MassHistory
    last_seen: dict[UUID, tuple[CatalogueVersion, Settings]]

    def figures(self, row: Capacity) -> Figures:
        version, settings = self.last_seen[row.movement_id]
        state = on_day(from_json(row.state), self.today)
        return figures_of(version, settings, state, self.masses.on(self.today), row, None)


def figure_reader(athlete: Athlete, today: dt.date) -> FigureReader:
    """For a page of capacities (three queries, however many movements)."""
    latest = (
        Observation.objects.filter(athlete=athlete)
        .order_by("movement_id", "-local_date", "-created_at", "-ordinal")
        .distinct("movement_id")
        .values_list("movement_id", "variation_version_id", "load_kg", "assistance_kg", "height_cm")
    )
    seen = {
        movement: (version, Settings(load, assistance, height))
        for movement, version, load, assistance, height in latest
    }
    known = versions({version for version, _ in seen.values()})
    last_seen = {movement: (known[version], settings) for movement, (version, settings) in seen.items()}
    return FigureReader(today, mass_histories([athlete.id])[athlete.id], last_seen)


def figures_at(athlete: Athlete, variation_id: UUID, settings: Settings, today: dt.date) -> Figures:
    """One variation at chosen settings, from the prior alone when nothing was observed.

    Raises NotFound, and Invalid (with the query parameter) for settings that do not suit the variation.
    """
    version = current_version(variation_id)
    if version is None:
        raise NotFound()
    faults = setting_problems(version.variation, settings)
    if faults:
        raise Invalid(errors=[_as_parameter(fault) for fault in faults])
    row = (
        Capacity.objects.filter(athlete=athlete, movement=version.movement_id).select_related("prior").first()
    )
    mass = mass_histories([athlete.id])[athlete.id].on(today)
    state, number = None, None
    if row is not None:
        state = on_day(from_json(row.state), today)
    elif version.curve_applies:
        document = prior_documents([version.movement_id])[version.movement_id]
        newest = newest_prior()
        state, number = unobserved(document, mass, today), newest.number if newest else None
    return figures_of(version, settings, state, mass, row, number)


def _as_parameter(fault: FieldProblem) -> FieldProblem:
    return FieldProblem("", fault.code, fault.detail, parameter=fault.pointer.rpartition("/")[2])
