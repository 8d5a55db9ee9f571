"""Fatigue inside a session, by muscle group: a fast and a slow part in log-strength units.

Of each muscle group g the state holds phi_g = fast_g + slow_g, by which the strength of a movement is lowered:

    ln S_now = ln S - sum_g w_g phi_g,        a set fails when S_now < L

w_g is the share of the group in the movement, the largest 1. One unit of work (a repetition, a second of a hold)
adds k w_g / sum_g w_g^2 to phi_g, so that a set of the fresh athlete ends after n = ln(S/L) / k units exactly as the
capacity says (`athletes.calc.capacity`), whatever groups the movement has; lighter loads stay possible after failure;
work that shares no group is not touched. Counted in units of one piece of work, what is spent is

    D = sum_g w_g phi_g / k,    available n - D

which is how the functions here speak of it. Of each unit the slow part takes min(1, m (0.30 + 1.0 d^5)), depth
d = D / n after it; a unit that was tried and failed adds 0.05 m w_g / sum_g w_g^2 to it. For none of the work of a
session does the slow part take all that is there fresh: else light work would forbid heavy work of the same muscles
for the rest of the day. Rest empties both: fast with tau
21.5 s, slow with 388 s in a group's first rest and 716 s in later ones (Chorley et al. 2022, recovery of W' in
cycling: a prior for lifting). Groups recover by themselves while others work; a group that works does not recover.
m is the athlete's own multiplier: median 0.75 for men, 0.3 for women, 0.5 where that is not known, log-SD 0.4.
That the slow share grows near failure is a convention: totals of sets to failure do not identify it.

Holds are counted in seconds in the same way (ours: the published totals are of repetitions).
"""

from math import exp, inf
from typing import Final, NamedTuple

import numpy as np
from scipy.special import ndtri

from programming.calc.arrays import FloatArray, inlined

FAST_TAU_S: Final = 21.5
SLOW_TAU_FIRST_S: Final = 388.0
SLOW_TAU_LATER_S: Final = 716.0

# Ours, from a first calibration against published totals of repeated sets.
SLOW_SHARE_FRESH: Final = 0.30
SLOW_SHARE_DEPTH: Final = 1.0
SLOW_FROM_FAILED: Final = 0.05
# The slow part takes no more of any work of the session: however tired, a long rest gives units of it back (ours).
SLOW_LIMIT: Final = 0.9
MULTIPLIER_MEDIAN: Final = 0.5
MULTIPLIER_MEDIANS: Final = {"male": 0.75, "female": 0.3}  # by sex, where it is given
MULTIPLIER_LOG_SD: Final = 0.4

# Rows of a body (4, G): fatigue of each group at the end of its last set, that moment [s], the number of its sets.
FAST: Final = 0
SLOW: Final = 1
ENDED: Final = 2
RESTS: Final = 3
BODY_ROWS: Final = 4


class Spent(NamedTuple):
    """What is spent of a piece of work at a moment, in its units: by what it comes back with.

    fast: tau 21.5 s; first, later: the slow part of groups in their first rest and in later ones.
    """

    fast: float
    first: float
    later: float


def slow_multipliers(
    u: FloatArray, *, median: float = MULTIPLIER_MEDIAN, log_sd: float = MULTIPLIER_LOG_SD
) -> FloatArray:
    """Log-normal multipliers m (N,) at the uniforms u (N,) in (0, 1)."""
    if u.ndim != 1 or not ((u > 0.0) & (u < 1.0)).all():
        raise ValueError(f"u must be (N,) with values inside 0 to 1, got shape {u.shape}")
    return np.asarray(median * np.exp(log_sd * ndtri(u)))


@inlined
def total(spent: Spent) -> float:
    """Units that are spent."""
    return spent.fast + spent.first + spent.later


@inlined
def spent_at(body: FloatArray, weights: FloatArray, k: float, moment: float) -> Spent:
    """What is spent at a moment [s] of the work that takes the groups by `weights` (G,) and k for each unit.

    body (4, G): no group's last set ends after the moment.
    """
    fast, first, later = 0.0, 0.0, 0.0
    for g in range(len(weights)):
        if weights[g] == 0.0 or body[RESTS, g] == 0.0:
            continue
        rested = moment - body[ENDED, g]
        fast += weights[g] * body[FAST, g] * exp(-rested / FAST_TAU_S)
        if body[RESTS, g] == 1.0:
            first += weights[g] * body[SLOW, g] * exp(-rested / SLOW_TAU_FIRST_S)
        else:
            later += weights[g] * body[SLOW, g] * exp(-rested / SLOW_TAU_LATER_S)
    return Spent(fast / k, first / k, later / k)


