"""Load from heart rate: weighted reserve, and minutes in zones. Beside effort times minutes, never added to it.

    x = (rate - resting) / (maximal - resting)            0 below the resting rate, 1 above the maximal one
    weighted reserve  = minutes * x * a exp(b x)

A person chooses coefficients, by name, and never the sex that is on file: they were found in small groups.
    banister_1991_men     a 0.64, b 1.92   at x = 1: 4.37 a minute     (from memory)
    banister_1991_women   a 0.86, b 1.67   at x = 1: 4.57 a minute     (from memory)
    morton_1990_men       a 1,    b 1.92                               (from memory)
    morton_1990_women     a 1,    b 1.67                               (from memory)
Pages that pair 0.64 with 1.67 are in error.

Zones: minutes in five tenths of the peak rate from 50 % on, times 1 to 5 (Edwards, as in Foster et al. 2001, J
Strength Cond Res 15(1):109-115); or below, between and above two thresholds, times 1 to 3 (Lucia et al. 2003, Med Sci
Sports Exerc 35:872, from memory). A zone holds its lower bound and not its upper one, the last one both.

The weight grows faster than the reserve, so a mean rate tells less than its samples do; which of both it was is told.
Above the maximal rate the maximal rate is out of date, or the strap was wrong: said, and counted as the maximum.
"""

from collections.abc import Sequence
from typing import Final, Literal, NamedTuple

import numpy as np

from athletes.calc.load import Figure
from programming.calc.arrays import FloatArray

CoefficientSet = Literal["banister_1991_men", "banister_1991_women", "morton_1990_men", "morton_1990_women"]
COEFFICIENTS: Final[dict[CoefficientSet, tuple[float, float]]] = {
    "banister_1991_men": (0.64, 1.92),
    "banister_1991_women": (0.86, 1.67),
    "morton_1990_men": (1.0, 1.92),
    "morton_1990_women": (1.0, 1.67),
}
Basis = Literal["samples", "mean_rate"]
LONGEST_GAP_S: Final = 30.0
"""Longer gaps between two samples are left out, never filled in."""
LEAST_COVERED: Final = 0.5
"""Ours: below this share of the session the samples tell nothing of it."""
PEAK_ZONES: Final = (0.5, 0.6, 0.7, 0.8, 0.9)

TOO_FEW_SAMPLES: Final = "too_little_of_the_session_recorded"


class Rates(NamedTuple):
    """Of an athlete, in beats a minute."""

    resting: float
    maximal: float


class ReserveLoad(NamedTuple):
    """load in AU of its own kind. covered: share of the session with samples. above_maximal: whether any rate
    lay above the maximal one."""

    load: Figure
    basis: Basis
    coefficients: CoefficientSet
    covered: float
    above_maximal: bool


def reserve_share(rate: FloatArray, rates: Rates) -> FloatArray:
    """x (N,) within 0 to 1. Raises ValueError unless 0 < resting < maximal."""
    if not 0.0 < rates.resting < rates.maximal < np.inf:
        raise ValueError(f"resting must be positive and below maximal, got {rates}")
    share: FloatArray = np.clip((rate - rates.resting) / (rates.maximal - rates.resting), 0.0, 1.0)
    return share


def weighted_minutes(x: FloatArray, minutes: FloatArray, coefficients: CoefficientSet) -> float:
    """Sum over minutes (N,) at shares x (N,). Raises ValueError for an unknown set."""
    if coefficients not in COEFFICIENTS:
        raise ValueError(f"unknown coefficient set {coefficients!r}")
    a, b = COEFFICIENTS[coefficients]
    return float(np.sum(minutes * x * a * np.exp(b * x)))


def load_of_mean(mean_rate: float, minutes: float, rates: Rates, coefficients: CoefficientSet) -> ReserveLoad:
    """From the mean rate of a session: lower than from its samples."""
    rate = np.array([mean_rate])
    value = weighted_minutes(reserve_share(rate, rates), np.array([minutes]), coefficients)
    return ReserveLoad(Figure(value), "mean_rate", coefficients, 1.0, mean_rate > rates.maximal)


def load_of_samples(
    at_s: FloatArray, rate: FloatArray, minutes: float, rates: Rates, coefficients: CoefficientSet
) -> ReserveLoad:
    """From samples at seconds (N,), ascending, with rates (N,), of a session of so many minutes.

    Between two samples the rate is the mean of both. What is not covered is not made up: the load is of the
    covered minutes, where these are half or more. Raises ValueError for seconds that do not ascend, and for minutes
    that are not positive.
    """
    if minutes <= 0.0 or np.any(np.diff(at_s) <= 0.0):
        raise ValueError("minutes must be positive, and the seconds of the samples ascend")
    apart = np.diff(at_s)
    close = apart <= LONGEST_GAP_S
    lasted, between = apart[close] / 60.0, (rate[:-1] + rate[1:])[close] / 2.0
    covered = min(float(lasted.sum()) / minutes, 1.0)
    figure = Figure(None, TOO_FEW_SAMPLES)
    if covered >= LEAST_COVERED:
        figure = Figure(weighted_minutes(reserve_share(between, rates), lasted, coefficients))
    above = bool(np.any(rate > rates.maximal))
    return ReserveLoad(figure, "samples", coefficients, covered, above)


def peak_zone_minutes(rate: FloatArray, minutes: FloatArray, peak: float) -> FloatArray:
    """Minutes (N,) at rates (N,) by zone of the peak rate: below 50 %, then five zones (6,). Raises ValueError unless
    the peak is positive."""
    if not 0.0 < peak < np.inf:
        raise ValueError(f"the peak rate must be positive, got {peak!r}")
    # 0.6 of a peak is not a double, so the bounds are compared in beats.
    zone = np.searchsorted(np.array(PEAK_ZONES) * peak, rate, side="right")
    spent: FloatArray = np.bincount(zone, weights=minutes, minlength=len(PEAK_ZONES) + 1).astype(np.float64)
    return spent


def zone_load(minutes: Sequence[float], weights: Sequence[float]) -> float:
    """Minutes by zone times the weights of the zones. Raises ValueError where there are not as many of both."""
    return sum(spent * weight for spent, weight in zip(minutes, weights, strict=True))


PEAK_ZONE_WEIGHTS: Final = (0.0, 1.0, 2.0, 3.0, 4.0, 5.0)
THRESHOLD_WEIGHTS: Final = (1.0, 2.0, 3.0)
