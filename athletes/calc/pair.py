"""The joint filter (athletes.calc.joint) written out for at most one unknown beside x, the usual case.

The same recursions on plain numbers, the nodes innermost, so that the processor works at several at a time: many
times as fast as matrices of two rows. `filter_jointly` is the one to read, and its check.
"""

import math
from typing import Final, NamedTuple

import numpy as np

from athletes.calc.constants import SMALLEST_LOAD_SD
from athletes.calc.curve import drop, slope
from athletes.calc.filtering import overlap_ratio, scaled_range_factor
from athletes.calc.joint import Ties
from athletes.calc.observation import AT_COUNT, IN_RANGE, History
from programming.calc.arrays import FloatArray, compiled

BLOCK: Final = 64  # nodes at a time: what is kept of the observations then stays in the processor's cache
TOO_SMALL: Final = 1e-100
TOO_LARGE: Final = 1e100


class Sights(NamedTuple):
    """What the observations say at the nodes of a block, each (M, B), as `in_log_load` and `load_on` have it: bounds
    of x + noise, variance of the noise, loading on theta; and the factors of the ranges, renewed by each sweep.
    """

    low: FloatArray
    high: FloatArray
    noise: FloatArray
    loading: FloatArray
    precision: FloatArray
    shift: FloatArray


class State(NamedTuple):
    """At the nodes of a block, each (B,): means of x and theta, variance of x, covariance, variance of theta; and the
    likelihood as its logarithm plus half that of a product, which saves a logarithm at every step.
    """

    x: FloatArray
    t: FloatArray
    xx: FloatArray
    xt: FloatArray
    tt: FloatArray
    log_likelihood: FloatArray
    product: FloatArray


@compiled
def take_sights(
    sights: Sights, k_nodes: FloatArray, a: float, prior_mean: FloatArray, history: History, ties: Ties
) -> None:
    """Fill in the sights at the nodes of a block, x counted from its prior mean, and the first factors."""
    low, high, noise, loading, precision, shift = sights
    log_load, lower, upper, noise_at = history.log_load, history.lower, history.upper, history.noise_at
    count_sd, load_sd, leans, offset = history.count_sd, history.load_sd, ties.leans, ties.offset
    alone = ties.aux_sd.size == 0
    at_none = np.empty(k_nodes.size)
    for j in range(k_nodes.size):
        at_none[j] = drop(k_nodes[j], a, 10.0) + prior_mean[j]
    for i in range(log_load.size):
        on_theta = 0.0 if alone else 1.0 if offset[i] >= 0 else -ties.sore[i]
        said = not alone and leans[i]
        for j in range(k_nodes.size):
            steepness = slope(k_nodes[j], a, noise_at[i])
            sd = max(steepness * count_sd[i] + load_sd[i], SMALLEST_LOAD_SD)
            noise[i, j] = sd * sd + ties.extra_var[i]
            loading[i, j] = -steepness if said else on_theta
            known = log_load[i] - at_none[j]
            low[i, j] = known + drop(k_nodes[j], a, lower[i]) if lower[i] > -math.inf else -math.inf
            high[i, j] = known + drop(k_nodes[j], a, upper[i]) if upper[i] < math.inf else math.inf
        two_sided = lower[i] > -math.inf and upper[i] < math.inf
        for j in range(k_nodes.size):
            width = high[i, j] - low[i, j]
            precision[i, j] = 1.0 / (noise[i, j] + width * width / 12.0) if two_sided else 0.0
            shift[i, j] = precision[i, j] * 0.5 * (low[i, j] + high[i, j]) if two_sided else 0.0


@compiled
def look_ahead_pair(sights: Sights, step: FloatArray, later: FloatArray) -> None:
    """Fill in `later` (M, 5, B) of what the factors after each one say: precisions of (x, x), (x, theta), (theta,
    theta), shifts of x and theta."""
    size, nodes = sights.low.shape
    loading, precision, shift = sights.loading, sights.precision, sights.shift
    later[size - 1] = 0.0
    for i in range(size - 2, -1, -1):
        for j in range(nodes):
            own, pi, nu = loading[i + 1, j], precision[i + 1, j], shift[i + 1, j]
            xx, xt = later[i + 1, 0, j] + pi, later[i + 1, 1, j] + pi * own
            tt = later[i + 1, 2, j] + pi * own * own
            of_x, of_t = later[i + 1, 3, j] + nu, later[i + 1, 4, j] + nu * own
            kept = step[i + 1] / (1.0 + step[i + 1] * xx)
            later[i, 0, j] = xx - kept * xx * xx
            later[i, 1, j] = xt - kept * xx * xt
            later[i, 2, j] = tt - kept * xt * xt
            later[i, 3, j] = of_x - kept * of_x * xx
            later[i, 4, j] = of_t - kept * of_x * xt