@inlined
def after_rest(spent: Spent, seconds: float) -> Spent:
    """What is still spent after rest of all groups."""
    return Spent(
        spent.fast * exp(-seconds / FAST_TAU_S),
        spent.first * exp(-seconds / SLOW_TAU_FIRST_S),
        spent.later * exp(-seconds / SLOW_TAU_LATER_S),
    )


@inlined
def slow_share(before: float, fresh: float, multiplier: float, units: float) -> float:
    """How many of `units` more the slow part takes, before its limit; `before`: units that are spent.

    Whole units, then what is left of one: the depth rises by one at a time.
    """
    per_fresh = 1.0 / fresh
    whole = int(units)
    taken = 0.0
    for unit in range(whole):
        depth = (before + (unit + 1)) * per_fresh
        taken += min(1.0, multiplier * (SLOW_SHARE_FRESH + SLOW_SHARE_DEPTH * depth**5))
    part = units - whole
    if part > 0.0:
        depth = (before + units) * per_fresh
        taken += part * min(1.0, multiplier * (SLOW_SHARE_FRESH + SLOW_SHARE_DEPTH * depth**5))
    return taken


@inlined
def slow_room(
    body: FloatArray, weights: FloatArray, per_unit: FloatArray, fresh: FloatArray, item: int, moment: float
) -> float:
    """Units of `item` that the slow part may still take, so that none of the work that can be done fresh at all loses
    more than its limit to it. Arguments as of `tire`.
    """
    square = 0.0
    for g in range(weights.shape[1]):
        square += weights[item, g] * weights[item, g]
    room = inf
    for other in range(len(weights)):
        shared = 0.0
        for g in range(weights.shape[1]):
            shared += weights[item, g] * weights[other, g]
        if shared == 0.0 or (other != item and not 1.0 <= fresh[other] < inf):
            continue
        spent = spent_at(body, weights[other], per_unit[other], moment)
        left = max(0.0, SLOW_LIMIT * fresh[other] - spent.first - spent.later)
        room = min(room, left * per_unit[other] * square / (shared * per_unit[item]))
    return room


@inlined
def tire(
    body: FloatArray, all_weights: FloatArray, per_unit: FloatArray, all_fresh: FloatArray, item: int,
    multiplier: float, units: float, start: float, seconds: float, failed: bool,
) -> None:  # fmt: skip
    """Change body (4, G) by a set of `units` from `start` [s] on, one more tried and failed at its end or not.

    all_weights (M, G), per_unit (M,), all_fresh (M,): of all work of the session, which bounds the slow part; item:
    the work that is done, its k > 0 and what is fresh > 0. What is spent of it grows by `units` exactly, and by
    nothing but the failed unit beyond.
    """
    weights, k, fresh = all_weights[item], per_unit[item], all_fresh[item]
    before = total(spent_at(body, weights, k, start))
    room = slow_room(body, all_weights, per_unit, all_fresh, item, start)
    to_slow = min(slow_share(before, fresh, multiplier, units), room)
    extra = min(SLOW_FROM_FAILED * multiplier / k, room - to_slow) if failed else 0.0
    square = 0.0
    for g in range(len(weights)):
        square += weights[g] * weights[g]
    for g in range(len(weights)):
        if weights[g] == 0.0:
            continue
        part = k * weights[g] / square
        rested = start - body[ENDED, g]
        tau = SLOW_TAU_FIRST_S if body[RESTS, g] <= 1.0 else SLOW_TAU_LATER_S
        body[FAST, g] = body[FAST, g] * exp(-rested / FAST_TAU_S) + part * (units - to_slow)
        body[SLOW, g] = body[SLOW, g] * exp(-rested / tau) + part * (to_slow + extra)
        body[ENDED, g] = start + seconds
        body[RESTS, g] += 1.0


@inlined
def seconds_until(spent: Spent, allowed: float, step_s: float, limit_s: float) -> float:
    """How long rest takes, by steps, until no more than `allowed` units are spent; `limit_s` or more: not before."""
    if allowed < 0.0:  # no rest would help
        return inf
    fast_step = exp(-step_s / FAST_TAU_S)
    first_step, later_step = exp(-step_s / SLOW_TAU_FIRST_S), exp(-step_s / SLOW_TAU_LATER_S)
    fast, first, later = spent.fast, spent.first, spent.later
    waited = 0.0
    while waited < limit_s and fast + first + later > allowed:
        waited += step_s
        fast, first, later = fast * fast_step, first * first_step, later * later_step
    return waited
