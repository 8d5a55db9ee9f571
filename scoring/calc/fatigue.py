"""What is left of an athlete's repetitions inside a block: a fast and a slow reservoir per movement.

In ln-strength units one repetition takes k, so that phi / k counts repetitions, whatever the load: the state is
kept in repetitions here, the repetitions available are n_now = n_fresh - fast - slow, and items of one movement
share one state. With one muscle group per movement (weights 1) this is the log-strength form exactly; movements
that share muscles do not tire each other here. Holds are counted in seconds in the same way (ours: the published
totals are of repetitions); two loads of one held position share their seconds, which is exact at equal loads only.

Of each repetition the slow reservoir takes min(1, m (0.30 + 1.0 d^5)), d = (fast + slow) / n_fresh after it,
the fast one the rest. Rest empties both: fast with tau 21.5 s, slow with 388 s in the first rest and 716 s in
later ones (Chorley et al. 2022, W' recovery in cycling: a prior for lifting). m is the athlete's own
multiplier: median 0.75 for men, 0.3 for women, 0.5 where that is not known, with log-SD 0.4.
"""

from math import exp
from typing import Final

import numpy as np
from scipy.special import ndtri

from programming.calc.arrays import FloatArray, inlined

FAST_TAU_S: Final = 21.5
SLOW_TAU_FIRST_S: Final = 388.0
SLOW_TAU_LATER_S: Final = 716.0

# Ours, from a first calibration against published totals of repeated sets.
SLOW_SHARE_FRESH: Final = 0.30
SLOW_SHARE_DEPTH: Final = 1.0
SLOW_FROM_FAILED: Final = 0.05  # a failed repetition adds this, times m, to the slow reservoir
# The slow reservoir never takes everything: however tired, a long rest gives repetitions back.
SLOW_LIMIT: Final = 0.9
MULTIPLIER_MEDIAN: Final = 0.5
MULTIPLIER_MEDIANS: Final = {"male": 0.75, "female": 0.3}  # by sex, where it is given
MULTIPLIER_LOG_SD: Final = 0.4


def slow_multipliers(
    u: FloatArray, *, median: float = MULTIPLIER_MEDIAN, log_sd: float = MULTIPLIER_LOG_SD
) -> FloatArray:
    """Log-normal multipliers m (N,) at the uniforms u (N,) in (0, 1)."""
    if u.ndim != 1 or not ((u > 0.0) & (u < 1.0)).all():
        raise ValueError(f"u must be (N,) with values inside 0 to 1, got shape {u.shape}")
    return np.asarray(median * np.exp(log_sd * ndtri(u)))


@inlined
def tire(fast: float, slow: float, fresh: float, multiplier: float, units: float) -> tuple[float, float]:
    """(fast, slow) after `units` more, whole ones and then what is left; their sum grows by exactly these.

    The depth rises by one unit at a time whichever reservoir it goes to, and the limit of the slow one, once reached,
    stays: so the shares can be added up before the limit is looked at.
    """
    per_fresh, before = 1.0 / fresh, fast + slow
    whole = int(units)
    added = 0.0
    for unit in range(whole):
        depth = (before + (unit + 1)) * per_fresh
        added += min(1.0, multiplier * (SLOW_SHARE_FRESH + SLOW_SHARE_DEPTH * depth**5))
    part = units - whole
    if part > 0.0:
        depth = (before + units) * per_fresh
        added += part * min(1.0, multiplier * (SLOW_SHARE_FRESH + SLOW_SHARE_DEPTH * depth**5))
    slow = max(slow, min(slow + added, SLOW_LIMIT * fresh))
    return before + units - slow, slow


@inlined
def fail(slow: float, fresh: float, multiplier: float) -> float:
    """The slow reservoir after a repetition that was tried and failed."""
    return max(slow, min(slow + SLOW_FROM_FAILED * multiplier, SLOW_LIMIT * fresh))


@inlined
def recover(fast: float, slow: float, seconds: float, rests: int) -> tuple[float, float]:
    """(fast, slow) after `seconds` without this item's work, `rests` rests having gone before."""
    slow_tau = SLOW_TAU_FIRST_S if rests == 0 else SLOW_TAU_LATER_S
    return fast * exp(-seconds / FAST_TAU_S), slow * exp(-seconds / slow_tau)
