"""The filter of one athlete's history: x = ln L10, normal given k, on a grid of k.

Given k the curve turns a statement about N = n* + noise at a load L into one about x: n* >= r says x >= ln L
- drop(10) + drop(r), and a noise of sd repetitions is one of slope * sd in ln L. So a load or count known
with error is a Kalman update, a range of counts truncates x + noise, whose moments are exact, and each node's
weight takes the probability of what was seen (Rao-Blackwellised filter). Between days x takes the steps of a
random walk; k stays.

Only the normal shape after a truncation is approximate, and it matters which shape is truncated: taken in the
order of days, a row of sets stopped as planned is cut from a wide normal before the test that would have told
how wide it was. So each range is read against what comes before *and* after it (expectation propagation:
every range is represented by a normal factor, exp(-precision x^2 / 2 + shift x), refined over a few sweeps
through the history).
"""

import math

import numpy as np

from athletes.calc.constants import SMALLEST_LOAD_SD
from athletes.calc.curve import drop, slope
from athletes.calc.observation import AT_COUNT, IN_RANGE, History
from athletes.calc.truncation import scaled_truncated_normal
from programming.calc.arrays import FloatArray, IntArray, compiled, inlined

NARROWEST = 1e-9  # of a range in SDs: near the asymptote both its ends are one load


