"""Capacity in the terms of a person: repetitions at a load, the maximum, and where they come from."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from athletes.calc.capacity import Capacity as LoadCapacity
from athletes.calc.capacity import carried, one_rm, repetitions_at
from athletes.calc.critical import CriticalCapacity
from athletes.calc.hold import HoldCapacity
from athletes.capacities import METHOD
from athletes.capacity_notes import Contradiction, as_done, notes_of
from athletes.catalogue import CatalogueVersion, current_version, versions
from athletes.endurance import CRITICAL_METHOD, HOLD_METHOD
from athletes.endurance_figures import CyclicalFigures, HoldFigures, cyclical_figures, hold_figures
from athletes.models import Athlete, Capacity, Observation
from athletes.moments import NOON, Moment
from athletes.performed import MassHistory, Settings, effective_kg, fraction_of, setting_problems
from athletes.queries import capacities_for, mass_histories, newest_prior
from athletes.states import CapacityState, read_state, state_on_day
from programming.calc.catalogue import CYCLICAL, HOLD
from programming.calc.variation import DISTANCE, ENERGY
from services.problems import FieldProblem, Invalid, NotFound

CURVE_DOES_NOT_APPLY = "curve_does_not_apply"
BODY_MASS_MISSING = "body_mass_missing"
NOT_A_LOAD = "not_a_load"
NOT_A_HOLD = "not_a_hold"
NOT_CYCLICAL = "not_cyclical"
ASKED_UNITS = (DISTANCE, ENERGY)
LARGEST_ASKED = 1e6


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

    The state is that of today without soreness, which is added here for the hour of the day (see `_today`).
    `state` None: no capacity is kept of the movement. `row` None: nothing was observed, the state is the prior.
    """
    effective: float | None = None
    repetitions = maximum = hold = cyclical = None
    reason: str | None = CURVE_DOES_NOT_APPLY
    repetitions_reason: str | None = CURVE_DOES_NOT_APPLY
    method = METHOD
    if isinstance(state, HoldCapacity):
        effective, reason = _effective(version, settings, body_mass_kg)
        hold, method = hold_figures(state, effective, reason), HOLD_METHOD
    elif isinstance(state, CriticalCapacity):
        cyclical, method = cyclical_figures(state, version.variation, asked), CRITICAL_METHOD
    elif state is not None and version.curve_applies:
        effective, reason = _effective(version, settings, body_mass_kg)
        done = as_done(state, version.variation.key, hour)
        repetitions, repetitions_reason = _repetitions(done, effective, reason)
        found = one_rm(done)
        maximum = Maximum(found.kg, found.lo_kg, found.hi_kg)
    noted = notes_of(state, version.variation.key, hour)
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
        capacity_kind=version.capacity_kind,
        hold=hold,
        hold_reason=None if hold else NOT_A_HOLD,
        cyclical=cyclical,
        cyclical_reason=None if cyclical else NOT_CYCLICAL,
        method=method,
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


def _today(row: Capacity, today: dt.date) -> CapacityState:
    state = read_state(row.state)
    if isinstance(state, LoadCapacity):
        return carried(state, today.toordinal())
    return state_on_day(state, today)


def _effective(
    version: CatalogueVersion, settings: Settings, body_mass_kg: float | None
) -> tuple[float | None, str | None]:
    effective = effective_kg(version.variation, settings, body_mass_kg)
    if effective is not None:
        return effective, None
    needs_mass = fraction_of(version.variation, settings.height_cm) > 0.0
    return None, BODY_MASS_MISSING if needs_mass and body_mass_kg is None else NOT_A_LOAD


def _repetitions(
    state: LoadCapacity, effective: float | None, reason: str | None
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

    now: Moment
    masses: MassHistory
    last_seen: dict[UUID, tuple[CatalogueVersion, Settings]]
    last_amounts: dict[UUID, tuple[str, float]]

    def figures(self, row: Capacity) -> Figures:
        version, settings = self.last_seen[row.movement_id]
        state = _today(row, self.now.day)
        mass, asked = self.masses.on(self.now.day), self.last_amounts.get(row.movement_id)
        return figures_of(version, settings, state, mass, row, None, asked, self.now.hour)


def figure_reader(athlete: Athlete, now: Moment) -> FigureReader:
    """For a page of capacities (three queries, however many movements)."""
    latest = (
        Observation.objects.filter(athlete=athlete)
        .order_by("movement_id", "-local_date", "-created_at", "-ordinal")
        .distinct("movement_id")
        .values_list(
            "movement_id", "variation_version_id", "load_kg", "assistance_kg", "height_cm", "unit", "amount"
        )
    )
    seen, amounts = {}, {}
    for movement, version, load, assistance, height, unit, amount in latest:
        seen[movement] = (version, Settings(load, assistance, height))
        if unit in ASKED_UNITS and amount is not None:
            amounts[movement] = (unit, amount)
    known = versions({version for version, _ in seen.values()})
    last_seen = {movement: (known[version], settings) for movement, (version, settings) in seen.items()}
    return FigureReader(now, mass_histories([athlete.id])[athlete.id], last_seen, amounts)


def figures_at(
    athlete: Athlete,
    variation_id: UUID,
    settings: Settings,
    now: Moment,
    asked: tuple[str, float] | None = None,
) -> Figures:
    """One variation at chosen settings and amount, from the prior alone when nothing was observed.

    Raises NotFound, and Invalid (with the query parameter) for settings that do not suit the variation.
    """
    version = current_version(variation_id)
    if version is None:
        raise NotFound()
    faults = setting_problems(version.variation, settings) + _asked_problems(version, asked)
    if faults:
        raise Invalid(errors=[_as_parameter(fault) for fault in faults])
    row = (
        Capacity.objects.filter(athlete=athlete, movement=version.movement_id).select_related("prior").first()
    )
    today = now.day
    mass = mass_histories([athlete.id])[athlete.id].on(today)
    state, number = None, None
    if row is not None:
        state = _today(row, today)
    elif version.curve_applies or version.capacity_kind in (HOLD, CYCLICAL):
        key = (athlete.id, version.movement_id)
        newest = newest_prior()
        state = capacities_for([key[0]], [key[1]], today, now.hour)[key]
        number = newest.number if newest else None
    return figures_of(version, settings, state, mass, row, number, asked, now.hour)


def _asked_problems(version: CatalogueVersion, asked: tuple[str, float] | None) -> list[FieldProblem]:
    if asked is None:
        return []
    unit, amount = asked
    if unit not in version.variation.counted_in:
        detail = f"{version.variation.key} is counted in {', '.join(version.variation.counted_in)}."
        return [FieldProblem(f"#/{unit}", "not_counted_in", detail)]
    if not 0.0 < amount <= LARGEST_ASKED:
        return [FieldProblem(f"#/{unit}", "out_of_range", f"Must be above 0 and at most {LARGEST_ASKED:g}.")]
    return []


def _as_parameter(fault: FieldProblem) -> FieldProblem:
    return FieldProblem("", fault.code, fault.detail, parameter=fault.pointer.rpartition("/")[2])
