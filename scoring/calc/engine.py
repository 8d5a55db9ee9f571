"""Cyclical work inside a block: a sustainable rate, a reserve above it, and what lifting takes from the reserve.

The reserve W' is kept as a share b of itself, 1 when full. Above the critical power it is spent, at or below it it
comes back (``athletes.calc.balance``, differential form). All machines of a block draw on one b: who has emptied
it on the bicycle has none on the rowing machine (ours: it was measured on one machine at a time).

Pacing: a factor of the critical power; when the reserve is empty the athlete goes on at the critical power, so b
is never below 0. Rate of the amount at a pace P:

- energy at a machine that displays it, J per kilocalorie known: P / J
- distance at an air-braked machine, P = c v^3: (P / c)^(1/3)
- distance where the capacity is a speed: the speed itself
- seconds of work: 1, whatever the pace.

What lifting takes, at a measure of power: the load over its travel. Raised against gravity, and what lowering it
costs on top, a third of the raising; both set equal to the work at a machine of the same size (ours, rough: the
body's cost of a joule is of the same order in both). Where the capacity is a speed that cannot be told, and the
reserve stands still while something is lifted.
"""

from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

import numpy as np

from athletes.calc.balance import drain, seconds_to_refill, seconds_until_empty
from programming.calc.arrays import FloatArray, inlined
from programming.calc.revision import DISTANCE, ENERGY, HOLD

Measure = Literal["power", "speed"]

GRAVITY: Final = 9.81
# How far a load travels in a repetition, of people of middle height from a curl to a press or a squat: ours.
TRAVEL_M: Final = 0.5
# Lowering takes about a third of the oxygen of raising the same load (from memory).
LOWERING: Final = 1.0 / 3.0


@dataclass(frozen=True, eq=False)
class Engine:
    """An athlete's cyclical capacity at one movement, in the common scenarios.

    critical (N,): W, or m/s where the measure is speed; reserve (N,): J, or m. work_j_per_kcal: mechanical work per
    kilocalorie that the machine displays; power_per_cubed_speed: c of P = c v^3; None where there is no such.
    """

    critical: FloatArray
    reserve: FloatArray
    measure: Measure
    work_j_per_kcal: float | None = None
    power_per_cubed_speed: float | None = None

    def rate_law(self, unit: str) -> tuple[float, float] | None:
        """(a, x) of the amount per second a P^x in this unit; None: the engine does not tell it."""
        if unit == HOLD:
            return 1.0, 0.0
        if unit == ENERGY and self.measure == "power" and self.work_j_per_kcal is not None:
            return 1.0 / self.work_j_per_kcal, 1.0
        if unit == DISTANCE and self.measure == "speed":
            return 1.0, 1.0
        if unit == DISTANCE and self.power_per_cubed_speed is not None:
            return float(self.power_per_cubed_speed ** (-1.0 / 3.0)), 1.0 / 3.0
        return None


def lifting_power(effective_kg: float, seconds: float) -> float:
    """Power [W] that a load takes while it is raised and lowered once in `seconds`."""
    return effective_kg * GRAVITY * TRAVEL_M * (1.0 + LOWERING) / seconds


class Piece(NamedTuple):
    """A piece of cyclical work: amount, seconds, the share b of the reserve that is left."""

    amount: float
    seconds: float
    balance: float


@inlined
def share_after(balance: float, critical: float, reserve: float, power: float, seconds: float) -> float:
    """b after `seconds` at a constant power, spent or recovered, at least 0."""
    return max(0.0, drain(balance * reserve, critical, reserve, power, seconds) / reserve)


@inlined
def seconds_to_recover(balance: float, wanted: float, critical: float, reserve: float) -> float:
    """Seconds of standing still until b is `wanted`, 0 when it is; infinite for a full reserve, reached never."""
    return seconds_to_refill(balance * reserve, wanted * reserve, critical, reserve)


@inlined
def ride(
    balance: float,
    critical: float,
    reserve: float,
    pace: float,
    amount: float,
    rate: float,
    exponent: float,
    longest_s: float,
) -> Piece:
    """Work at `pace` times the critical power until `amount` is done or `longest_s` is over, slowing when empty.

    rate, exponent: the law of `Engine.rate_law`. amount and longest_s may be infinite, not both.
    """
    power = pace * critical
    quick, steady = rate * power**exponent, rate * critical**exponent
    until_empty = seconds_until_empty(balance * reserve, critical, power)
    first = min(until_empty, longest_s, amount / quick)
    left = share_after(balance, critical, reserve, power, first)
    if first < until_empty:
        return Piece(min(amount, quick * first), first, left)
    rest = max(0.0, amount - quick * first)
    second = min(longest_s - first, rest / steady)
    return Piece(min(amount, quick * first + steady * second), first + second, 0.0)


def check_engine(engine: Engine, count: int) -> None:
    """Raises ValueError where an engine does not fit N scenarios or is not positive and finite."""
    for name in ("critical", "reserve"):
        values = np.asarray(getattr(engine, name), dtype=float)
        if values.shape != (count,) or not (np.isfinite(values).all() and (values > 0.0).all()):
            raise ValueError(f"{name} must be ({count},), positive and finite, got {values.shape}")
