"""How well a prior foresees one athlete's sights of a movement: what curves of movements are compared by."""

import math
from typing import Final

import numpy as np
from scipy.special import logsumexp

from athletes.calc.estimate import filtered
from athletes.calc.record import Record
from programming.calc.prior import Prior

NODES: Final = 11
REACH_SD: Final = 3.5


def log_evidence(prior: Prior, record: Record) -> float:
    """ln of the density of the sights, strength and fall-off integrated out: comparable between priors."""
    z = np.linspace(-REACH_SD, REACH_SD, NODES)
    log_likelihood = filtered(prior, record, prior.log_k + prior.log_k_sd * z)
    step = 2.0 * REACH_SD / (NODES - 1)
    return float(logsumexp(log_likelihood - 0.5 * z * z) + math.log(step / math.sqrt(2.0 * math.pi)))
