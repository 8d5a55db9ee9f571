"""The filter of one athlete's history with what else is unknown beside x = ln L10: one state z, normal given k.

z = (x, theta). theta (P,) are errors that stay: of the person's statements of reserve, of each variation against
the one that was seen most, of the last effect of unusual work; all of prior mean 0. An observation speaks of
c z + noise with c = (1, loadings), otherwise as in `athletes.calc.filtering`, whose likelihoods and factors are
used: each range is represented by a normal factor in c z, read against what comes before and after it. x takes
the steps of a random walk, theta takes none.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from athletes.calc.curve import slope
from athletes.calc.filtering import first_factors, in_log_load, log_overlap_ratio, range_factor
from athletes.calc.observation import IN_RANGE, History
from programming.calc.arrays import FloatArray, IntArray, compiled


class Ties(NamedTuple):
    """How the observations (M,) of a history hang together, and the prior SDs aux_sd (P,) of theta.

    step is the variance of the walk since the observation before (0 at the first). offset is the index in theta of
    the variation's offset, -1 for the reference. leans: whether the personal error of a statement of reserve enters
    (theta[0] where anybody leans). sore is the loading of the last theta, the effect of unusual work, and extra_var
    a variance of ln L that other such effects add to the noise. A tuple: the compiled filter takes it as it is.
    """

    step: FloatArray
    offset: IntArray
    leans: NDArray[np.bool_]
    sore: FloatArray
    extra_var: FloatArray
    aux_sd: FloatArray


@compiled
def load_on(c: FloatArray, k: float, a: float, history: History, ties: Ties, i: int) -> None:
    """Fill c (1 + P,) with the loadings of observation i at fall-off k."""
    c[:] = 0.0
    c[0] = 1.0
    if ties.leans[i]:  # said + error repetitions left: the same statement as x lower by slope * error
        c[1] = -slope(k, a, history.noise_at[i])
    if ties.offset[i] >= 0:
        c[1 + ties.offset[i]] = 1.0
    if ties.sore[i] != 0.0:
        c[c.size - 1] = -ties.sore[i]


@compiled
def look_ahead_jointly(
    loadings: FloatArray, step: FloatArray, precision: FloatArray, shift: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """(precision (M, D, D), shift (M, D)) of what the factors after each observation say about z there."""
    size, d = loadings.shape
    later_precision, later_shift = np.zeros((size, d, d)), np.zeros((size, d))
    column = np.empty(d)
    for i in range(size - 2, -1, -1):
        for r in range(d):
            for s in range(d):
                later_precision[i, r, s] = (
                    later_precision[i + 1, r, s] + precision[i + 1] * loadings[i + 1, r] * loadings[i + 1, s]
                )
            later_shift[i, r] = later_shift[i + 1, r] + shift[i + 1] * loadings[i + 1, r]
            column[r] = later_precision[i, r, 0]
        kept = step[i + 1] / (1.0 + step[i + 1] * column[0])
        pull = kept * later_shift[i, 0]
        for r in range(d):
            for s in range(d):
                later_precision[i, r, s] -= kept * column[r] * column[s]
            later_shift[i, r] -= pull * column[r]
    return later_precision, later_shift


@compiled
def seen_along(
    c: FloatArray,
    mean: FloatArray,
    cov: FloatArray,
    precision: FloatArray,
    shift: FloatArray,
    work: FloatArray,
) -> tuple[float, float]:
    """(mean, variance) of c z under the normal (mean, cov) times the later factor (precision, shift).

    Both solve (I + cov precision) u = right hand side, by elimination with the largest pivot in `work` (D, D + 2).
    """
    d = c.size
    for r in range(d):
        across, centre = 0.0, mean[r]
        for s in range(d):
            total = 1.0 if r == s else 0.0
            for t in range(d):
                total += cov[r, t] * precision[t, s]
            work[r, s] = total
            across += cov[r, s] * c[s]
            centre += cov[r, s] * shift[s]
        work[r, d], work[r, d + 1] = across, centre
    for p in range(d):
        best = p
        for r in range(p + 1, d):
            if abs(work[r, p]) > abs(work[best, p]):
                best = r
        if best != p:
            for s in range(d + 2):
                work[p, s], work[best, s] = work[best, s], work[p, s]
        for r in range(p + 1, d):
            share = work[r, p] / work[p, p]
            for s in range(p, d + 2):
                work[r, s] -= share * work[p, s]
    for p in range(d - 1, -1, -1):
        for s in range(p + 1, d):
            work[p, d] -= work[p, s] * work[s, d]
            work[p, d + 1] -= work[p, s] * work[s, d + 1]
        work[p, d] /= work[p, p]
        work[p, d + 1] /= work[p, p]
    centre = variance = 0.0
    for r in range(d):
        variance += c[r] * work[r, d]
        centre += c[r] * work[r, d + 1]
    return centre, variance


@compiled
def update(
    c: FloatArray, mean: FloatArray, cov: FloatArray, precision: float, shift: float, gain: FloatArray
) -> None:
    """Multiply the normal (mean, cov) in place by the factor exp(-precision (c z)^2 / 2 + shift c z)."""
    d = c.size
    along = variance = 0.0
    for r in range(d):
        gain[r] = 0.0
        for s in range(d):
            gain[r] += cov[r, s] * c[s]
        along += c[r] * mean[r]
        variance += c[r] * gain[r]
    grown = 1.0 + precision * variance
    pull = (shift - precision * along) / grown
    for r in range(d):
        mean[r] += gain[r] * pull
        for s in range(d):
            cov[r, s] -= gain[r] * gain[s] * precision / grown


@compiled
def sweep_jointly(
    history: History,
    ties: Ties,
    loadings: FloatArray,
    low: FloatArray,
    high: FloatArray,
    noise: FloatArray,
    precision: FloatArray,
    shift: FloatArray,
    mean: FloatArray,
    cov: FloatArray,
) -> float:
    """ln likelihood; mean (D,) and cov (D, D) go from the prior to the last day, in place.

    The factors (precision, shift) of ranges are renewed in place; the others are exact from the start.
    """
    d = mean.size
    later_precision, later_shift = look_ahead_jointly(loadings, ties.step, precision, shift)
    gain, work = np.empty(d), np.empty((d, d + 2))
    log_likelihood = 0.0
    for i in range(history.day.size):
        c = loadings[i]
        cov[0, 0] += ties.step[i]
        along = variance = 0.0
        for r in range(d):
            along += c[r] * mean[r]
            for s in range(d):
                variance += c[r] * c[s] * cov[r, s]
        if history.form[i] == IN_RANGE:
            centre, seen = seen_along(c, mean, cov, later_precision[i], later_shift[i], work)
            log_mass, precision[i], lean = range_factor(centre, seen, low[i], high[i], noise[i])
            shift[i] = lean + precision[i] * centre
            log_likelihood += log_mass
            if later_precision[i, 0, 0] > 0.0:  # else the range was seen from the past alone
                log_likelihood += log_overlap_ratio(precision[i], lean, along - centre, variance, seen)
        else:
            total = variance + noise[i]
            log_likelihood -= 0.5 * (math.log(2.0 * math.pi * total) + (low[i] - along) ** 2 / total)
        update(c, mean, cov, precision[i], shift[i], gain)
    return log_likelihood


@compiled
def filter_jointly(
    k_nodes: FloatArray,
    a: float,
    prior_mean: FloatArray,
    prior_variance: float,
    sweeps: int,
    history: History,
    ties: Ties,
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray, FloatArray]:
    """(ln likelihood (K,), mean (K, D), cov (K, D, D)) of z on the last day, and the factors (K, M) of the sights.

    The prior of x, prior_mean (K,) and one prior_variance, holds on the day of the first observation.
    """
    size, d = history.day.size, 1 + ties.aux_sd.size
    log_likelihood = np.zeros(k_nodes.size)
    means, covs = np.zeros((k_nodes.size, d)), np.zeros((k_nodes.size, d, d))
    precisions, shifts = np.empty((k_nodes.size, size)), np.empty((k_nodes.size, size))
    loadings = np.empty((size, d))
    for j in range(k_nodes.size):
        low, high, noise, log_unit = in_log_load(k_nodes[j], a, history)
        low -= prior_mean[j]  # near 0, products of precision and x keep their digits
        high -= prior_mean[j]
        noise += ties.extra_var
        for i in range(size):
            load_on(loadings[i], k_nodes[j], a, history, ties, i)
        precision, shift = first_factors(low, high, noise)
        for _ in range(sweeps):
            means[j, :] = 0.0
            covs[j, :, :] = 0.0
            covs[j, 0, 0] = prior_variance
            for r in range(1, d):
                covs[j, r, r] = ties.aux_sd[r - 1] ** 2
            log_likelihood[j] = sweep_jointly(
                history, ties, loadings, low, high, noise, precision, shift, means[j], covs[j]
            )
        means[j, 0] += prior_mean[j]
        log_likelihood[j] += log_unit.sum()
        precisions[j], shifts[j] = precision, shift
    return log_likelihood, means, covs, precisions, shifts
