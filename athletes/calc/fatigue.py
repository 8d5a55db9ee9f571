"""Fatigue inside a session, by muscle group: a fast and a slow part in log-strength units.

Of each muscle group g the state holds phi_g = fast_g + slow_g, by which the strength of a movement is lowered:

    ln S_now = ln S - sum_g w_g phi_g,        a set fails when S_now < L

w_g is the share of the group in the movement, the largest 1. One unit of work (a repetition, a second of a hold)
adds k w_g / sum_g w_g^2 to phi_g, so that a set of the fresh athlete ends after n = ln(S/L) / k units exactly as the
capacity says (`athletes.calc.capacity`), whatever groups the movement has; lighter loads stay possible after failure;
work that shares no group is not touched. Counted in units of one piece of work, what is spent is

    D = sum_g w_g phi_g / k,    available n - D

which is how the functions here speak of it. Of each unit the slow part takes min(1, m (0.30 + 1.0 d^5)), depth d = D
/ n after it; a unit that was tried and failed adds 0.05 m to it, in units: as much of the logarithm would let later
sets grow where k is small. For none of the work of a session does the slow part take all that is there fresh: else
light work would forbid heavy work of the same muscles for the rest of the day. Rest empties both: fast with tau 21.5
s, slow with 388 s in a group's first rest and 716 s in later ones (Chorley et al. 2022, recovery of W' in cycling: a
prior for lifting). Groups recover by themselves while others work; a group that works does not recover. m is the
athlete's own multiplier: median 0.75 for men, 0.3 for women, 0.5 where that is not known, log-SD 0.4. That the slow
share grows near failure is a convention: totals of sets to failure do not identify it.

Holds are counted in seconds in the same way (ours: the published totals are of repetitions).
"""

from math import exp, inf
from typing import Final, NamedTuple

import numpy as np
from scipy.special import ndtri

from athletes.calc.rested import FAST_TAU_S, SLOW_TAU_FIRST_S, SLOW_TAU_LATER_S, Decay, decay
from programming.calc.arrays import FloatArray, compiled, inlined

# Ours, from a first calibration against published totals of repeated sets.
SLOW_SHARE_FRESH: Final = 0.30
SLOW_SHARE_DEPTH: Final = 1.0
SLOW_FROM_FAILED: Final = 0.05
# The slow part takes no more of any work of the session: however tired, a long rest gives units of it back (ours).
SLOW_LIMIT: Final = 0.9
MULTIPLIER_MEDIAN: Final = 0.5
MULTIPLIER_MEDIANS: Final = {"male": 0.75, "female": 0.3}  # by sex, where it is given
MULTIPLIER_LOG_SD: Final = 0.4

# Multiplied by: a division takes several times as long.
THIRD: Final = 1.0 / 3.0
FIFTH: Final = 1.0 / 5.0

# Rows of a body (3, G), at a moment: the fast and the slow part of each group, and the number of its sets.
FAST: Final = 0
SLOW: Final = 1
RESTS: Final = 2
BODY_ROWS: Final = 3


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
def spent_of(body: FloatArray, weights: FloatArray, k: float) -> Spent:
    """What is spent of the work that takes the groups by `weights` (G,) and k for each unit; body (3, G)."""
    fast, first, later = 0.0, 0.0, 0.0
    for g in range(len(weights)):
        fast += weights[g] * body[FAST, g]
        if body[RESTS, g] <= 1.0:
            first += weights[g] * body[SLOW, g]
        else:
            later += weights[g] * body[SLOW, g]
    units = 1.0 / k  # one division in place of three
    return Spent(fast * units, first * units, later * units)


@inlined
def rest(body: FloatArray, gone: Decay) -> None:
    """Change body (3, G) by a rest of all groups that leaves so much."""
    for g in range(body.shape[1]):
        body[FAST, g] *= gone.fast
        body[SLOW, g] *= gone.first if body[RESTS, g] <= 1.0 else gone.later


@inlined
def after_rest(spent: Spent, gone: Decay) -> Spent:
    """What is still spent after a rest of all groups that leaves so much."""
    return Spent(spent.fast * gone.fast, spent.first * gone.first, spent.later * gone.later)


@inlined
def slow_share(before: float, fresh: float, multiplier: float, units: float) -> float:
    """How many of `units` more the slow part takes, before its limit; `before`: units that are spent.

    Whole units, then what is left of one: the depth rises by one at a time. While no unit is slow as a whole, which
    the deepest tells, the fifth powers are added up in closed form.
    """
    per_fresh = 1.0 / fresh
    whole = float(int(units))
    part, deepest = units - whole, (before + units) * per_fresh
    last = multiplier * (SLOW_SHARE_FRESH + SLOW_SHARE_DEPTH * deepest**5)
    taken = part * min(1.0, last)
    if last <= 1.0:
        powers = fifth_powers(before * per_fresh, per_fresh, whole)
        return taken + multiplier * (SLOW_SHARE_FRESH * whole + SLOW_SHARE_DEPTH * powers)
    for unit in range(int(whole)):
        depth = (before + (unit + 1)) * per_fresh
        taken += min(1.0, multiplier * (SLOW_SHARE_FRESH + SLOW_SHARE_DEPTH * depth**5))
    return taken


