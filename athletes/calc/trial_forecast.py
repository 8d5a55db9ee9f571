"""What a critical power and its reserve foretell: their intervals, the time of an amount, scenarios.

P(T <= t) is the probability that W' + CP t reaches the amount. Outside 2 to 20 minutes the misfit of two parameters
is added as an error of the amount, at the median time: the curve itself stays monotone. Where even that time lies at
an end of what is foretold there are no numbers but a reason.
"""

import math
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from scipy.optimize import brentq
from scipy.special import ndtr

from athletes.calc.critical import CriticalCapacity
from athletes.calc.endurance_constants import FASTEST_S, SLOWEST_S, TRIAL_LONGEST_S, TRIAL_SHORTEST_S
from athletes.calc.mixture import quantile_of_normals
from athletes.calc.trials import misfit
from athletes.calc.uniforms import normal_quantiles
from programming.calc.arrays import FloatArray

PERCENTILES: Final = (0.1, 0.5, 0.9)
MISFIT_NODES, MISFIT_WEIGHTS = np.polynomial.hermite_e.hermegauss(9)
MISFIT_SHARES: Final = MISFIT_WEIGHTS / MISFIT_WEIGHTS.sum()
BEYOND_DOMAIN: Final = "beyond_domain"
OUTSIDE_DOMAIN: Final = "outside_domain"


class Parameter(NamedTuple):
    """Mean, median, and the interval that holds the parameter with 80 %."""

    mean: float
    median: float
    lower: float
    upper: float


@dataclass(frozen=True)
class Demand:
    """An amount to be done: `amount` in J or m; or `distance_m` on an air-braked machine with P = c v^3, c in
    `per_cubed_speed`, whose work depends on the time it takes. Raises ValueError unless it is one of the two."""

    amount: float | None = None
    distance_m: float | None = None
    per_cubed_speed: float | None = None

    def __post_init__(self) -> None:
        values = (self.amount,) if self.amount is not None else (self.distance_m, self.per_cubed_speed)
        if not all(value is not None and math.isfinite(value) and value > 0.0 for value in values):
            raise ValueError("a demand needs a positive amount, or a positive distance with its factor")

    def within(self, seconds: float) -> float:
        """The amount that must be done when it takes so long."""
        if self.amount is not None:
            return self.amount
        assert self.distance_m is not None and self.per_cubed_speed is not None  # by __post_init__
        return work_of_distance(self.distance_m, seconds, self.per_cubed_speed)


@dataclass(frozen=True)
class TrialForecast:
    """Seconds for a demand, all out; numbers are None where `reason` is `beyond_domain`.

    reason `outside_domain`: shorter than 2 or longer than 20 minutes, so the numbers are rough.
    """

    p10: float | None
    p50: float | None
    p90: float | None
    reason: str | None


def work_of_distance(distance_m: float, seconds: float, per_cubed_speed: float) -> float:
    """Work in J of a distance at even pace on an air-braked machine: c v^3 t."""
    return per_cubed_speed * distance_m**3 / seconds**2


def critical_of(capacity: CriticalCapacity) -> Parameter:
    """Critical power in W or critical speed in m/s."""
    return _parameter(capacity.weight, capacity.mean, np.sqrt(capacity.var))


def reserve_of(capacity: CriticalCapacity) -> Parameter:
    """Reserve in J or m. Each node stands for a continuous density: it is spread over half the spacing."""
    y = capacity.log_reserve
    half = 0.5 * float(np.diff(y).mean()) if y.size > 1 else 1e-6
    return _parameter(capacity.weight, y, np.full(y.size, half))


def seconds_for(capacity: CriticalCapacity, demand: Demand) -> TrialForecast:
    """Time for a demand, all out and at even pace, without the noise of the day, FASTEST_S to SLOWEST_S."""
    middle = _quantile(capacity, demand, 0.5, 0.0)
    if middle <= FASTEST_S or middle >= SLOWEST_S:
        return TrialForecast(None, None, None, BEYOND_DOMAIN)
    sd = float(misfit(np.array([middle]))[0])
    p10, p50, p90 = (_quantile(capacity, demand, p, sd) for p in PERCENTILES)
    inside = TRIAL_SHORTEST_S <= middle <= TRIAL_LONGEST_S
    return TrialForecast(p10, p50, p90, None if inside else OUTSIDE_DOMAIN)


def sample(capacity: CriticalCapacity, u: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(critical (N,), reserve (N,)) of N scenarios; u (N, 2) are uniforms in (0, 1).

    The first chooses the reserve, the second the critical power given it: the same u is the same person. Raises
    ValueError for another shape or range.
    """
    quantile = normal_quantiles(u)
    y = capacity.log_reserve
    # Between the nodes the distribution function is read as straight, so that the reserve is no handful of values.
    edges = np.concatenate([[0.0], np.cumsum(capacity.weight)])
    half = 0.5 * float(np.diff(y).mean()) if y.size > 1 else 0.0
    borders = np.concatenate([[y[0] - half], 0.5 * (y[1:] + y[:-1]), [y[-1] + half]])
    log_reserve = np.interp(u[:, 0], edges, borders)
    mean = np.interp(log_reserve, y, capacity.mean)
    sd = np.sqrt(np.interp(log_reserve, y, capacity.var))
    return np.exp(mean + sd * quantile), np.exp(log_reserve)


def _parameter(weight: FloatArray, mean: FloatArray, sd: FloatArray) -> Parameter:
    lower, median, upper = (math.exp(quantile_of_normals(weight, mean, sd, p)) for p in PERCENTILES)
    return Parameter(float(weight @ np.exp(mean + 0.5 * sd**2)), median, lower, upper)


def _quantile(capacity: CriticalCapacity, demand: Demand, p: float, misfit_sd: float) -> float:
    """The time that has been enough with probability p, within FASTEST_S and SLOWEST_S."""

    def short_of(log_seconds: float) -> float:
        return _enough(capacity, demand, math.exp(log_seconds), misfit_sd) - p

    low, high = math.log(FASTEST_S), math.log(SLOWEST_S)
    if short_of(low) >= 0.0:
        return FASTEST_S
    if short_of(high) <= 0.0:
        return SLOWEST_S
    return math.exp(brentq(short_of, low, high, xtol=1e-9))


def _enough(capacity: CriticalCapacity, demand: Demand, seconds: float, misfit_sd: float) -> float:
    """P(T <= t)."""
    reserve, sd = np.exp(capacity.log_reserve), np.sqrt(capacity.var)
    errors = misfit_sd * MISFIT_NODES if misfit_sd > 0.0 else np.zeros(1)
    shares = MISFIT_SHARES if misfit_sd > 0.0 else np.ones(1)
    needed = demand.within(seconds) * np.exp(errors)[:, None] - reserve[None, :]
    z = (capacity.mean - np.log(np.maximum(needed, 1e-300) / seconds)) / sd
    return float(shares @ np.where(needed > 0.0, ndtr(z), 1.0) @ capacity.weight)
