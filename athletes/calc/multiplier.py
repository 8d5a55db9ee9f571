"""How quickly an athlete tires for long: the multiplier m of slow fatigue, learned from sets that were logged.

A session tells m by its later sets: how many repetitions are left after rests of known length. What was available
fresh is not known exactly either, so every value of m is tried with several people of the athlete's capacity, each
weighted by how well all of the sets fit, the fresh first ones too. A set to failure counts r with r <= N < r + 1, one
that was stopped says N >= r; N is what is available (`athletes.calc.fatigue`) with the noise of a set,
0.5 + 0.043 n repetitions (as in tests of capacity; Nuzzo et al. 2024, from memory). Sets that ended otherwise tire
and tell nothing. The answer is a log-normal with the moments of ln m over a grid.
"""

from math import exp, log
from typing import Final, NamedTuple

import numpy as np
from scipy.special import logsumexp

from athletes.calc.constants import TEST_NOISE_BASE, TEST_NOISE_SLOPE
from athletes.calc.fatigue import (
    BODY_ROWS,
    MULTIPLIER_LOG_SD,
    MULTIPLIER_MEDIAN,
    rest,
    shared_by,
    spent_of,
    tire,
    total,
)
from athletes.calc.rested import decay
from athletes.calc.truncation import truncated_normal
from programming.calc.arrays import FloatArray, IntArray, compiled, inlined

# How a set ended, in `SetsDone.ended`.
FAILURE: Final = 0
CHOICE: Final = 1
OTHERWISE: Final = 2

# One set in fifty says nothing of fatigue (a slip, a wrong count): then any count of fifty is as likely (ours).
STRAY: Final = 0.02
ANY_COUNT: Final = 0.02
METHOD_VERSION: Final = 2  # raised where the likelihood changes, by `athletes.calc.fatigue` too
REACH_SD: Final = 3.0
NODES: Final = 17


class Multiplier(NamedTuple):
    """ln m is normal: exp of its mean, and its SD; sets: how many have told something."""

    median: float
    log_sd: float
    sets: int


class SetsDone(NamedTuple):
    """The sets of one session in their order (S,): piece of work, start [s], seconds, units done, how it ended."""

    piece: IntArray
    start: FloatArray
    seconds: FloatArray
    amount: FloatArray
    ended: IntArray


class Able(NamedTuple):
    """N people of the athlete's capacity: units available fresh and ln strength per unit, both (N, P); weights (P, G)
    of the muscle groups."""

    fresh: FloatArray
    per_unit: FloatArray
    weights: FloatArray


def learn(
    sessions: list[tuple[SetsDone, Able]],
    *,
    median: float = MULTIPLIER_MEDIAN,
    log_sd: float = MULTIPLIER_LOG_SD,
) -> Multiplier:
    """The multiplier after these sessions, which are taken as independent; `median`, `log_sd`: before them.

    Raises ValueError for sets that overlap or go back in time, and for amounts that are not positive and finite.
    """
    nodes = np.linspace(-REACH_SD, REACH_SD, NODES)
    posterior = -0.5 * nodes**2
    told = 0
    for done, able in sessions:
        _check(done, able)
        posterior = posterior + likelihood(done, able, median * np.exp(log_sd * nodes))
        told += int((done.ended != OTHERWISE).sum())
    weight = np.exp(posterior - logsumexp(posterior))
    mean = float(weight @ nodes)
    spread = float(np.sqrt(weight @ (nodes - mean) ** 2))
    return Multiplier(median * exp(log_sd * mean), log_sd * spread, told)


def likelihood(done: SetsDone, able: Able, multipliers: FloatArray) -> FloatArray:
    """ln of how likely the sets are with each multiplier (M,), whoever of the people did them."""
    each = _each(done, able, np.ascontiguousarray(multipliers))
    return np.asarray(logsumexp(each, axis=1) - log(len(able.fresh)))


def fits(done: SetsDone, able: Able, multiplier: float) -> FloatArray:
    """ln of how likely the sets are (N,) of each of the people, with one multiplier.

    Raises ValueError for sets that overlap or go back in time, and for amounts that are not positive and finite.
    """
    _check(done, able)
    return np.asarray(_each(done, able, np.array([multiplier]))[0])


@inlined
def _mostly(lower: float, upper: float, otherwise: float) -> float:
    """ln P of a standard normal between the two, or of `otherwise` where the set was a stray one."""
    return log((1.0 - STRAY) * exp(truncated_normal(lower, upper)[0]) + STRAY * otherwise)


@compiled
def _each(done: SetsDone, able: Able, multipliers: FloatArray) -> FloatArray:
    """(M, N): the same, of each person."""
    many = len(able.fresh)
    found = np.zeros((len(multipliers), many))
    body, shared = np.zeros((BODY_ROWS, able.weights.shape[1])), shared_by(able.weights)
    for node in range(len(multipliers)):
        for n in range(many):
            body[:], end = 0.0, done.start[0]
            for s in range(len(done.piece)):
                p = done.piece[s]
                rest(body, decay(done.start[s] - end))
                before = total(spent_of(body, able.weights[p], able.per_unit[n, p]))
                there = able.fresh[n, p] - before
                noise = TEST_NOISE_BASE + TEST_NOISE_SLOPE * max(there, 0.0)
                if done.ended[s] == FAILURE:
                    found[node, n] += _mostly(
                        (done.amount[s] - there) / noise, (done.amount[s] + 1.0 - there) / noise, ANY_COUNT
                    )
                elif done.ended[s] == CHOICE:
                    found[node, n] += _mostly((done.amount[s] - there) / noise, np.inf, 1.0)
                tire(
                    body, able.weights, shared[p], able.per_unit[n], able.fresh[n], p, multipliers[node],
                    before, done.amount[s], done.seconds[s], done.ended[s] == FAILURE,
                )  # fmt: skip
                end = done.start[s] + done.seconds[s]
    return found


def _check(done: SetsDone, able: Able) -> None:
    ends = done.start + done.seconds
    if not (
        np.isfinite(ends).all() and (done.seconds >= 0.0).all() and (done.start[1:] >= ends[:-1] - 1e-9).all()
    ):
        raise ValueError("sets must follow one another in time")
    if not (np.isfinite(done.amount).all() and (done.amount > 0.0).all()):
        raise ValueError("amounts must be positive and finite")
    if able.fresh.shape != able.per_unit.shape or len(able.weights) != able.fresh.shape[1]:
        raise ValueError(
            f"fresh {able.fresh.shape}, per_unit {able.per_unit.shape}, weights {able.weights.shape}"
        )
    if not (able.fresh > 0.0).all() or not (able.per_unit > 0.0).all():
        raise ValueError("what is available fresh and what a unit takes must be positive")
