"""Holds and cyclical work: from stored rows to the calculation. No writes."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import hypot, log1p, sqrt
from typing import Any, Final
from uuid import UUID

from athletes.calc.constants import BODY_MASS_CHANGED
from athletes.calc.critical import CriticalCapacity, critical_after_body_mass, estimate_critical
from athletes.calc.decay import Absence
from athletes.calc.endurance_constants import CRITICAL_METHOD_VERSION, HOLD_METHOD_VERSION
from athletes.calc.hold import HoldCapacity, estimate_hold, hold_after_body_mass
from athletes.calc.hold_seen import MOST_SECONDS_TOLD, HoldSeen
from athletes.calc.trial_forecast import Demand
from athletes.calc.trials import LONGEST_TOLD_S, SHORTEST_TOLD_S, Trial
from athletes.capacities import UNKNOWN_BODY_MASS_CV, UNKNOWN_BODY_MASS_KG
from athletes.catalogue import CatalogueVersion
from athletes.performed import MassHistory, Settings, effective_kg
from programming.calc.catalogue import CYCLICAL, HOLD, parse_prior
from programming.calc.movement_prior import SPEED, CyclicalStart, HoldStart
from programming.calc.variation import DISTANCE, ENERGY, HOLD_SECONDS, Variation

STORE_VERSION: Final = 2
"""Raise when stored rows are read differently, so that the same rows make other inputs."""

HOLD_METHOD: Final = f"power law of holds {HOLD_METHOD_VERSION}.{STORE_VERSION}"
CRITICAL_METHOD: Final = f"two-parameter critical power {CRITICAL_METHOD_VERSION}.{STORE_VERSION}"
DIGITS: Final = 6


@dataclass(frozen=True)
class AmountRow:
    """An observation that is not counted in repetitions, as it is stored; seconds: how long a trial took."""

    movement_id: UUID
    variation_version_id: UUID
    local_date: dt.date
    kind: str
    settings: Settings
    unit: str
    amount: float
    seconds: float | None
    weight: float


@dataclass(frozen=True)
class Between:
    """What happened beside the tests: confirmed absences, and the body mass in kg on the last observation's day and
    the newest one, where both are known."""

    absences: tuple[Absence, ...] = ()
    body_masses_kg: tuple[float, float] | None = None

    @property
    def mass_change(self) -> tuple[float, float] | None:
        """A large one since the last observation: a smaller change is no input, and computes nothing again."""
        if self.body_masses_kg is None:
            return None
        before, after = self.body_masses_kg
        changed = max(after / before, before / after) >= BODY_MASS_CHANGED
        return self.body_masses_kg if changed else None

    def content(self) -> list[object]:
        return [sorted([one.from_day, one.to_day] for one in self.absences), self.mass_change]


@dataclass(frozen=True)
class HoldInputs:
    """Everything that a capacity of holding is a function of."""

    start: HoldStart
    seen: tuple[HoldSeen, ...]
    day: int
    prior_number: int
    between: Between = Between()

    def fingerprint(self) -> str:
        s = self.start
        rows = sorted(
            [o.day, o.kind, o.load_kg, o.seconds, o.weight, o.body_mass_kg or 0.0] for o in self.seen
        )
        start = [s.log_l60, s.log_l60_sd, s.log_exponent, s.log_exponent_sd]
        head = [HOLD, HOLD_METHOD_VERSION, STORE_VERSION, self.prior_number, self.day]
        return _sha256(head, start, rows, self.between.content())

    def compute(self) -> HoldCapacity:
        found = estimate_hold(self.start, self.seen, day=self.day, absences=self.between.absences)
        change = self.between.mass_change
        return found if change is None else hold_after_body_mass(found, *change)


@dataclass(frozen=True)
class CriticalInputs:
    """Everything that a critical power or speed is a function of."""

    start: CyclicalStart
    seen: tuple[Trial, ...]
    day: int
    prior_number: int
    between: Between = Between()

    def fingerprint(self) -> str:
        s = self.start
        rows = sorted(
            [o.day, o.kind, o.amount, o.seconds, o.weight, o.body_mass_kg or 0.0] for o in self.seen
        )
        start = [s.measure, s.log_critical, s.log_critical_sd, s.log_reserve, s.log_reserve_sd]
        head = [CYCLICAL, CRITICAL_METHOD_VERSION, STORE_VERSION, self.prior_number, self.day]
        return _sha256(head, start, rows, self.between.content())

    def compute(self) -> CriticalCapacity:
        found = estimate_critical(self.start, self.seen, day=self.day, absences=self.between.absences)
        change = self.between.mass_change
        return found if change is None else critical_after_body_mass(found, *change)


def _sha256(*parts: object) -> str:
    return hashlib.sha256(json.dumps(parts, separators=(",", ":")).encode()).hexdigest()


def kind_of(prior_document: Mapping[str, Any]) -> str | None:
    """HOLD or CYCLICAL; None for a prior of load and repetitions, which may leave its kind out."""
    kind = prior_document.get("kind")
    return kind if kind in (HOLD, CYCLICAL) else None


def hold_start(document: Mapping[str, Any], body_mass_kg: float | None) -> HoldStart:
    """The prior of a hold for a person of this body mass; wider when it is unknown and matters."""
    described = parse_prior(document, HOLD)
    start = described.at(UNKNOWN_BODY_MASS_KG if body_mass_kg is None else body_mass_kg)
    if body_mass_kg is not None or described.l60_per_body_mass is None:
        return start
    return replace(start, log_l60_sd=_wider(start.log_l60_sd))


def cyclical_start(document: Mapping[str, Any], body_mass_kg: float | None) -> CyclicalStart:
    """The prior of cyclical work for a person of this body mass; wider when it is unknown and matters."""
    described = parse_prior(document, CYCLICAL)
    start = described.at(UNKNOWN_BODY_MASS_KG if body_mass_kg is None else body_mass_kg)
    if body_mass_kg is not None:
        return start
    if described.critical_per_body_mass is not None:
        start = replace(start, log_critical_sd=_wider(start.log_critical_sd))
    if described.reserve_per_body_mass is not None:
        start = replace(start, log_reserve_sd=_wider(start.log_reserve_sd))
    return start


def _wider(log_sd: float) -> float:
    return hypot(log_sd, sqrt(log1p(UNKNOWN_BODY_MASS_CV**2)))


def demand_of(variation: Variation, measure: str, unit: str, amount: float) -> Demand | None:
    """An amount in the terms of the movement's measure; None where the variation does not say how.

    Kilocalories are those that the machine displays; metres on an air-braked machine depend on the time they take.
    """
    if amount <= 0.0:
        return None
    if measure == SPEED:
        return Demand(amount) if unit == DISTANCE else None
    if unit == ENERGY and variation.work_j_per_kcal is not None:
        return Demand(amount * variation.work_j_per_kcal)
    if unit == DISTANCE and variation.power_per_cubed_speed is not None:
        return Demand(distance_m=amount, per_cubed_speed=variation.power_per_cubed_speed)
    return None


def holds_seen(
    rows: Sequence[AmountRow], versions: Mapping[UUID, CatalogueVersion], masses: MassHistory
) -> list[HoldSeen]:
    """Holds with their effective loads; left out is one that needs a body mass while none is known at all,
    and one longer than a day, which nobody holds."""
    found = []
    for row in rows:
        version = versions[row.variation_version_id]
        mass = masses.on(row.local_date)
        load_kg = effective_kg(version.variation, row.settings, mass)
        if row.unit == HOLD_SECONDS and load_kg is not None and 0.0 <= row.amount <= MOST_SECONDS_TOLD:
            day, load = row.local_date.toordinal(), round(load_kg, DIGITS)
            found.append(HoldSeen(day, load, row.amount, row.kind, row.weight, mass))  # type: ignore[arg-type]  # checked there
    return found


def trials_seen(
    rows: Sequence[AmountRow],
    versions: Mapping[UUID, CatalogueVersion],
    measure: str,
    masses: MassHistory,
) -> list[Trial]:
    """Trials as amounts of the measure; left out is what has no time (or none that can be
    meant, below a tenth of a second or above ten days) or cannot be turned into the measure."""
    found = []
    for row in rows:
        demand = demand_of(versions[row.variation_version_id].variation, measure, row.unit, row.amount)
        if demand is None or row.seconds is None or not SHORTEST_TOLD_S <= row.seconds <= LONGEST_TOLD_S:
            continue
        amount = round(demand.within(row.seconds), DIGITS)
        day, mass = row.local_date.toordinal(), masses.on(row.local_date)
        found.append(Trial(day, amount, row.seconds, row.kind, row.weight, mass))  # type: ignore[arg-type]  # checked there
    return found


def inputs_of_amounts(
    rows: Sequence[AmountRow],
    versions: Mapping[UUID, CatalogueVersion],
    prior_document: Mapping[str, Any],
    prior_number: int,
    masses: MassHistory,
    absences: Sequence[Absence] = (),
) -> HoldInputs | CriticalInputs | None:
    """The inputs of one movement; None when none of its rows tells anything.

    The state is that of the last observation's day; the prior that of the body mass on the first one's.
    """
    kind = kind_of(prior_document)
    if kind == HOLD:
        held = holds_seen(rows, versions, masses)
        if not held:
            return None
        first, last = min(o.day for o in held), max(o.day for o in held)
        start = hold_start(prior_document, masses.on(dt.date.fromordinal(first)))
        return HoldInputs(start, tuple(held), last, prior_number, _between(masses, last, absences))
    if kind == CYCLICAL:
        told = trials_seen(rows, versions, prior_document["measure"], masses)
        if not told:
            return None
        first, last = min(o.day for o in told), max(o.day for o in told)
        begin = cyclical_start(prior_document, masses.on(dt.date.fromordinal(first)))
        return CriticalInputs(begin, tuple(told), last, prior_number, _between(masses, last, absences))
    return None


def _between(masses: MassHistory, last: int, absences: Sequence[Absence]) -> Between:
    before = masses.on(dt.date.fromordinal(last))
    return Between(tuple(absences), None if before is None else (before, masses.body_masses_kg[-1]))