@compiled
def read_range(state: State, sights: Sights, later: FloatArray, i: int) -> None:
    """Renew the factors of the range i and take its probability into the likelihood."""
    low, high, noise, loading, precision, shift = sights
    means_x, means_t, vars_xx, vars_xt, vars_tt, log_likelihood, product = state
    for j in range(means_x.size):
        own, x, t = loading[i, j], means_x[j], means_t[j]
        xx, xt, tt = vars_xx[j], vars_xt[j], vars_tt[j]
        a, b, c, u, v = later[i, 0, j], later[i, 1, j], later[i, 2, j], later[i, 3, j], later[i, 4, j]
        gain_x, gain_t = xx + own * xt, xt + own * tt
        # (I + cov precision) w = right hand side, by Cramer's rule, for cov (1, own) and for mean + cov shift.
        m00, m01 = 1.0 + xx * a + xt * b, xx * b + xt * c
        m10, m11 = xt * a + tt * b, 1.0 + xt * b + tt * c
        first, second = x + xx * u + xt * v, t + xt * u + tt * v
        det = 1.0 / (m00 * m11 - m01 * m10)
        seen = (gain_x * m11 - gain_t * m01 + own * (m00 * gain_t - m10 * gain_x)) * det
        centre = (first * m11 - second * m01 + own * (m00 * second - m10 * first)) * det
        mass, exponent, pi, lean = scaled_range_factor(centre, seen, low[i, j], high[i, j], noise[i, j])
        precision[i, j], shift[i, j] = pi, lean + pi * centre
        if a > 0.0:  # else the range was seen from the past alone
            ratio, further = overlap_ratio(pi, lean, x + own * t - centre, gain_x + own * gain_t, seen)
            exponent += further
            mass *= mass * ratio
        else:
            mass *= mass
        log_likelihood[j] += exponent
        product[j] *= mass


@compiled
def sweep_pair(history: History, step: FloatArray, sights: Sights, later: FloatArray, state: State) -> None:
    """Carry the state of a block from the prior to the last day.

    The factors of ranges are renewed in place; the others are exact from the start.
    """
    look_ahead_pair(sights, step, later)
    low, _, noise, loading, precision, shift = sights
    x, t, xx, xt, tt, log_likelihood, product = state
    for i in range(history.day.size):
        for j in range(x.size):
            xx[j] += step[i]
        if history.form[i] == IN_RANGE:
            read_range(state, sights, later, i)
        else:
            for j in range(x.size):
                own = loading[i, j]
                total = 1.0 / (xx[j] + own * (2.0 * xt[j] + own * tt[j]) + noise[i, j])
                apart = low[i, j] - x[j] - own * t[j]
                log_likelihood[j] -= 0.5 * (math.log(2.0 * math.pi) + apart * apart * total)
                product[j] *= total
        for j in range(x.size):
            own, pi = loading[i, j], precision[i, j]
            gain_x, gain_t = xx[j] + own * xt[j], xt[j] + own * tt[j]
            grown = 1.0 / (1.0 + pi * (gain_x + own * gain_t))
            pull, kept = (shift[i, j] - pi * (x[j] + own * t[j])) * grown, pi * grown
            x[j] += gain_x * pull
            t[j] += gain_t * pull
            xx[j] -= kept * gain_x * gain_x
            xt[j] -= kept * gain_x * gain_t
            tt[j] -= kept * gain_t * gain_t
        for j in range(x.size):
            if not TOO_SMALL < product[j] < TOO_LARGE:
                log_likelihood[j] += 0.5 * math.log(product[j])
                product[j] = 1.0


@compiled
def filter_block(
    k_nodes: FloatArray,
    a: float,
    prior_mean: FloatArray,
    prior_variance: float,
    sweeps: int,
    history: History,
    ties: Ties,
) -> FloatArray:
    """The fields of State (7, B), product in `log_likelihood`, on the last day; x is counted from its prior mean."""
    nodes, size = k_nodes.size, history.day.size
    aux_variance = ties.aux_sd[0] ** 2 if ties.aux_sd.size else 0.0
    space, later = np.empty((6, size, nodes)), np.empty((size, 5, nodes))
    sights = Sights(space[0], space[1], space[2], space[3], space[4], space[5])
    found = np.empty((7, nodes))
    state = State(found[0], found[1], found[2], found[3], found[4], found[5], found[6])
    take_sights(sights, k_nodes, a, prior_mean, history, ties)
    for _ in range(sweeps):
        for j in range(nodes):
            state.x[j] = state.t[j] = state.xt[j] = state.log_likelihood[j] = 0.0
            state.xx[j], state.tt[j], state.product[j] = prior_variance, aux_variance, 1.0
        if size > 0:
            sweep_pair(history, ties.step, sights, later, state)
    for j in range(nodes):
        state.log_likelihood[j] += 0.5 * math.log(state.product[j])
    for i in range(size):
        if history.form[i] == AT_COUNT:  # its density is per repetition, not per ln L
            for j in range(nodes):
                state.log_likelihood[j] += math.log(max(slope(k_nodes[j], a, history.noise_at[i]), 1e-300))
    return found


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
    found = np.empty((7, k_nodes.size))
    for start in range(0, k_nodes.size, BLOCK):
        some = slice(start, start + BLOCK)
        found[:, some] = filter_block(
            k_nodes[some], a, prior_mean[some], prior_variance, sweeps, history, ties
        )
    x, t, xx, xt, tt, log_likelihood, _ = found
    x += prior_mean
    if ties.aux_sd.size == 0:
        return log_likelihood, x[:, None], xx[:, None, None]
    return log_likelihood, np.stack((x, t), axis=1), np.stack((xx, xt, xt, tt), axis=1).reshape(-1, 2, 2)
