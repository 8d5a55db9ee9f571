"""Whether what somebody is told to have done can be true of anybody: a typing error must not become a capacity.

Far above what is true of people it is more likely a wrong load, a wrong unit, a wrong count or a wrong clock than a
miracle; a person decides. Held against people in general, and not against what this athlete has shown so far, so that
the answer does not depend on the order in which results arrive. For sets and tests alike; no database and no clock.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from athletes.calc.capacity import Capacity
from athletes.calc.critical import CriticalCapacity
from athletes.calc.hold import HoldCapacity
from athletes.calc.trials import LONGEST_TOLD_S, SHORTEST_TOLD_S, misfit
from athletes.endurance import demand_of
from athletes.performed import Settings, effective_kg
from athletes.states import CapacityState
from programming.calc.variation import REPETITIONS, Variation

# Beyond four spreads between people stands one in thirty thousand; and never closer than double (both ours).
LEAST_DISTANCE: Final = math.log(2.0)
SPREADS: Final = 4.0


@dataclass(frozen=True)
class Performed:
    """One set, or one test: amount in `unit` with these settings; seconds is the time of cyclical work."""

    variation: Variation
    settings: Settings
    unit: str
    amount: float
    seconds: float | None = None


def beyond_belief(
    state: CapacityState, done: Performed, body_mass_kg: float | None, spreads: float = SPREADS
) -> bool:
    """Whether it implies more than the spread between people explains; not where it cannot be told.

    state  what is taken of people in general in the movement; spreads: so many SDs, and never less than double.
    """
    if isinstance(state, CriticalCapacity):
        return _work_beyond(state, done, spreads)
    load = effective_kg(done.variation, done.settings, body_mass_kg)
    if load is None or not load > 0.0:
        return False
    if isinstance(state, HoldCapacity):
        return done.amount > 0.0 and _hold_beyond(state, load, done.amount, spreads)
    return done.unit == REPETITIONS and repetitions_beyond(state, load, done.amount, spreads)


def repetitions_beyond(
    capacity: Capacity, load_kg: float, repetitions: float, spreads: float = SPREADS
) -> bool:
    """The same of repetitions at an effective load: a fresh set of r at L says ln L10 = ln L + k (r - 10).

    With a light-load asymptote many repetitions say little about strength, so that only the load is judged.
    """
    known = float(capacity.weight @ capacity.mean)
    variance = float(capacity.weight @ (capacity.var + (capacity.mean - known) ** 2))
    implied = implied_log_l10(capacity, load_kg, repetitions)
    return implied - known > max(LEAST_DISTANCE, spreads * math.sqrt(variance))


def implied_log_l10(capacity: Capacity, load_kg: float, repetitions: float) -> float:
    """What a fresh set says of ln of the ten-repetition load in kg, by the mean k of people in general."""
    k = float(capacity.weight @ capacity.k_nodes)
    count = min(repetitions, 10) if capacity.asymptote_share > 0.0 else repetitions
    return math.log(load_kg) + k * (count - 10)


def _hold_beyond(state: HoldCapacity, load_kg: float, seconds: float, spreads: float) -> bool:
    """A hold of t seconds at the load L says ln L60 = ln L + e ln(t / 60)."""
    known = float(state.weight @ state.mean)
    variance = float(state.weight @ (state.var + (state.mean - known) ** 2))
    exponent = float(state.weight @ state.exponents)
    implied = math.log(load_kg) + exponent * math.log(seconds / 60.0)
    return implied - known > max(LEAST_DISTANCE, spreads * math.sqrt(variance))


def _work_beyond(state: CriticalCapacity, done: Performed, spreads: float) -> bool:
    """Work in its time is held against the critical power and the reserve."""
    demand, seconds = demand_of(done.variation, state.measure, done.unit, done.amount), done.seconds
    if demand is None or seconds is None or not seconds > 0.0:
        return False
    seconds = min(max(seconds, SHORTEST_TOLD_S), LONGEST_TOLD_S)
    w, log_reserve = state.weight, state.log_reserve
    can = np.logaddexp(log_reserve, state.mean + math.log(seconds))
    known = float(w @ can)
    # The share of the critical power in what can be done.
    steady = np.exp(state.mean + math.log(seconds) - can)
    variance = float(w @ ((can - known) ** 2 + steady**2 * state.var))
    spread = math.hypot(math.sqrt(variance), float(misfit(np.array([seconds]))[0]))
    return math.log(demand.within(seconds)) - known > max(LEAST_DISTANCE, spreads * spread)
