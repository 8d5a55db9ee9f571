"""How far forecasts can be trusted, from the positions of many results in them.

Coverage is the share of results that lie inside an interval. A set that was stopped as planned shows a least only:
its position is a lower bound. To leave such sets out would be wrong, for of sets that are to be stopped early only
those that fail before would be left; to count them as inside would be wrong too. So the share of results above a
position comes from the product limit over those at risk there (Kaplan and Meier 1958), its variance from Greenwood's
formula, and that of an interval from both its ends. The interval of a share is Wilson's (1927), with the number of
plain results that would leave the same variance in place of their number; without lower bounds all of it is the plain
proportion (both from memory; held against other implementations in the tests).

The mean of the positions is 0.5 where forecasts are neither too high nor too low; a lower bound counts with the
middle of what it leaves open, which keeps that so. Differences in repetitions or seconds tell how much it is, and
nothing else: of a skewed forecast the middle is not the mean.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, inf, sqrt
from typing import Final, Literal

from scipy.special import ndtri, stdtrit

METHOD_VERSION: Final = 1
BOUNDS: Final = (0.025, 0.1, 0.25, 0.75, 0.9, 0.975)
INTERVALS: Final[Mapping[int, tuple[float, float]]] = {50: (0.25, 0.75), 80: (0.1, 0.9), 95: (0.025, 0.975)}
"""Of which share [%] of the forecast lies between which levels."""
JUDGED_BY: Final = 80
"""The interval that people are told (P10 to P90)."""
CONFIDENCE: Final = 0.95
LEAST_RESULTS: Final = 20.0
"""Fewer tell nothing of an 80 % interval: of twenty true ones 95 % show 12 to 19 inside (ours)."""
ROUNDING: Final = 1e-6
"""Of results, which come of sums."""
MOST_AT_LEAST: Final = 0.1
"""With a larger share of lower bounds, the results that have a difference are the early failures (ours)."""

Sureness = Literal["too_few", "as_said", "too_narrow", "too_wide"]
Side = Literal["too_low", "too_high"]


@dataclass(frozen=True)
class AtBound:
    """The results up to a position: with n at risk at each that is shown, the sums of ln(1 - 1/n) and of
    1 / (n (n - 1)) over those with n > 1; last: one of them was the last at risk; past: how many lie above.
    """

    log_left: float
    spent: float
    last: bool
    past: int

    @property
    def left(self) -> float | None:
        """The share of results above; None where only lower bounds come before, and nothing after."""
        if self.last:
            return 0.0
        return exp(self.log_left) if self.past else None


@dataclass(frozen=True)
class Tally:
    """Results of one kind. number: of all; at_least: lower bounds among them; bounds: one for each of BOUNDS;
    position, position_sd: mean and SD; differences, difference, difference_sd: their number, mean, and SD. An SD is
    None of less than two.
    """

    number: int
    at_least: int
    bounds: tuple[AtBound, ...]
    position: float
    position_sd: float | None
    differences: int
    difference: float | None
    difference_sd: float | None


@dataclass(frozen=True)
class Estimate:
    """With the interval that holds it with 95 %."""

    value: float
    lower: float
    upper: float


@dataclass(frozen=True)
class Coverage:
    """The share of results inside an interval; results: how many plain ones would tell as much."""

    share: Estimate
    results: float


@dataclass(frozen=True)
class Trust:
    """What the results say of the forecasts. coverage: by the interval's share [%], None where only lower bounds
    reach so far; bias: done less foreseen, in the unit of the results, with why it is not told.
    """

    coverage: Mapping[int, Coverage | None]
    position: Estimate | None
    bias: Estimate | None
    bias_reason: str | None
    sureness: Sureness
    side: Side | None


def trust_of(tally: Tally) -> Trust:
    """Judge the forecasts by at least one result."""
    coverage = {share: coverage_of(tally, share) for share in INTERVALS}
    position = mean_interval(tally.position, tally.position_sd, tally.number)
    told, judged = coverage[JUDGED_BY], JUDGED_BY / 100.0
    sureness: Sureness = "as_said"
    if told is None or told.results < LEAST_RESULTS - ROUNDING:
        sureness = "too_few"
    elif told.share.upper < judged:
        sureness = "too_narrow"
    elif told.share.lower > judged:
        sureness = "too_wide"
    side: Side | None = None
    if position is not None and sureness != "too_few":
        side = "too_low" if position.lower > 0.5 else "too_high" if position.upper < 0.5 else None
    return Trust(coverage, position, *_bias(tally), sureness, side)


def coverage_of(tally: Tally, share: int) -> Coverage | None:
    """The share of results inside the interval of `share` per cent; None where it is not known."""
    low, high = (tally.bounds[BOUNDS.index(level)] for level in INTERVALS[share])
    above, beyond = low.left, high.left
    if above is None or beyond is None:
        return None
    inside = above - beyond
    plain = float(tally.number - tally.at_least + high.past)
    if 0.0 < inside < 1.0:
        onward = beyond / above
        later = 0.0 if onward == 0.0 else high.spent - low.spent
        variance = above * above * ((1.0 - onward) ** 2 * low.spent + onward * onward * later)
        plain = inside * (1.0 - inside) / variance if variance > 0.0 else inf
    results = min(plain, float(tally.number))
    return Coverage(wilson(inside, results), results)


def wilson(share: float, results: float) -> Estimate:
    """A proportion with Wilson's interval; results > 0, not necessarily whole."""
    z = float(ndtri(0.5 + CONFIDENCE / 2.0))
    wide = z * z / results
    middle = (share + wide / 2.0) / (1.0 + wide)
    half = z * sqrt(share * (1.0 - share) / results + wide / (4.0 * results)) / (1.0 + wide)
    return Estimate(share, max(0.0, middle - half), min(1.0, middle + half))


def mean_interval(mean: float, sd: float | None, number: int) -> Estimate | None:
    """A mean with Student's interval; None of less than two."""
    if sd is None or number < 2:
        return None
    half = float(stdtrit(number - 1, 0.5 + CONFIDENCE / 2.0)) * sd / sqrt(number)
    return Estimate(mean, mean - half, mean + half)


def _bias(tally: Tally) -> tuple[Estimate | None, str | None]:
    if tally.at_least > MOST_AT_LEAST * tally.number:
        return None, "stopped_sets_hide_it"
    if tally.difference is None or tally.differences < 2:
        return None, "too_few"
    return mean_interval(tally.difference, tally.difference_sd, tally.differences), None
