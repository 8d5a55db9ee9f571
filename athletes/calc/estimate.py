"""Capacity from a prior and a history: the whole history is filtered again each time, in day order.

Late and corrected entries therefore need no special care. The grid of k starts on the prior and is narrowed
or moved until the posterior spreads over several of its nodes: many tests at different loads leave k far
better known than a grid over the prior could show.

Held constant, not modelled: k in time, decay after absence, effect of soreness, offsets between variations.
"""

import math
from collections.abc import Sequence
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
SWEEPS: Final = 3
LONG_HISTORY: Final = (
    100  # observations, from which one sweep does: each of them tells little beside the rest
)


def estimate_capacity(prior: Prior, observations: Sequence[Observation], *, day: int) -> Capacity:
    """Capacity on `day`; observations of later days are not used, their order does not matter.

    The prior holds on the day of the first observation, or on `day` when there is none.
    """
    used = [observation for observation in observations if observation.day <= day]
    history = as_history(used)
    log_k, weight, mean, var = _posterior(prior, history)
    since = day - int(history.day[-1]) if used else 0
    return Capacity(
        k_nodes=np.exp(log_k),
        weight=weight,
        mean=mean,
        var=var + DRIFT_VARIANCE_PER_DAY * since,
        day=day,
        asymptote_share=prior.asymptote_share,
        tested_log_loads=np.unique(history.log_load[np.isfinite(history.lower) & np.isfinite(history.upper)]),
        observations=len(used),
    )


def _posterior(prior: Prior, history: History) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """(ln k, weight, mean, variance), each (NODES,)."""
    centre, sd = _scout(prior, history)
    for _ in range(MOST_GRIDS):
        log_k = np.linspace(centre - SPAN * sd, centre + SPAN * sd, NODES)
        weight, mean, var = _on_grid(prior, history, log_k)
        centre, sd, resolved = _look(log_k, weight)
        if resolved:
            break
    return log_k, weight, mean, var


def _scout(prior: Prior, history: History) -> tuple[float, float]:
    """Centre and SD of ln k at first sight, where a finer grid begins."""
    sketch = history.two_sided()
    centre, sd = prior.log_k, prior.log_k_sd
    if not sketch.day.size:
        return centre, sd
    for _ in range(MOST_SCOUTING_GRIDS):
        log_k = np.linspace(centre - SPAN * sd, centre + SPAN * sd, SCOUTING_NODES)
        centre, sd, resolved = _look(log_k, _on_grid(prior, sketch, log_k)[0])
        if resolved:
            break
    return centre, sd


def _look(log_k: FloatArray, weight: FloatArray) -> tuple[float, float, bool]:
    """Centre and SD of ln k under the weights, and whether the grid shows the posterior well enough."""
    centre = float(weight @ log_k)
    sd = math.sqrt(float(weight @ (log_k - centre) ** 2))
    spacing = float(log_k[1] - log_k[0])
    cut_off = max(weight[0], weight[-1]) > EDGE_WEIGHT * weight.max()
    resolved = sd >= RESOLVED * spacing and not cut_off
    # Below the spacing the spread of the weights says only "narrow"; of a grid cut off, only "wide".
    return centre, max(sd, 0.5 * spacing) * (2.0 if cut_off else 1.0), resolved


def _on_grid(prior: Prior, history: History, log_k: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    log_likelihood, mean, var = filter_history(
        np.exp(log_k),
        prior.asymptote_share,
        prior.log_l10,
        prior.log_l10_sd**2,
        DRIFT_VARIANCE_PER_DAY,
        SWEEPS if history.day.size <= LONG_HISTORY else 1,
        history,
    )
    log_weight = log_likelihood - 0.5 * ((log_k - prior.log_k) / prior.log_k_sd) ** 2
    weight = np.exp(log_weight - log_weight.max())
    return weight / weight.sum(), mean, var
