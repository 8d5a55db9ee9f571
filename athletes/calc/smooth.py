"""The history of a capacity: ln L10 on chosen days as all sights together tell it, with its joint covariance.

The filter's normal factors of the sights, run forwards and then backwards (Rauch, Tung & Striebel 1965) at every node
of k, and mixed. Between days the random walk and absence are the same as in the estimate. Without soreness, in the
reference variation.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from athletes.calc.decay import Absence
from athletes.calc.estimate import NEGLIGIBLE_WEIGHT, Posterior, posterior_of, sweeps_of
from athletes.calc.gain import gained
from athletes.calc.joint import filter_jointly, load_on
from athletes.calc.observation import Observation
from athletes.calc.record import Record, as_record, walked
from athletes.calc.soreness import Work
from programming.calc.arrays import FloatArray, IntArray
from programming.calc.prior import Prior

PERCENTILE_Z = 1.2815515655446004  # 80 % of a normal lie within so many SDs


@dataclass(frozen=True, eq=False)
class CapacityHistory:
    """ln L10 (L10: load in kg for ten repetitions) on `days` (T,): mean (T,) and covariance (T, T)."""

    days: tuple[int, ...]
    mean: FloatArray
    covariance: FloatArray

    @property
    def sd(self) -> FloatArray:
        """(T,)."""
        sd: FloatArray = np.sqrt(np.diagonal(self.covariance))
        return sd

    def interval(self) -> tuple[FloatArray, FloatArray]:
        """Bounds (T,) between which ln L10 lies with 80 %, as of a normal with this mean and SD."""
        return self.mean - PERCENTILE_Z * self.sd, self.mean + PERCENTILE_Z * self.sd

    def change(self, earlier: int, later: int) -> tuple[float, float]:
        """(mean, SD) of the change of ln L10 between two of the days, by their index."""
        c = self.covariance
        variance = c[earlier, earlier] + c[later, later] - 2.0 * c[earlier, later]
        return float(self.mean[later] - self.mean[earlier]), float(np.sqrt(max(variance, 0.0)))


class Events(NamedTuple):
    """Sights and asked days in one order: step (E,) of the walk before each, the sight's row or -1, the asked day's
    index or -1, both (E,)."""

    step: FloatArray
    sight: IntArray
    asked: IntArray


def capacity_history(
    prior: Prior,
    observations: Sequence[Observation],
    days: Sequence[int],
    *,
    absences: Sequence[Absence] = (),
    work: Sequence[Work] = (),
) -> CapacityHistory:
    """On `days`, which must ascend and not lie before the first observation that tells something.

    All observations are used for every day. Raises ValueError for other days, and when nothing was observed.
    """
    record = as_record(observations, absences, work, prior.gain)
    known = record.history.day
    if not known.size:
        raise ValueError("nothing was observed that tells of a capacity")
    if not days or any(b <= a for a, b in pairwise(days)) or days[0] < known[0]:
        raise ValueError("days must ascend and not lie before the first observation")
    posterior = posterior_of(prior, record)
    events, fallen = _events(record, days, absences, prior.gain)
    weight, mean, covariance = _smoothed(prior, posterior, record, events, len(days))
    centre = weight @ mean
    apart = mean - centre
    mixed = np.einsum("k,kst->st", weight, covariance) + np.einsum("k,ks,kt->st", weight, apart, apart)
    return CapacityHistory(tuple(days), centre - fallen, 0.5 * (mixed + mixed.T))


def _events(
    record: Record, days: Sequence[int], absences: Sequence[Absence], gain: float
) -> tuple[Events, FloatArray]:
    """The events, and the fall of ln L10 by absence, less what training adds, since the first sight on each asked day
    (T,).
    """
    known = record.history.day.astype(np.float64)
    asked = np.array(days, dtype=np.float64)
    at_asked, at_known = walked(absences, asked), walked(absences, known)
    fallen = at_asked.fall - at_known.fall[0] - gained(gain, absences, known, asked)
    gathered = np.cumsum(record.ties.step)
    before = np.searchsorted(known, asked, side="right") - 1
    at_day = gathered[before] + at_asked.variance - at_known.variance[before]
    day = np.concatenate([known, asked])
    is_asked = np.concatenate([np.zeros(known.size), np.ones(asked.size)])
    order = np.lexsort((is_asked, day))
    step = np.diff(np.concatenate([gathered, at_day])[order], prepend=0.0)
    sight = np.concatenate([np.arange(known.size), np.full(asked.size, -1)])[order]
    index = np.concatenate([np.full(known.size, -1), np.arange(asked.size)])[order]
    return Events(np.maximum(step, 0.0), sight, index), fallen


def _smoothed(
    prior: Prior, posterior: Posterior, record: Record, events: Events, asked: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """(weight (K,), mean (K, T), covariance (K, T, T)) of x on the asked days at each node that counts."""
    kept = posterior.weight > NEGLIGIBLE_WEIGHT
    k = np.exp(np.broadcast_to(posterior.log_k[:, None], kept.shape)[kept])
    start = np.broadcast_to(posterior.start.mean[None, :], kept.shape)[kept]
    sweeps = sweeps_of(record.history.day.size, posterior.start.mean.size)
    *_, precision, shift = filter_jointly(
        k, prior.asymptote_share, start, posterior.start.variance, sweeps, record.history, record.ties
    )
    mean, cov = _forwards(k, prior, posterior.start.variance, record, events, precision, shift)
    at, joint = _backwards(mean, cov, events, asked)
    weight = posterior.weight[kept] / posterior.weight[kept].sum()
    return weight, at + start[:, None], joint


def _forwards(
    k: FloatArray,
    prior: Prior,
    variance: float,
    record: Record,
    events: Events,
    precision: FloatArray,
    shift: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """(mean (E, K, D), cov (E, K, D, D)) of z after each event, x from its prior mean."""
    size, d = k.size, 1 + record.ties.aux_sd.size
    m, p = np.zeros((size, d)), np.zeros((size, d, d))
    p[:] = np.diag(np.concatenate([[variance], record.ties.aux_sd**2]))
    means, covs = np.empty((events.step.size, size, d)), np.empty((events.step.size, size, d, d))
    loading = np.empty((size, d))
    for e, (step, sight) in enumerate(zip(events.step, events.sight, strict=True)):
        p[:, 0, 0] += step
        if sight >= 0:
            for j in range(size):
                load_on(loading[j], k[j], prior.asymptote_share, record.history, record.ties, sight)
            gain = np.einsum("krs,ks->kr", p, loading)
            grown = 1.0 + precision[:, sight] * np.einsum("kr,kr->k", loading, gain)
            along = np.einsum("kr,kr->k", loading, m)
            m = m + gain * ((shift[:, sight] - precision[:, sight] * along) / grown)[:, None]
            p = p - np.einsum("kr,ks->krs", gain, gain) * (precision[:, sight] / grown)[:, None, None]
        means[e], covs[e] = m, p
    return means, covs


def _backwards(
    mean: FloatArray, cov: FloatArray, events: Events, asked: int
) -> tuple[FloatArray, FloatArray]:
    """(mean (K, T), covariance (K, T, T)) of x on the asked days, all sights told."""
    size = mean.shape[1]
    at, joint = np.empty((size, asked)), np.empty((size, asked, asked))
    m, p = mean[-1], cov[-1]
    crossed: dict[int, FloatArray] = {}  # by later asked day t: Cov(z here, x there), (K, D)
    for e in range(events.step.size - 1, -1, -1):
        if e < events.step.size - 1:
            m, p, lean = _one_back(mean[e], cov[e], m, p, float(events.step[e + 1]))
            crossed = {t: np.einsum("krs,ks->kr", lean, column) for t, column in crossed.items()}
        index = int(events.asked[e])
        if index >= 0:
            at[:, index] = m[:, 0]
            joint[:, index, index] = p[:, 0, 0]
            for t, column in crossed.items():
                joint[:, index, t] = joint[:, t, index] = column[:, 0]
            crossed[index] = p[:, :, 0]
    return at, joint


def _one_back(
    mean: FloatArray, cov: FloatArray, later_mean: FloatArray, later_cov: FloatArray, step: float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """(mean, cov, gain) of z one event earlier: gain = P (P + Q)^-1, Q the step of x alone."""
    d = mean.shape[1]
    gain = np.broadcast_to(np.eye(d), cov.shape)
    if step <= 0.0:
        return later_mean, later_cov, gain
    predicted = cov.copy()
    predicted[:, 0, 0] += step
    # I - Q (P + Q)^-1: only the first row differs from the unit matrix.
    first = np.zeros(mean.shape)
    first[:, 0] = step
    gain = gain.copy()
    gain[:, 0, :] -= np.linalg.solve(predicted, first[:, :, None])[:, :, 0]
    m = mean + np.einsum("krs,ks->kr", gain, later_mean - mean)
    p = cov + np.einsum("krs,kst,kut->kru", gain, later_cov - predicted, gain)
    return m, p, gain
