"""Compiled moments and quantiles of n* under a mixture over the nodes of k (see predict).

At node k, ln L10 - ln L is normal with mean `ahead` and SD `spread`, and n* is the curve's repetitions at
ln S - ln L = ahead + drop(10), kept within 0 and `most`.
"""

import math

import numpy as np

from athletes.calc.curve import drop, repetitions, slope
from athletes.calc.truncation import standard_normal_cdf
from programming.calc.arrays import FloatArray, IntArray, compiled

STEPS_PER_SD = 8
REACH = 8.0
BISECTIONS = 40  # of 500 repetitions: to 5e-10


@compiled
def node_spread(
    k_nodes: FloatArray,
    weight: FloatArray,
    ahead: FloatArray,
    variance: FloatArray,
    a: float,
    misfit_share: float,
    most: float,
) -> FloatArray:
    """SD (K,) of ln L10 - ln L with the misfit turned into load by the slope of the curve.

    The misfit is misfit_share * n repetitions, n those expected at this load over all nodes.
    """
    own = np.empty(k_nodes.size)
    for j in range(k_nodes.size):
        n = repetitions(k_nodes[j], a, ahead[j] + drop(k_nodes[j], a, 10.0))
        own[j] = min(max(n, 0.0), most)
    misfit = misfit_share * (weight * own).sum()
    spread = np.empty(k_nodes.size)
    for j in range(k_nodes.size):
        spread[j] = math.hypot(math.sqrt(variance[j]), misfit * slope(k_nodes[j], a, own[j]))
    return spread


@compiled
def lifts_drawn(
    k_nodes: FloatArray, ahead: FloatArray, spread: FloatArray, a: float, most: float, slope_below: float,
    node: IntArray, quantile: FloatArray,
) -> tuple[FloatArray, FloatArray]:  # fmt: skip
    """Of N scenarios (n* (N,) within 0 to `most`, what one repetition takes of ln strength (N,)).

    node (N,): of k; quantile (N,): standard normal, of ln L10 at that node. Below slope_below repetitions the slope
    of the curve at 0 serves for its fall over n* repetitions, shared among them.
    """
    repetitions_drawn, per_repetition = np.empty(node.size), np.empty(node.size)
    for i in range(node.size):
        j = node[i]
        k = k_nodes[j]
        n = repetitions(k, a, ahead[j] + spread[j] * quantile[i] + drop(k, a, 10.0))
        n = min(max(n, 0.0), most)
        repetitions_drawn[i] = n
        per_repetition[i] = drop(k, a, n) / n if a > 0.0 and n > slope_below else k * (1.0 - a)
    return repetitions_drawn, per_repetition


@compiled
def repetition_moments(
    k_nodes: FloatArray, weight: FloatArray, ahead: FloatArray, spread: FloatArray, a: float, most: float
) -> tuple[float, float]:
    """(mean, SD) of n*, by the trapezoidal rule over eight SDs each side: within 0.3 % of an SD."""
    mean = second = total = 0.0
    origin = 0.0
    for j in range(k_nodes.size):
        if weight[j] < 1e-12:
            continue
        fresh = ahead[j] + drop(k_nodes[j], a, 10.0)
        for i in range(int(2 * REACH * STEPS_PER_SD) + 1):
            z = i / STEPS_PER_SD - REACH
            n = min(max(repetitions(k_nodes[j], a, fresh + spread[j] * z), 0.0), most)
            if total == 0.0:
                origin = n
            mass = weight[j] * math.exp(-0.5 * z * z)
            total += mass
            mean += mass * (n - origin)
            second += mass * (n - origin) * (n - origin)
    mean /= total
    return origin + mean, math.sqrt(max(second / total - mean * mean, 0.0))


@compiled
def probability_of_at_most(
    k_nodes: FloatArray, weight: FloatArray, ahead: FloatArray, spread: FloatArray, a: float, n: float
) -> float:
    """P(n* <= n) for n from 0 to below `most`."""
    total = 0.0
    for j in range(k_nodes.size):
        needed = drop(k_nodes[j], a, n) - drop(k_nodes[j], a, 10.0)
        total += weight[j] * standard_normal_cdf((needed - ahead[j]) / spread[j])
    return total


@compiled
def quantile_of_repetitions(
    k_nodes: FloatArray,
    weight: FloatArray,
    ahead: FloatArray,
    spread: FloatArray,
    a: float,
    most: float,
    p: float,
) -> float:
    """The smallest n in 0 to `most` with P(n* <= n) >= p."""
    if probability_of_at_most(k_nodes, weight, ahead, spread, a, 0.0) >= p:
        return 0.0
    low, high = 0.0, most
    for _ in range(BISECTIONS):
        middle = 0.5 * (low + high)
        if probability_of_at_most(k_nodes, weight, ahead, spread, a, middle) < p:
            low = middle
        else:
            high = middle
    return high


@compiled
def quantile_of_normals(weight: FloatArray, mean: FloatArray, sd: FloatArray, p: float) -> float:
    """The p-quantile of a mixture of normals, all arrays (K,), p inside 0 to 1."""
    low, high = np.min(mean - 9.0 * sd), np.max(mean + 9.0 * sd)
    for _ in range(BISECTIONS):
        middle = 0.5 * (low + high)
        at_most = 0.0
        for j in range(mean.size):
            at_most += weight[j] * standard_normal_cdf((middle - mean[j]) / sd[j])
        if at_most < p:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
