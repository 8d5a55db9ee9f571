"""Whether a logged hold or a piece of cyclical work can be true of anybody, as plausible.py asks of repetitions.

A hold of t seconds at the load L says ln L60 = ln L + e ln(t / 60); work in its time is held against the critical
power and reserve of people in general. Further up than the spread between people explains, it is more likely a wrong
unit, machine or clock than a miracle, and a person decides before it teaches anything.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from uuid import UUID

import numpy as np

from athletes.calc.critical import CriticalCapacity
from athletes.calc.hold import HoldCapacity
from athletes.calc.trials import LONGEST_TOLD_S, SHORTEST_TOLD_S, misfit
from athletes.endurance import demand_of
from athletes.known import prior_documents
from athletes.performed import MassHistory, Settings, effective_kg
from athletes.states import CapacityState, unobserved_state
from programming.calc.catalogue import CYCLICAL, HOLD
from programming.calc.variation import DISTANCE, ENERGY, HOLD_SECONDS
from scoring.calc.finding import Finding
from scoring.observed import Logged
from scoring.plausible import CODE, LEAST_DISTANCE, SPREADS, surprise_findings
from scoring.plausible_held import held_surprises

UNITS = {HOLD: (HOLD_SECONDS,), CYCLICAL: (DISTANCE, ENERGY)}


def surprises(logged: Sequence[Logged], masses: MassHistory, day: dt.date) -> tuple[Finding, ...]:
    """What is beyond belief of repetitions, holds and cyclical work alike (two queries for each kind there is); where
    that is nothing, of what was held in the hands.
    """
    found = surprise_findings(logged, masses, day) + amount_surprises(logged, masses, day)
    return found or held_surprises(logged)


def amount_surprises(logged: Sequence[Logged], masses: MassHistory, day: dt.date) -> tuple[Finding, ...]:
    """A finding for the first set of each movement that is beyond belief (two queries when there is such work)."""
    told = [item for item in logged if item.entry.unit in UNITS.get(item.done.movement.capacity_kind, ())]
    if not told:
        return ()
    mass = masses.on(day)
    documents = prior_documents(list({item.done.movement.id for item in told}))
    people = {movement: unobserved_state(document, mass, day) for movement, document in documents.items()}
    found: dict[UUID, Finding] = {}
    for item in told:
        state = people.get(item.done.movement.id)
        if state is not None and beyond_belief(state, item, mass):
            found.setdefault(item.done.movement.id, _finding(item))
    return tuple(found.values())


def beyond_belief(state: CapacityState, item: Logged, body_mass_kg: float | None) -> bool:
    """Whether the set implies more than the spread of people explains; not where it cannot be told."""
    if isinstance(state, HoldCapacity):
        return _hold_beyond(state, item, body_mass_kg)
    return isinstance(state, CriticalCapacity) and _work_beyond(state, item)


def _hold_beyond(state: HoldCapacity, item: Logged, body_mass_kg: float | None) -> bool:
    entry = item.entry
    settings = Settings(entry.load_kg, entry.assistance_kg, entry.height_cm)
    load = effective_kg(item.done.variation, settings, body_mass_kg)
    if load is None or entry.amount <= 0.0:
        return False
    known = float(state.weight @ state.mean)
    variance = float(state.weight @ (state.var + (state.mean - known) ** 2))
    exponent = float(state.weight @ state.exponents)
    implied = math.log(load) + exponent * math.log(entry.amount / 60.0)
    return implied - known > max(LEAST_DISTANCE, SPREADS * math.sqrt(variance))


def _work_beyond(state: CriticalCapacity, item: Logged) -> bool:
    entry, seconds = item.entry, item.entry.duration_s
    demand = demand_of(item.done.variation, state.measure, entry.unit, entry.amount)
    if demand is None or seconds is None or not seconds > 0.0:
        return False
    seconds = min(max(seconds, SHORTEST_TOLD_S), LONGEST_TOLD_S)
    w, log_reserve = state.weight, state.log_reserve
    can = np.logaddexp(log_reserve, state.mean + math.log(seconds))
    known = float(w @ can)
    steady = np.exp(
        state.mean + math.log(seconds) - can
    )  # the share of the critical power in what can be done
    variance = float(w @ ((can - known) ** 2 + steady**2 * state.var))
    spread = math.hypot(math.sqrt(variance), float(misfit(np.array([seconds]))[0]))
    return math.log(demand.within(seconds)) - known > max(LEAST_DISTANCE, SPREADS * spread)


def _finding(item: Logged) -> Finding:
    entry = item.entry
    unit = {HOLD_SECONDS: "s", DISTANCE: "m", ENERGY: "kcal"}[entry.unit]
    within = "" if entry.unit == HOLD_SECONDS or entry.duration_s is None else f" in {entry.duration_s:g} s"
    detail = (
        f"{entry.amount:g} {unit} of {item.done.variation.key}{within} is far beyond what is known of people: ask "
        "about amount, unit and clock."
    )
    return Finding(CODE, detail)
