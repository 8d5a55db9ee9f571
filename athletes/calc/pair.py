"""The joint filter (athletes.calc.joint) written out for at most one unknown beside x, the usual case.

The same recursions on plain numbers: several times as fast as matrices of two rows. `filter_jointly` is the one to
read, and its check.
"""

import math

import numpy as np

from athletes.calc.curve import slope
from athletes.calc.filtering import first_factors, in_log_load, log_overlap_ratio, range_factor
from athletes.calc.joint import Ties
from athletes.calc.observation import IN_RANGE, History
from programming.calc.arrays import FloatArray, compiled


@compiled
def load_pair(loading: FloatArray, k: float, a: float, history: History, ties: Ties) -> None:
    """Fill in the loading (M,) of each sight on the one theta."""
    sore, leans, offset, noise_at = ties.sore, ties.leans, ties.offset, history.noise_at
    for i in range(loading.size):
        loading[i] = -sore[i]
        if leans[i]:
            loading[i] = -slope(k, a, noise_at[i])
        elif offset[i] >= 0:
            loading[i] = 1.0


@compiled
def look_ahead_pair(
    loading: FloatArray, step: FloatArray, precision: FloatArray, shift: FloatArray, later: FloatArray
) -> None:
    """Fill in `later` (M, 5) of what the factors after each one say: precisions of (x, x), (x, theta), (theta,
    theta), shifts of x and theta."""
    later[loading.size - 1, :] = 0.0
    for i in range(loading.size - 2, -1, -1):
        own, pi, nu = loading[i + 1], precision[i + 1], shift[i + 1]
        xx, xt = later[i + 1, 0] + pi, later[i + 1, 1] + pi * own
        tt = later[i + 1, 2] + pi * own * own
        of_x, of_t = later[i + 1, 3] + nu, later[i + 1, 4] + nu * own
        kept = step[i + 1] / (1.0 + step[i + 1] * xx)
        later[i, 0] = xx - kept * xx * xx
        later[i, 1] = xt - kept * xx * xt
        later[i, 2] = tt - kept * xt * xt
        later[i, 3] = of_x - kept * of_x * xx
        later[i, 4] = of_t - kept * of_x * xt


@compiled
def sweep_pair(
    history: History,
    step: FloatArray,
    loading: FloatArray,
    low: FloatArray,
    high: FloatArray,
    noise: FloatArray,
    precision: FloatArray,
    shift: FloatArray,
    later: FloatArray,
    prior_variance: float,
    aux_variance: float,
) -> tuple[float, float, float, float, float, float]:
    """(ln likelihood, means of x and theta, variance of x, covariance, variance of theta) on the last day.

    The factors (precision, shift) of ranges are renewed in place; the others are exact from the start.
    """
    look_ahead_pair(loading, step, precision, shift, later)
    x, t, xx, xt, tt = 0.0, 0.0, prior_variance, 0.0, aux_variance
    log_likelihood, form = 0.0, history.form
    for i in range(loading.size):
        own = loading[i]
        xx += step[i]
        gain_x, gain_t = xx + own * xt, xt + own * tt
        along, variance = x + own * t, gain_x + own * gain_t
        if form[i] == IN_RANGE:
            a, b, c, u, v = later[i, 0], later[i, 1], later[i, 2], later[i, 3], later[i, 4]
            # (I + cov precision) w = right hand side, by Cramer's rule, for cov (1, own) and for mean + cov shift.
            m00, m01 = 1.0 + xx * a + xt * b, xx * b + xt * c
            m10, m11 = xt * a + tt * b, 1.0 + xt * b + tt * c
            first, second = x + xx * u + xt * v, t + xt * u + tt * v
            det = m00 * m11 - m01 * m10
            seen = (gain_x * m11 - gain_t * m01 + own * (m00 * gain_t - m10 * gain_x)) / det
            centre = (first * m11 - second * m01 + own * (m00 * second - m10 * first)) / det
            log_mass, precision[i], lean = range_factor(centre, seen, low[i], high[i], noise[i])
            shift[i] = lean + precision[i] * centre
            log_likelihood += log_mass
            if a > 0.0:  # else the range was seen from the past alone
                log_likelihood += log_overlap_ratio(precision[i], lean, along - centre, variance, seen)
        else:
            total = variance + noise[i]
            log_likelihood -= 0.5 * (math.log(2.0 * math.pi * total) + (low[i] - along) ** 2 / total)
        kept = precision[i] / (1.0 + precision[i] * variance)
        pull = (shift[i] - precision[i] * along) / (1.0 + precision[i] * variance)
        x, t = x + gain_x * pull, t + gain_t * pull
        xx, xt, tt = xx - kept * gain_x * gain_x, xt - kept * gain_x * gain_t, tt - kept * gain_t * gain_t
    return log_likelihood, x, t, xx, xt, tt


@compiled
def filter_pair(
    k_nodes: FloatArray,
    a: float,
    prior_mean: FloatArray,
    prior_variance: float,
    sweeps: int,
    history: History,
    ties: Ties,
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """(ln likelihood (K,), mean (K, D), cov (K, D, D)) as `filter_jointly` gives them, D = 1 or 2."""
    size, d = history.day.size, 1 + ties.aux_sd.size
    aux_variance = ties.aux_sd[0] ** 2 if d == 2 else 0.0
    log_likelihood = np.zeros(k_nodes.size)
    mean, cov = np.zeros((k_nodes.size, d)), np.zeros((k_nodes.size, d, d))
    loading, later = np.zeros(size), np.zeros((max(size, 1), 5))
    for j in range(k_nodes.size):
        low, high, noise, log_unit = in_log_load(k_nodes[j], a, history)
        low -= prior_mean[j]
        high -= prior_mean[j]
        noise += ties.extra_var
        if d == 2:
            load_pair(loading, k_nodes[j], a, history, ties)
        precision, shift = first_factors(low, high, noise)
        x, t, xx, xt, tt = 0.0, 0.0, prior_variance, 0.0, aux_variance
        if size > 0:
            for _ in range(sweeps):
                log_likelihood[j], x, t, xx, xt, tt = sweep_pair(
                    history, ties.step, loading, low, high, noise, precision, shift, later,
                    prior_variance, aux_variance,
                )  # fmt: skip
        log_likelihood[j] += log_unit.sum()
        mean[j, 0] = prior_mean[j] + x
        cov[j, 0, 0] = xx
        if d == 2:
            mean[j, 1] = t
            cov[j, 0, 1] = cov[j, 1, 0] = xt
            cov[j, 1, 1] = tt
    return log_likelihood, mean, cov
