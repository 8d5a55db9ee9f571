"""The history of a capacity: ln L10 on chosen days as all sights together tell it, with its joint covariance.

The filter's normal factors of the sights, run forwards and then backwards at every node of k
(``athletes.calc.smoothing``), and mixed. Between days the random walk and absence are the same as in the estimate.
Without soreness, in the reference variation.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from athletes.calc.carry import in_variation
from athletes.calc.columns import columns_of
from athletes.calc.course import Course
from athletes.calc.decay import Absence
from athletes.calc.estimate import NEGLIGIBLE_WEIGHT, offsets_of, posterior_of, sweeps_of, tested_loads
from athletes.calc.gain import gained
from athletes.calc.joint import filter_jointly
from athletes.calc.observation import Observation
from athletes.calc.record import Record, as_record, record_of, walked
from athletes.calc.smoothing import Events, Sights, events_of, walked_back
from athletes.calc.soreness import Work
from athletes.calc.state import Capacity
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
    found = _smoothed(prior, record, days, absences, every_pair=True)
    mean = found.z[:, :, 0]
    centre = found.weight @ mean
    apart = mean - centre
    mixed = np.einsum("k,kst->st", found.weight, found.joint)
    mixed += np.einsum("k,ks,kt->st", found.weight, apart, apart)
    return CapacityHistory(tuple(days), centre, 0.5 * (mixed + mixed.T))


def course_of_load(
    prior: Prior,
    observations: Sequence[Observation],
    days: Sequence[int],
    variation: str,
    *,
    absences: Sequence[Absence] = (),
    work: Sequence[Work] = (),
) -> Course[Capacity]:
    """y = ln L10 in a variation, seen or not; days as for :func:`capacity_history`, and so are the errors.

    Each state is the capacity of its day as all sights tell it, without soreness and what was lifted of late.
    """
    seen = columns_of(observations)
    record = record_of(seen, absences, work, prior.gain)
    found = _smoothed(prior, record, days, absences, every_pair=False)
    tested = tested_loads(seen, record)
    states = tuple(
        in_variation(
            Capacity(
                k_nodes=found.k,
                weight=found.weight,
                mean=found.z[:, t, 0].copy(),
                var=found.own[:, t, 0, 0].copy(),
                day=day,
                asymptote_share=prior.asymptote_share,
                tested_log_loads=tested.copy(),
                observations=len(observations),
                reference=record.reference,
                offsets=offsets_of(record, found.z[:, t], found.own[:, t]),
                misfit=prior.misfit,
            ),
            variation,
        )
        for t, day in enumerate(days)
    )
    mean, var = (np.stack([getattr(state, name) for state in states], axis=1) for name in ("mean", "var"))
    # What a variation is harder or easier is the same on both days: the change is that of x alone.
    x_var = np.einsum("ktt->kt", found.joint)
    changed = x_var + x_var[:, -1:] - 2.0 * found.joint[:, :, -1]
    return Course(
        tuple(days), states, found.weight, mean, var, 0.5 * (var + var[:, -1:] - np.maximum(changed, 0.0))
    )


class Smoothed(NamedTuple):
    """At K nodes on T days: k and weight (K,), z with absence and gain in x (K, T, D), its covariance (K, T, D, D),
    that of x between days (K, T, T)."""

    k: FloatArray
    weight: FloatArray
    z: FloatArray
    own: FloatArray
    joint: FloatArray


def _smoothed(
    prior: Prior, record: Record, days: Sequence[int], absences: Sequence[Absence], *, every_pair: bool
) -> Smoothed:
    known = record.history.day
    check_days(known, days)
    posterior = posterior_of(prior, record)
    kept = posterior.weight > NEGLIGIBLE_WEIGHT
    k = np.exp(np.broadcast_to(posterior.log_k[:, None], kept.shape)[kept])
    start = np.broadcast_to(posterior.start.mean[None, :], kept.shape)[kept]
    sweeps = sweeps_of(known.size, posterior.start.mean.size)
    variance = posterior.start.variance
    *_, precision, shift = filter_jointly(
        k, prior.asymptote_share, start, variance, sweeps, record.history, record.ties
    )
    sights = Sights(k, prior.asymptote_share, variance, record.history, record.ties, precision, shift)
    events, fallen = _events(record, days, absences, prior.gain)
    z, own, joint = walked_back(sights, events, len(days), every_pair=every_pair)
    z[:, :, 0] += start[:, None] - fallen
    weight = posterior.weight[kept] / posterior.weight[kept].sum()
    return Smoothed(k, weight, z, own, joint)


def check_days(known: IntArray, days: Sequence[int]) -> None:
    """Raises ValueError unless something was seen on `known` (M,) and `days` ascend, none before its first."""
    if not known.size:
        raise ValueError("nothing was observed that tells of a capacity")
    if not days or any(b <= a for a, b in pairwise(days)) or days[0] < known[0]:
        raise ValueError("days must ascend and not lie before the first observation")


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
    return events_of(known, gathered, asked, at_day), fallen
