"""Sights that cannot well be true of one person: found by how surprising one is, given another of the same weeks.

Given one sight alone (nothing else being known of the strength), the other is predicted up to both noises, the walk
between them and the spread of k between people. A maximum below a load that was lifted for ten lies five SDs off.
"""

import math

import numpy as np
from numpy.typing import NDArray

from athletes.calc.constants import (
    CONTRADICTION_DAYS,
    CONTRADICTION_NEIGHBOURS,
    CONTRADICTION_SD,
    OFFSET_LOG_SD,
    RIR_BIAS_SD,
)
from athletes.calc.filtering import in_log_load
from athletes.calc.observation import History
from athletes.calc.record import Record
from programming.calc.arrays import FloatArray, IntArray, compiled
from programming.calc.prior import Prior

MOST_PAIRS = 3
STEP = 1e-3


def contradictions(
    prior: Prior, record: Record, tired: NDArray[np.bool_] | None = None
) -> tuple[tuple[int, int], ...]:
    """Pairs of days (earlier, later) of what contradicts, the newest MOST_PAIRS, ascending.

    tired (M,): what was seen of a tired athlete, which contradicts nothing: the fault may be that of the fatigue
    taken off it, and a coach is asked about slips.
    """
    if record.history.day.size < 2:
        return ()
    ties = record.ties
    own = ties.extra_var + ((ties.sore * ties.aux_sd[-1]) ** 2 if record.sore_last else 0.0)
    own = own if tired is None else np.where(tired, math.inf, own)
    found = surprising_pairs(
        prior.log_k, prior.log_k_sd, prior.asymptote_share, record.history, ties.leans, own, ties.offset,
        np.cumsum(ties.step),
    )  # fmt: skip
    return tuple((int(first), int(second)) for first, second in found)


@compiled
def surprising_pairs(
    log_k: float,
    log_k_sd: float,
    a: float,
    history: History,
    leans: NDArray[np.bool_],
    own: FloatArray,
    offset: IntArray,
    walk: FloatArray,
) -> IntArray:
    """Days (P, 2) of the pairs, P at most MOST_PAIRS, in the order of their later days.

    own (M,) is a variance of ln L beside the noise, walk (M,) that of the random walk up to each sight.
    """
    k = math.exp(log_k)
    low, high, noise, _ = in_log_load(k, a, history)
    low_up, high_up, _, _ = in_log_load(math.exp(log_k + STEP), a, history)
    found = np.zeros((MOST_PAIRS, 2), np.int64)
    size = 0
    for j in range(history.day.size - 1, 0, -1):
        for i in range(j - 1, max(j - CONTRADICTION_NEIGHBOURS, 0) - 1, -1):
            if size == MOST_PAIRS or history.day[j] - history.day[i] > CONTRADICTION_DAYS:
                break
            variance = noise[i] + noise[j] + own[i] + own[j] + walk[j] - walk[i]
            if offset[i] != offset[j]:
                variance += 2.0 * OFFSET_LOG_SD**2
            if leans[i] != leans[j]:
                variance += (k * RIR_BIAS_SD) ** 2
            for above, below in ((i, j), (j, i)):
                gap = low[above] - high[below]
                if gap <= 0.0 or not math.isfinite(gap):
                    continue
                bend = (low_up[above] - low[above] - high_up[below] + high[below]) / STEP
                known = found[size - 1, 0] == history.day[i] and found[size - 1, 1] == history.day[j]
                if gap > CONTRADICTION_SD * math.sqrt(variance + (log_k_sd * bend) ** 2) and not (
                    size > 0 and known
                ):
                    found[size, 0], found[size, 1] = history.day[i], history.day[j]
                    size += 1
                    break
    return found[:size][::-1]
