"""The capacities of an athlete as figures: of the rows that there are, and of a variation that is asked about."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from athletes.calc.capacity import Capacity as LoadCapacity
from athletes.calc.capacity import carried
from athletes.catalogue import CatalogueVersion, current_version, versions
from athletes.described import Figures, figures_of
from athletes.known import capacities_for
from athletes.models import Athlete, Capacity, Observation
from athletes.moments import Moment
from athletes.performed import MassHistory, Settings, setting_problems
from athletes.queries import mass_histories, newest_prior
from athletes.states import CapacityState, read_state, state_on_day
from programming.calc.catalogue import CYCLICAL, HOLD
from programming.calc.variation import DISTANCE, ENERGY
from services.problems import FieldProblem, Invalid, NotFound

ASKED_UNITS = (DISTANCE, ENERGY)
LARGEST_ASKED = 1e6


def _today(row: Capacity, today: dt.date) -> CapacityState:
    state = read_state(row.state)
    if isinstance(state, LoadCapacity):
        return carried(state, today.toordinal())
    return state_on_day(state, today)


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
        detail = f"{version.name} is counted in {', '.join(version.variation.counted_in)}."
        return [FieldProblem(f"#/{unit}", "not_counted_in", detail)]
    if not 0.0 < amount <= LARGEST_ASKED:
        return [FieldProblem(f"#/{unit}", "out_of_range", f"Must be above 0 and at most {LARGEST_ASKED:g}.")]
    return []


def _as_parameter(fault: FieldProblem) -> FieldProblem:
    return FieldProblem("", fault.code, fault.detail, parameter=fault.pointer.rpartition("/")[2])
