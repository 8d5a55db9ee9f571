"""Capacity in the terms of a person: repetitions at a load, the maximum, a hold, a pace, and where they come from."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from athletes.calc.capacity import Capacity as LoadCapacity
from athletes.calc.capacity import told_one_rm, told_repetitions
from athletes.calc.critical import CriticalCapacity
from athletes.calc.hold import HoldCapacity
from athletes.capacities import METHOD
from athletes.capacity_notes import Contradiction, as_done, notes_of
from athletes.catalogue import CatalogueVersion
from athletes.endurance import CRITICAL_METHOD, HOLD_METHOD
from athletes.endurance_figures import CyclicalFigures, HoldFigures, cyclical_figures, hold_figures
from athletes.models import Capacity
from athletes.moments import NOON
from athletes.performed import Settings, effective_kg, fraction_of
from athletes.states import CapacityState

CURVE_DOES_NOT_APPLY = "curve_does_not_apply"
BODY_MASS_MISSING = "body_mass_missing"
NOT_A_LOAD = "not_a_load"
NOT_A_HOLD = "not_a_hold"
NOT_CYCLICAL = "not_cyclical"


@dataclass(frozen=True)
class Repetitions:
    """Repetitions available at a load: mean, and the values that 10, 50 and 90 % lie below."""

    mean: float
    p10: float
    p50: float
    p90: float


@dataclass(frozen=True)
class Maximum:
    """One-repetition maximum as effective load in kg: median, no less than what was lifted of late, and the interval
    that holds it with 80 %."""

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
    capacity_kind: str
    hold: HoldFigures | None
    hold_reason: str | None
    cyclical: CyclicalFigures | None
    cyclical_reason: str | None
    method: str
    prior_number: int | None
    inputs: str | None
    observations: int
    as_of: dt.date | None
    computed_at: dt.datetime | None
    test_due: bool
    test_due_reason: str | None
    contradictory_tests: tuple[Contradiction, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class _OfKind:
    """What a state says by its kind, the rest being None, and by which method."""

    method: str = METHOD
    effective_kg: float | None = None
    effective_kg_reason: str | None = CURVE_DOES_NOT_APPLY
    repetitions: Repetitions | None = None
    repetitions_reason: str | None = CURVE_DOES_NOT_APPLY
    one_rm: Maximum | None = None
    hold: HoldFigures | None = None
    cyclical: CyclicalFigures | None = None


def figures_of(
    version: CatalogueVersion,
    settings: Settings,
    state: CapacityState | None,
    body_mass_kg: float | None,
    row: Capacity | None,
    prior_number: int | None,
    asked: tuple[str, float] | None = None,
    hour: float = NOON,
) -> Figures:
    """What the state says of its kind; `asked`: the unit and amount of which a time is to be told.

    The state is that of today without soreness, which is added here for the hour of the day. `state` None: no
    capacity is kept of the movement. `row` None: nothing was observed, the state is the prior.
    """
    told = _of_kind(version, settings, state, body_mass_kg, asked, hour)
    noted = notes_of(state, version.variation.key, hour)
    return Figures(
        movement_id=version.movement_id,
        movement=version.variation.movement,
        variation_id=version.variation_id,
        variation=version.variation.key,
        load_kg=settings.load_kg,
        assistance_kg=settings.assistance_kg,
        height_cm=settings.height_cm,
        effective_kg=told.effective_kg,
        effective_kg_reason=told.effective_kg_reason,
        repetitions=told.repetitions,
        repetitions_reason=told.repetitions_reason,
        one_rm=told.one_rm,
        one_rm_reason=None if told.one_rm else CURVE_DOES_NOT_APPLY,
        capacity_kind=version.capacity_kind,
        hold=told.hold,
        hold_reason=None if told.hold else NOT_A_HOLD,
        cyclical=told.cyclical,
        cyclical_reason=None if told.cyclical else NOT_CYCLICAL,
        method=told.method,
        prior_number=row.prior.number if row else prior_number,
        inputs=row.inputs if row else None,
        observations=row.observations if row else 0,
        as_of=row.as_of if row else None,
        computed_at=row.computed_at if row else None,
        test_due=noted.test_due is not None,
        test_due_reason=noted.test_due,
        contradictory_tests=noted.contradictions,
        notes=noted.notes,
    )


def _of_kind(
    version: CatalogueVersion,
    settings: Settings,
    state: CapacityState | None,
    body_mass_kg: float | None,
    asked: tuple[str, float] | None,
    hour: float,
) -> _OfKind:
    if isinstance(state, CriticalCapacity):
        return _OfKind(CRITICAL_METHOD, cyclical=cyclical_figures(state, version.variation, asked))
    if isinstance(state, HoldCapacity):
        effective, reason = _effective(version, settings, body_mass_kg)
        return _OfKind(HOLD_METHOD, effective, reason, hold=hold_figures(state, effective, reason))
    if state is None or not version.curve_applies:
        return _OfKind()
    effective, reason = _effective(version, settings, body_mass_kg)
    done = as_done(state, version.variation.key, hour)
    found = told_one_rm(done, version.variation.key)
    maximum = Maximum(found.kg, found.lo_kg, found.hi_kg)
    repetitions = _repetitions(done, effective, reason, version.variation.key)
    return _OfKind(METHOD, effective, reason, *repetitions, maximum)


def _effective(
    version: CatalogueVersion, settings: Settings, body_mass_kg: float | None
) -> tuple[float | None, str | None]:
    effective = effective_kg(version.variation, settings, body_mass_kg)
    if effective is not None:
        return effective, None
    needs_mass = fraction_of(version.variation, settings.height_cm) > 0.0
    return None, BODY_MASS_MISSING if needs_mass and body_mass_kg is None else NOT_A_LOAD


def _repetitions(
    state: LoadCapacity, effective: float | None, reason: str | None, variation: str
) -> tuple[Repetitions | None, str | None]:
    if effective is None:
        return None, reason
    forecast = told_repetitions(state, effective, variation)
    if forecast.mean is None or forecast.p10 is None or forecast.p50 is None or forecast.p90 is None:
        return None, forecast.reason
    return Repetitions(forecast.mean, forecast.p10, forecast.p50, forecast.p90), None