@inlined
def fifth_powers(first: float, step: float, count: float) -> float:
    """Sum over i from 1 to count of (first + i step)^5, by the sums of the powers of whole numbers."""
    n = count
    s1 = n * (n + 1.0) / 2.0
    s2 = s1 * (2.0 * n + 1.0) * THIRD
    s3 = s1 * s1
    s4 = s2 * (3.0 * n * n + 3.0 * n - 1.0) * FIFTH
    s5 = s3 * (2.0 * n * n + 2.0 * n - 1.0) * THIRD
    a, h = first, step
    return a**5 * n + h * (
        5.0 * a**4 * s1 + h * (10.0 * a**3 * s2 + h * (10.0 * a * a * s3 + h * (5.0 * a * s4 + h * s5)))
    )


@compiled
def shared_by(weights: FloatArray) -> FloatArray:
    """How much each two of M pieces of work share (M, M): their weights (M, G), multiplied and added up.

    Worked out once for all sets of a session: it was a tenth of a simulated set.
    """
    many, groups = weights.shape
    shared = np.zeros((many, many))
    for one in range(many):
        for other in range(many):
            for g in range(groups):
                shared[one, other] += weights[one, g] * weights[other, g]
    return shared


@inlined
def slow_room(
    body: FloatArray,
    weights: FloatArray,
    shared: FloatArray,
    per_unit: FloatArray,
    fresh: FloatArray,
    item: int,
) -> float:
    """Units of `item` that the slow part may still take, so that none of the work that can be done fresh at all loses
    more than its limit to it. The arguments are as of `tire`.
    """
    room: float = _slow_left(body, weights, per_unit, fresh, item)
    for other in range(len(shared)):
        if other != item and shared[other] > 0.0 and 1.0 <= fresh[other] < inf:
            left = _slow_left(body, weights, per_unit, fresh, other)
            room = min(room, left * shared[item] / shared[other])
    return float(room / per_unit[item])


@inlined
def _slow_left(
    body: FloatArray, weights: FloatArray, per_unit: FloatArray, fresh: FloatArray, item: int
) -> float:
    """How much more of its logarithm of strength a piece of work may lose to the slow part."""
    slow = 0.0
    for g in range(weights.shape[1]):
        slow += weights[item, g] * body[SLOW, g]
    return float(max(0.0, SLOW_LIMIT * fresh[item] * per_unit[item] - slow))


@inlined
def tire(
    body: FloatArray, all_weights: FloatArray, shared: FloatArray, per_unit: FloatArray, all_fresh: FloatArray,
    item: int, multiplier: float, before: float, units: float, seconds: float, failed: bool,
) -> None:  # fmt: skip
    """Change body (3, G) by a set of `units` in `seconds`, one more tried and failed at its end or not.

    all_weights (M, G), per_unit (M,), all_fresh (M,): of all work of the session, which bounds the slow part; item:
    the work that is done, its k > 0 and what is fresh > 0; shared (M,): its row of `shared_by`; before: what was
    spent of it, as `spent_of` tells. What is spent of it grows by `units` exactly, and by nothing but the failed unit
    beyond; the groups that it does not take rest meanwhile.
    """
    weights, k = all_weights[item], per_unit[item]
    square, others = shared[item], False
    for g in range(len(weights)):
        others = others or weights[g] == 0.0
    room = slow_room(body, all_weights, shared, per_unit, all_fresh, item)
    to_slow = min(slow_share(before, all_fresh[item], multiplier, units), room)
    extra = min(SLOW_FROM_FAILED * multiplier, room - to_slow) if failed else 0.0
    fast, slow = k / square * (units - to_slow), k / square * (to_slow + extra)
    gone = decay(seconds) if others else Decay(1.0, 1.0, 1.0)
    for g in range(len(weights)):
        if weights[g] == 0.0:
            body[FAST, g] *= gone.fast
            body[SLOW, g] *= gone.first if body[RESTS, g] <= 1.0 else gone.later
            continue
        body[FAST, g] += fast * weights[g]
        body[SLOW, g] += slow * weights[g]
        body[RESTS, g] += 1.0


@inlined
def seconds_until(spent: Spent, allowed: float, step_s: float, limit_s: float) -> float:
    """How long rest takes, by steps, until no more than `allowed` units are spent; `limit_s` or more: not before."""
    if allowed < 0.0:  # no rest would help
        return inf
    if total(spent) <= allowed:
        return 0.0
    fast_step = exp(-step_s / FAST_TAU_S)
    first_step, later_step = exp(-step_s / SLOW_TAU_FIRST_S), exp(-step_s / SLOW_TAU_LATER_S)
    fast, first, later = spent.fast, spent.first, spent.later
    waited = 0.0
    while waited < limit_s and fast + first + later > allowed:
        waited += step_s
        fast, first, later = fast * fast_step, first * first_step, later * later_step
    return waited
