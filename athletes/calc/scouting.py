"""Where the fall-off k lies at first sight: a cheap look that places the grid on which all sights are filtered.

Counts and loads are taken as known with error, one-sided sights as nothing, and x as all that is unknown beside k. So
there is no range to be read, and the filter of `athletes.calc.filtering` becomes a plain Kalman filter in one pass,
with the nodes of k innermost, where the processor takes several at a time.
"""

import math
from typing import Final

import numpy as np

from athletes.calc.constants import SMALLEST_LOAD_SD
from athletes.calc.curve import drop, slope
from athletes.calc.observation import AT_COUNT, IN_RANGE, History
from programming.calc.arrays import BoolArray, FloatArray, compiled

SPAN: Final = 4.5  # half-width of the grid in SDs of ln k
SCOUTING_NODES: Final = 13
MOST_SCOUTING_GRIDS: Final = 3
RESOLVED: Final = 0.65  # SDs of the posterior per spacing from which the trapezoidal rule is within 1 % of it
EDGE_WEIGHT: Final = 1e-3  # of the heaviest node: more at an edge and the grid misses some of the posterior
GATHERED: Final = (
    16  # variances whose product stands for the sum of their logarithms: from 1e-12 each, above 1e-200
)


@compiled
def first_sight(history: History, leans: BoolArray) -> History:
    """What bounds N from both sides, with a range as a count at its middle.

    Of it statements of reserve (leans (M,)), whose error is the person's, only where there is nothing else.
    """
    told = np.isfinite(history.lower) & np.isfinite(history.upper)
    if np.any(told & ~leans):
        told &= ~leans
    rows = np.flatnonzero(told)
    middle = 0.5 * (history.lower[rows] + history.upper[rows])
    form = history.form[rows]
    for i in range(rows.size):
        if form[i] == IN_RANGE:
            form[i] = AT_COUNT
    return History(
        history.day[rows], form, history.log_load[rows], middle, middle, history.noise_at[rows],
        history.count_sd[rows], history.load_sd[rows],
    )  # fmt: skip


@compiled
def at_first_sight(
    k_nodes: FloatArray, a: float, prior_variance: float, drift: float, prior_mean: float, history: History
) -> tuple[FloatArray, FloatArray]:
    """(ln likelihood, variance of x), each (K,), of counts and loads known with error; lower and upper are one.

    The same as `filter_history` gives for such a history; the prior holds on the day of the first sight.
    """
    nodes = k_nodes.size
    day, form, log_load, count, _, noise_at, count_sd, load_sd = history
    quadratic, product = np.zeros(nodes), np.ones(nodes)
    log_likelihood, counts = np.zeros(nodes), 0
    mean, variance = np.full(nodes, prior_mean), np.full(nodes, prior_variance)
    at_ten = np.empty(nodes)
    for j in range(nodes):
        at_ten[j] = drop(k_nodes[j], a, 10.0)
    for i in range(day.size):
        walked = drift * (day[i] - day[i - 1]) if i > 0 else 0.0
        for j in range(nodes):
            sd = max(slope(k_nodes[j], a, noise_at[i]) * count_sd[i] + load_sd[i], SMALLEST_LOAD_SD)
            before = variance[j] + walked
            total = before + sd * sd
            share = before / total
            apart = log_load[i] - at_ten[j] + drop(k_nodes[j], a, count[i]) - mean[j]
            quadratic[j] += apart * apart / total
            product[j] *= total
            mean[j] += share * apart
            variance[j] = share * sd * sd
        if form[i] == AT_COUNT:  # a density per repetition, not per ln L
            counts += 1
            if a != 0.0:  # else the slope is k at every count
                for j in range(nodes):
                    bent = slope(k_nodes[j], a, noise_at[i]) / k_nodes[j]
                    log_likelihood[j] += math.log(max(bent, 1e-300))
        if (i + 1) % GATHERED == 0 or i + 1 == day.size:
            for j in range(nodes):
                log_likelihood[j] -= 0.5 * math.log(product[j])
                product[j] = 1.0
    for j in range(nodes):
        log_likelihood[j] += counts * math.log(k_nodes[j])
        log_likelihood[j] -= 0.5 * (quadratic[j] + day.size * math.log(2.0 * math.pi))
    return log_likelihood, variance


@compiled
def look(log_k: FloatArray, of_k: FloatArray) -> tuple[float, float, bool]:
    """Centre and SD of ln k under the weights of_k (K,), and whether the grid shows the posterior well enough."""
    centre = variance = heaviest = 0.0
    for j in range(log_k.size):
        centre += of_k[j] * log_k[j]
        heaviest = max(heaviest, of_k[j])
    for j in range(log_k.size):
        variance += of_k[j] * (log_k[j] - centre) * (log_k[j] - centre)
    sd, spacing = math.sqrt(variance), log_k[1] - log_k[0]
    cut_off = max(of_k[0], of_k[-1]) > EDGE_WEIGHT * heaviest
    resolved = sd >= RESOLVED * spacing and not cut_off
    # Below the spacing the spread of the weights says only "narrow"; of a grid cut off, only "wide".
    return centre, max(sd, 0.5 * spacing) * (2.0 if cut_off else 1.0), resolved


@compiled
def scout(
    log_k_mean: float,
    log_k_sd: float,
    a: float,
    prior_mean: float,
    prior_variance: float,
    drift: float,
    history: History,
) -> tuple[float, float, float]:
    """Centre and SD of ln k, where a finer grid begins, and the SD of x given k; of no sights those of the prior."""
    centre, sd, told_sd = log_k_mean, log_k_sd, math.sqrt(prior_variance)
    if history.day.size == 0:
        return centre, sd, told_sd
    log_k, k_nodes, weight = np.empty(SCOUTING_NODES), np.empty(SCOUTING_NODES), np.empty(SCOUTING_NODES)
    for _ in range(MOST_SCOUTING_GRIDS):
        for j in range(SCOUTING_NODES):
            log_k[j] = centre + SPAN * sd * (2.0 * j / (SCOUTING_NODES - 1) - 1.0)
            k_nodes[j] = math.exp(log_k[j])
        log_weight, variance = at_first_sight(k_nodes, a, prior_variance, drift, prior_mean, history)
        highest, total, told_variance = -math.inf, 0.0, 0.0
        for j in range(SCOUTING_NODES):
            log_weight[j] -= 0.5 * ((log_k[j] - log_k_mean) / log_k_sd) ** 2
            highest = max(highest, log_weight[j])
        for j in range(SCOUTING_NODES):
            weight[j] = math.exp(log_weight[j] - highest)
            total += weight[j]
        for j in range(SCOUTING_NODES):
            weight[j] /= total
            told_variance += weight[j] * variance[j]
        told_sd = math.sqrt(told_variance)
        centre, sd, resolved = look(log_k, weight)
        if resolved:
            break
    return centre, sd, told_sd
