"""Capacity from a prior and a history: the whole history is filtered again each time, in day order.

Late and corrected entries therefore need no special care. The grid of k starts on the prior and is narrowed
or moved until the posterior spreads over several of its nodes: many tests at different loads leave k far
better known than a grid over the prior could show.

Where next to nothing but one-sided sights is there, a normal x would have to be cut again and again and come
out too narrow. There the prior of x is taken as a sum of narrow normals: a bound then keeps some, drops
others, and really cuts only the one that it meets.

Held constant, not modelled: k in time, decay after absence, effect of soreness, offsets between variations.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from athletes.calc.constants import DRIFT_VARIANCE_PER_DAY
from athletes.calc.filtering import filter_history
from athletes.calc.observation import History, Observation, as_history
from athletes.calc.state import Capacity
from programming.calc.arrays import FloatArray
from programming.calc.prior import Prior

NODES: Final = 25
SCOUTING_NODES: Final = 13
SPAN: Final = 4.5  # half-width of the grid in SDs of ln k
RESOLVED: Final = 0.65  # SDs of the posterior per spacing from which the trapezoidal rule is within 1 % of it
EDGE_WEIGHT: Final = 1e-3  # of the heaviest node: more at an edge and the grid misses some of the posterior
MOST_SCOUTING_GRIDS: Final = 3
MOST_GRIDS: Final = 6
NEGLIGIBLE_WEIGHT: Final = 1e-8

SWEEPS: Final = 3
LONG_HISTORY: Final = (
    100  # observations; above, or for narrow parts, one sweep does: each observation tells little
)

SPLIT_FROM_SD: Final = 0.1  # of x given k, from two-sided sights: four times the noise of a set to failure
SPLIT_PARTS: Final = 36
SPLIT_NODES: Final = 9
SPLIT_SPAN: Final = 3.5  # half-width of the parts' means in prior SDs of x
SPLIT_OVERLAP: Final = 1.6  # spacing of the parts in their SDs: their sum ripples by less than 0.1 %


@dataclass(frozen=True)
class Start:
    """The prior of x = ln L10 as a sum of normals of one variance: ln weights and means (J,)."""

    log_weight: FloatArray
    mean: FloatArray
    variance: float


def estimate_capacity(prior: Prior, observations: Sequence[Observation], *, day: int) -> Capacity:
    """Capacity on `day`; observations of later days are not used, their order does not matter.

    The prior holds on the day of the first observation that tells something, or on `day` when there is none.
    """
    used = [observation for observation in observations if observation.day <= day]
    history = as_history(used)
    log_k, weight, mean, var = _posterior(prior, history)
    kept = weight > NEGLIGIBLE_WEIGHT
    since = day - int(history.day[-1]) if history.day.size else 0
    return Capacity(
        k_nodes=np.exp(np.broadcast_to(log_k[:, None], weight.shape)[kept]),
        weight=weight[kept] / weight[kept].sum(),
        mean=mean[kept],
        var=var[kept] + DRIFT_VARIANCE_PER_DAY * since,
        day=day,
        asymptote_share=prior.asymptote_share,
        tested_log_loads=np.unique(history.two_sided().log_load),
        observations=len(used),
    )


def _posterior(prior: Prior, history: History) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """(ln k (K,), weight, mean, variance), the last three (K, J)."""
    two_sided = history.two_sided()
    centre, sd, told_sd = _scout(prior, two_sided)
    split = told_sd > SPLIT_FROM_SD and two_sided.day.size < history.day.size
    start, nodes = (_split_start(prior), SPLIT_NODES) if split else (_normal_start(prior), NODES)
    for _ in range(MOST_GRIDS):
        log_k = np.linspace(centre - SPAN * sd, centre + SPAN * sd, nodes)
        weight, mean, var = _on_grid(prior, start, history, log_k)
        centre, sd, resolved = _look(log_k, weight)
        if resolved:
            break
    return log_k, weight, mean, var


def _scout(prior: Prior, two_sided: History) -> tuple[float, float, float]:
    """Centre and SD of ln k at first sight, where a finer grid begins, and the SD of x given k."""
    centre, sd, told_sd = prior.log_k, prior.log_k_sd, prior.log_l10_sd
    if not two_sided.day.size:
        return centre, sd, told_sd
    for _ in range(MOST_SCOUTING_GRIDS):
        log_k = np.linspace(centre - SPAN * sd, centre + SPAN * sd, SCOUTING_NODES)
        weight, _, var = _on_grid(prior, _normal_start(prior), two_sided, log_k)
        centre, sd, resolved = _look(log_k, weight)
        told_sd = math.sqrt(float((weight * var).sum()))
        if resolved:
            break
    return centre, sd, told_sd


def _normal_start(prior: Prior) -> Start:
    return Start(np.zeros(1), np.array([prior.log_l10]), prior.log_l10_sd**2)


def _split_start(prior: Prior) -> Start:
    offset = np.linspace(-SPLIT_SPAN, SPLIT_SPAN, SPLIT_PARTS)
    part_sd = (offset[1] - offset[0]) / SPLIT_OVERLAP
    # A normal is the normal mixture of narrower ones whose means spread by what they lack in variance.
    log_weight = -0.5 * offset**2 / (1.0 - part_sd**2)
    return Start(log_weight, prior.log_l10 + prior.log_l10_sd * offset, (part_sd * prior.log_l10_sd) ** 2)


def _look(log_k: FloatArray, weight: FloatArray) -> tuple[float, float, bool]:
    """Centre and SD of ln k under the weights, and whether the grid shows the posterior well enough."""
    of_k = weight.sum(axis=1)
    centre = float(of_k @ log_k)
    sd = math.sqrt(float(of_k @ (log_k - centre) ** 2))
    spacing = float(log_k[1] - log_k[0])
    cut_off = max(of_k[0], of_k[-1]) > EDGE_WEIGHT * of_k.max()
    resolved = sd >= RESOLVED * spacing and not cut_off
    # Below the spacing the spread of the weights says only "narrow"; of a grid cut off, only "wide".
    return centre, max(sd, 0.5 * spacing) * (2.0 if cut_off else 1.0), resolved


def _on_grid(
    prior: Prior, start: Start, history: History, log_k: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """(weight, mean, variance) of x, each (K, J), weights summing to 1."""
    shape = (log_k.size, start.mean.size)
    log_likelihood, mean, var = filter_history(
        np.exp(np.repeat(log_k, start.mean.size)),
        prior.asymptote_share,
        np.tile(start.mean, log_k.size),
        start.variance,
        DRIFT_VARIANCE_PER_DAY,
        SWEEPS if history.day.size <= LONG_HISTORY and start.mean.size == 1 else 1,
        history,
    )
    log_prior = start.log_weight[None, :] - 0.5 * ((log_k[:, None] - prior.log_k) / prior.log_k_sd) ** 2
    log_weight = log_likelihood.reshape(shape) + log_prior
    weight = np.exp(log_weight - log_weight.max())
    return weight / weight.sum(), mean.reshape(shape), var.reshape(shape)
