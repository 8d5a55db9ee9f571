"""Forwards and backwards over the sights of one athlete (Rauch, Tung & Striebel 1965), at every node of k.

z = (x, theta) as in ``athletes.calc.joint``: x walks between sights, theta stays. What comes out is z on chosen days,
with the covariance of x between them: a change between two days needs it, since both are known through the same
sights.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from athletes.calc.joint import Ties, load_on, update
from athletes.calc.observation import History
from programming.calc.arrays import FloatArray, IntArray, compiled


class Events(NamedTuple):
    """Sights and asked days in one order: step (E,) of the walk before each, the sight's row or -1, the asked day's
    index or -1, both (E,)."""

    step: FloatArray
    sight: IntArray
    asked: IntArray


@dataclass(frozen=True, eq=False)
class Sights:
    """Sights as the filter read them at each node: k (K,), prior variance of x, and the normal factors (K, M)."""

    k: FloatArray
    asymptote_share: float
    variance: float
    history: History
    ties: Ties
    precision: FloatArray
    shift: FloatArray


class Walked(NamedTuple):
    """On T asked days at K nodes: z from the prior mean of x (K, T, D), its covariance (K, T, D, D), and that of x
    between days (K, T, T)."""

    mean: FloatArray
    own: FloatArray
    joint: FloatArray


def events_of(day: FloatArray, gathered: FloatArray, asked: FloatArray, gathered_there: FloatArray) -> Events:
    """Sights on `day` (M,) and asked days (T,), both ascending; gathered: variance of the walk up to each."""
    days = np.concatenate([day, asked])
    is_asked = np.concatenate([np.zeros(day.size), np.ones(asked.size)])
    order = np.lexsort((is_asked, days))
    step = np.diff(np.concatenate([gathered, gathered_there])[order], prepend=0.0)
    sight = np.concatenate([np.arange(day.size), np.full(asked.size, -1)])[order]
    index = np.concatenate([np.full(day.size, -1), np.arange(asked.size)])[order]
    return Events(np.maximum(step, 0.0), sight, index)


def walked_back(sights: Sights, events: Events, asked: int, *, every_pair: bool) -> Walked:
    """z on the asked days as all sights tell it; without `every_pair` the joint covariance is that of each day with
    itself and with the last one, 0 elsewhere: its cost grows with the days, not with their square."""
    size, d = sights.k.size, 1 + sights.ties.aux_sd.size
    found = Walked(np.empty((size, asked, d)), np.empty((size, asked, d, d)), np.zeros((size, asked, asked)))
    _walk(
        sights.k,
        sights.asymptote_share,
        sights.variance,
        sights.history,
        sights.ties,
        sights.precision,
        sights.shift,
        events,
        every_pair,
        found,
    )
    return found


@compiled
def _walk(
    k: FloatArray,
    a: float,
    variance: float,
    history: History,
    ties: Ties,
    precision: FloatArray,
    shift: FloatArray,
    events: Events,
    every_pair: bool,
    found: Walked,
) -> None:
    """Fill `found` node by node."""
    size, d = events.step.size, 1 + ties.aux_sd.size
    means, covs = np.empty((size, d)), np.empty((size, d, d))
    m, p, c, gain = np.empty(d), np.empty((d, d)), np.empty(d), np.empty(d)
    for j in range(k.size):
        m[:] = 0.0
        p[:, :] = 0.0
        p[0, 0] = variance
        for r in range(1, d):
            p[r, r] = ties.aux_sd[r - 1] ** 2
        for e in range(size):
            p[0, 0] += events.step[e]
            sight = events.sight[e]
            if sight >= 0:
                load_on(c, k[j], a, history, ties, sight)
                update(c, m, p, precision[j, sight], shift[j, sight], gain)
            means[e], covs[e] = m, p
        _back(means, covs, events, every_pair, found.mean[j], found.own[j], found.joint[j])


@compiled
def _back(
    means: FloatArray,
    covs: FloatArray,
    events: Events,
    every_pair: bool,
    at: FloatArray,
    own: FloatArray,
    joint: FloatArray,
) -> None:
    """From the last event to the first, of one node: fill at (T, D), own (T, D, D), joint (T, T)."""
    size, d = means.shape
    asked = at.shape[0]
    m, p = means[size - 1].copy(), covs[size - 1].copy()
    crossed, first = (
        np.zeros((asked, d)),
        asked,
    )  # by later asked day: Cov(z here, x there); those from `first` on
    lean, half = np.empty((d, d)), np.empty((d, d))
    for e in range(size - 1, -1, -1):
        if e < size - 1 and events.step[e + 1] > 0.0:
            _one_back(means[e], covs[e], events.step[e + 1], m, p, lean, half)
            for t in range(first, asked):
                crossed[t] = _times(lean, crossed[t], half[0])
        index = events.asked[e]
        if index >= 0:
            at[index], own[index], joint[index, index] = m, p, p[0, 0]
            for t in range(first, asked):
                joint[index, t] = joint[t, index] = crossed[t, 0]
            if every_pair or index == asked - 1:
                crossed[index], first = p[:, 0], index


@compiled
def _times(matrix: FloatArray, vector: FloatArray, room: FloatArray) -> FloatArray:
    """The product, in `room` (D,)."""
    for r in range(vector.size):
        room[r] = 0.0
        for s in range(vector.size):
            room[r] += matrix[r, s] * vector[s]
    return room


@compiled
def _one_back(
    mean: FloatArray,
    cov: FloatArray,
    step: float,
    m: FloatArray,
    p: FloatArray,
    lean: FloatArray,
    half: FloatArray,
) -> None:
    """Take m and p one event back in place; fill lean = P (P + Q)^-1, Q being the step of x alone.

    lean = I - Q (P + Q)^-1 differs from the unit matrix in its first row only.
    """
    d = m.size
    _solve_first(cov, step, lean, half[0])
    for r in range(d):
        for s in range(d):
            lean[r, s] = 1.0 if r == s else 0.0
    for s in range(d):
        lean[0, s] -= step * half[0, s]
    ahead = 0.0
    for s in range(d):
        ahead += lean[0, s] * (m[s] - mean[s])
    m[0] = mean[0] + ahead
    # cov + lean (p - cov - Q) lean', by rows: only the first row and column are other than p's.
    for r in range(d):
        for s in range(d):
            half[r, s] = p[r, s] - cov[r, s] - (step if r == 0 and s == 0 else 0.0)
    corner = 0.0
    for s in range(d):
        for t in range(d):
            corner += lean[0, s] * half[s, t] * lean[0, t]
    for r in range(1, d):
        side = 0.0
        for s in range(d):
            side += lean[0, s] * half[s, r]
        p[0, r] = p[r, 0] = cov[0, r] + side
    p[0, 0] = cov[0, 0] + corner


@compiled
def _solve_first(cov: FloatArray, step: float, work: FloatArray, found: FloatArray) -> None:
    """found (D,) = (P + Q)^-1 e0 for a positive definite P, by elimination; `work` (D, D) is overwritten."""
    d = found.size
    work[:, :] = cov
    work[0, 0] += step
    found[:] = 0.0
    found[0] = 1.0
    for r in range(d):
        for s in range(r + 1, d):
            share = work[s, r] / work[r, r]
            for t in range(r, d):
                work[s, t] -= share * work[r, t]
            found[s] -= share * found[r]
    for r in range(d - 1, -1, -1):
        for t in range(r + 1, d):
            found[r] -= work[r, t] * found[t]
        found[r] /= work[r, r]