@compiled
def in_log_load(
    k: float, a: float, history: History
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Bounds of x + noise, variance of the noise, and ln of the density's unit, each (M,), at fall-off k.

    The bounds are equal for a load or count known with error. A count's density is per repetition, not per ln
    L: the last array holds ln slope there, else 0.
    """
    size = history.day.size
    low, high = np.full(size, -math.inf), np.full(size, math.inf)
    noise, log_unit = np.empty(size), np.zeros(size)
    # Out of the tuple once: each time that a column is taken out, the references to it are counted.
    _, form, log_load, lower, upper, noise_at, count_sd, load_sd = history
    for i in range(size):
        steepness = slope(k, a, noise_at[i])
        sd = max(steepness * count_sd[i] + load_sd[i], SMALLEST_LOAD_SD)
        noise[i] = sd * sd
        at_ten = log_load[i] - drop(k, a, 10.0)
        if lower[i] > -math.inf:
            low[i] = at_ten + drop(k, a, lower[i])
        if upper[i] < math.inf:
            high[i] = at_ten + drop(k, a, upper[i])
        if form[i] == AT_COUNT:
            log_unit[i] = math.log(max(steepness, 1e-300))
    return low, high, noise, log_unit


@compiled
def first_factors(low: FloatArray, high: FloatArray, noise: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(precision, shift), each (M,): exact when known with error, a range by its middle, one-sided as
    nothing."""
    precision, shift = np.zeros(low.size), np.zeros(low.size)
    for i in range(low.size):
        if low[i] > -math.inf and high[i] < math.inf:
            width = high[i] - low[i]
            precision[i] = 1.0 / (noise[i] + width * width / 12.0)
            shift[i] = precision[i] * 0.5 * (low[i] + high[i])
    return precision, shift


@compiled
def look_ahead(
    day: IntArray, drift: float, precision: FloatArray, shift: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """(precision, shift), each (M,), of what the factors after each one say about x on its day."""
    later_precision, later_shift = np.zeros(day.size), np.zeros(day.size)
    for i in range(day.size - 2, -1, -1):
        total = later_precision[i + 1] + precision[i + 1]
        kept = 1.0 / (1.0 + total * drift * (day[i + 1] - day[i]))
        later_precision[i] = total * kept
        later_shift[i] = (later_shift[i + 1] + shift[i + 1]) * kept
    return later_precision, later_shift


@inlined
def overlap_ratio(
    precision: float, lean: float, apart: float, variance: float, seen: float
) -> tuple[float, float]:
    """(square of a share, exponent): ln of the mean of a factor over y normal of mean `apart` and `variance`, over
    that of 0 and `seen`, is ln(square) / 2 + exponent.

    The factor is exp(-precision y^2 / 2 + lean y).
    """
    here, there = 1.0 + precision * variance, 1.0 + precision * seen
    exponent = lean * apart - 0.5 * precision * apart * apart + 0.5 * variance * lean * lean
    return there / here, exponent / here - 0.5 * seen * lean * lean / there


@inlined
def log_overlap_ratio(precision: float, lean: float, apart: float, variance: float, seen: float) -> float:
    """ln of the ratio whose parts `overlap_ratio` gives."""
    square, exponent = overlap_ratio(precision, lean, apart, variance, seen)
    return 0.5 * math.log(square) + exponent


@inlined
def scaled_range_factor(
    mean: float, variance: float, low: float, high: float, noise: float
) -> tuple[float, float, float, float]:
    """(share, exponent, precision, lean) of low < x + e < high seen from x normal with this mean and variance.

    e is normal of variance `noise`; P is share * exp(exponent). The factor exp(-precision y^2 / 2 + lean y), y = x -
    mean, gives x the exact mean and variance that it has within the range.
    """
    spread = math.sqrt(variance + noise)
    per_spread = 1.0 / spread
    from_here = (low - mean) * per_spread
    to_here = max((high - mean) * per_spread, from_here + NARROWEST * (1.0 + abs(from_here)))
    share, exponent, moved, left = scaled_truncated_normal(from_here, to_here)
    per_rest = 1.0 / (noise + variance * left)
    return share, exponent, max(1.0 - left, 0.0) * per_rest, moved * spread * per_rest


@inlined
def range_factor(
    mean: float, variance: float, low: float, high: float, noise: float
) -> tuple[float, float, float]:
    """(ln P, precision, lean) as `scaled_range_factor` has them."""
    share, exponent, precision, lean = scaled_range_factor(mean, variance, low, high, noise)
    return math.log(share) + exponent, precision, lean


@compiled
def sweep(
    prior_variance: float,
    drift: float,
    history: History,
    low: FloatArray,
    high: FloatArray,
    noise: FloatArray,
    precision: FloatArray,
    shift: FloatArray,
) -> tuple[float, float, float]:
    """(ln likelihood, mean, variance) of x on the last day, its prior mean being 0.

    The factors (precision, shift) of ranges are renewed in place; the others are exact from the start.
    """
    later_precision, later_shift = look_ahead(history.day, drift, precision, shift)
    log_likelihood, mean, variance = 0.0, 0.0, prior_variance
    day, form = history.day, history.form
    for i in range(day.size):
        if i > 0:
            variance += drift * (day[i] - day[i - 1])
        if form[i] == IN_RANGE:
            seen_variance = variance / (1.0 + variance * later_precision[i])
            centre = seen_variance * (mean / variance + later_shift[i])
            log_mass, precision[i], lean = range_factor(centre, seen_variance, low[i], high[i], noise[i])
            shift[i] = lean + precision[i] * centre
            log_likelihood += log_mass
            if later_precision[i] > 0.0:  # else the range was seen from the past alone: nothing to convert
                log_likelihood += log_overlap_ratio(
                    precision[i], lean, mean - centre, variance, seen_variance
                )
        else:
            total = variance + noise[i]
            log_likelihood -= 0.5 * (math.log(2.0 * math.pi * total) + (low[i] - mean) ** 2 / total)
        grown = 1.0 + precision[i] * variance
        mean = (mean + variance * shift[i]) / grown
        variance /= grown
    return log_likelihood, mean, variance


@compiled
def filter_history(
    k_nodes: FloatArray,
    a: float,
    prior_mean: FloatArray,
    prior_variance: float,
    drift: float,
    sweeps: int,
    history: History,
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """(ln likelihood, mean, variance), each (K,), of x at every node on the day of the last observation.

    drift is the variance of the random walk per day. The prior, prior_mean (K,) and one prior_variance, holds
    on the day of the first observation.
    """
    log_likelihood = np.zeros(k_nodes.size)
    mean, variance = prior_mean.copy(), np.full(k_nodes.size, prior_variance)
    for j in range(k_nodes.size):
        low, high, noise, log_unit = in_log_load(k_nodes[j], a, history)
        low -= prior_mean[j]  # near 0, products of precision and x keep their digits
        high -= prior_mean[j]
        precision, shift = first_factors(low, high, noise)
        moved = 0.0
        for _ in range(sweeps):
            log_likelihood[j], moved, variance[j] = sweep(
                prior_variance, drift, history, low, high, noise, precision, shift
            )
        mean[j] = prior_mean[j] + moved
        log_likelihood[j] += log_unit.sum()
    return log_likelihood, mean, variance
