"""Capacity from a prior and a history: the whole history is filtered again each time, in day order.

Late and corrected entries therefore need no special care. The grid of k starts on the prior and is narrowed
or moved until the posterior spreads over several of its nodes: many tests at different loads leave k far
better known than a grid over the prior could show.

Where next to nothing but one-sided sights is there, a normal x would have to be cut again and again and come
out too narrow. There the prior of x is taken as a sum of narrow normals: a bound then keeps some, drops
others, and really cuts only the one that it meets.

What absence, soreness, variations and the person's own way of judging reserve do to the sights stands in
athletes.calc.record. Held constant, not modelled: k in time. Its grid carries the likelihood of the whole history,
and a k that walks would need another grid at every step. People's k does change over months (Mayhew 2008, read in the
abstract: repetitions at a fixed share by 0.6 +- 6.1 in 12 weeks); the misfit of the forecast has to cover it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from athletes.calc.carry import carried
from athletes.calc.columns import Seen, columns_of
from athletes.calc.constants import DRIFT_VARIANCE_PER_DAY
from athletes.calc.decay import Absence
from athletes.calc.gain import LASTS_DAYS
from athletes.calc.joint import filter_jointly
from athletes.calc.lifted import STANDS_DAYS, lifts_of
from athletes.calc.observation import ONE_RM, History, Observation
from athletes.calc.pair import filter_pair
from athletes.calc.record import Record, record_of
from athletes.calc.scouting import SPAN, first_sight, look, scout
from athletes.calc.soreness import Work
from athletes.calc.state import Beside, Capacity, Soreness
from athletes.calc.surprise import contradictions
from programming.calc.arrays import FloatArray
from programming.calc.prior import Prior

NODES: Final = 15
NODES_WHERE_LONG: Final = 10  # of a long history: its posterior of ln k is narrow and nearly normal
MOST_GRIDS: Final = 6
NEGLIGIBLE_WEIGHT: Final = 1e-8

SWEEPS: Final = 3
LONG_HISTORY: Final = (
    100  # observations; above, or for narrow parts, one sweep does: each observation tells little
)

SPLIT_FROM_SD: Final = 0.1  # of x given k, from two-sided sights: four times the noise of a set to failure
SPLIT_PARTS: Final = 36
SPLIT_NODES: Final = 9
SPLIT_SPAN: Final = 3.5  # half-width of the parts' means in prior SDs of x
SPLIT_OVERLAP: Final = 1.6  # spacing of the parts in their SDs: their sum ripples by less than 0.1 %


@dataclass(frozen=True)
class Start:
    """The prior of x = ln L10 as a sum of normals of one variance: ln weights and means (J,)."""

    log_weight: FloatArray
    mean: FloatArray
    variance: float


@dataclass(frozen=True, eq=False)
class Posterior:
    """ln k (K,), weights (K, J) summing to 1, mean (K, J, D) and covariance (K, J, D, D) of z = (x, theta)."""

    log_k: FloatArray
    weight: FloatArray
    mean: FloatArray
    cov: FloatArray
    start: Start


def estimate_capacity(
    prior: Prior,
    observations: Sequence[Observation],
    *,
    day: int,
    absences: Sequence[Absence] = (),
    work: Sequence[Work] = (),
) -> Capacity:
    """Capacity on `day`; observations of later days are not used, the order of nothing matters.

    absences are confirmed ones, up to `day` or beyond it; work is what sessions held of the movement, whose soreness
    may lie beyond it too. The prior holds on the day of the first observation that tells something, or on `day` when
    there is none.
    """
    seen = columns_of(observations)
    rows = np.flatnonzero(seen.day <= day)
    used = seen if rows.size == len(observations) else seen.picked(rows)
    record = record_of(used, absences, work, prior.gain)
    posterior = posterior_of(prior, record)
    kept = posterior.weight > NEGLIGIBLE_WEIGHT
    weight, mean, cov = posterior.weight[kept], posterior.mean[kept], posterior.cov[kept]
    history = record.history
    capacity = Capacity(
        k_nodes=np.exp(np.broadcast_to(posterior.log_k[:, None], kept.shape)[kept]),
        weight=weight / weight.sum(),
        mean=mean[:, 0] - record.fallen,
        var=cov[:, 0, 0].copy(),
        day=int(history.day[-1]) if history.day.size else day,
        asymptote_share=prior.asymptote_share,
        tested_log_loads=tested_loads(used, record),
        observations=rows.size,
        reference=record.reference,
        offsets=offsets_of(record, mean, cov),
        soreness=_soreness(record, mean, cov),
        contradictions=contradictions(prior, record, used.spent[record.rows] > 0.0),
        absences=tuple(sorted(absences, key=lambda one: (one.from_day, one.to_day))),
        lifts=lifts_of([observations[row] for row in _of_late(seen, day)], day),
        bounded=int(used.bounded.sum()),
        done_kg=_heaviest(used),
        misfit=prior.misfit,
        gain=prior.gain if history.day.size else 0.0,
        gain_days=LASTS_DAYS if history.day.size else 0.0,
    )
    return carried(capacity, day)


def _of_late(seen: Seen, day: int) -> list[int]:
    """Of those whose lifts may stand on `day`; `lifts_of` leaves out the later ones."""
    rows: list[int] = np.flatnonzero(seen.day >= day - STANDS_DAYS).tolist()
    return rows


def _heaviest(used: Seen) -> float | None:
    """The heaviest load in kg that was moved once or more; None where there is none."""
    moved = used.load_kg[(used.repetitions >= 1.0) | (used.kind == ONE_RM)]
    return float(moved.max()) if moved.size else None


def tested_loads(used: Seen, record: Record) -> FloatArray:
    """ln kg (T,) of the loads at which the curve was tested from both sides, ascending."""
    told = np.isfinite(record.history.lower) & np.isfinite(record.history.upper)
    return np.unique(np.log(used.load_kg[record.rows[told]]))


def offsets_of(record: Record, mean: FloatArray, cov: FloatArray) -> tuple[tuple[str, Beside], ...]:
    """What each variation besides the reference is easier, of z (K, D) and its covariance (K, D, D)."""
    first = 1 + int(record.leans)
    return tuple((name, _beside(mean, cov, first + n)) for n, name in enumerate(record.others))


def _soreness(record: Record, mean: FloatArray, cov: FloatArray) -> Soreness | None:
    effect = record.effect
    if effect is None:
        return None
    if record.sore_last:  # theta is what differs from the expected effect
        seen = _beside(mean, cov, -1)
        return Soreness(effect.at_hour, Beside(effect.mean + seen.mean, seen.var, seen.cov))
    size = len(mean)
    expected = Beside(np.full(size, effect.mean), np.full(size, effect.sd**2), np.zeros(size))
    return Soreness(effect.at_hour, expected)


def _beside(mean: FloatArray, cov: FloatArray, index: int) -> Beside:
    return Beside(mean[:, index].copy(), np.maximum(cov[:, index, index], 0.0), cov[:, 0, index].copy())


def posterior_of(prior: Prior, record: Record) -> Posterior:
    """On the day of the last sight, or of none the prior."""
    centre, sd, told_sd = _scout(prior, first_sight(record.history, record.ties.leans))
    split = told_sd > SPLIT_FROM_SD and _is_one_sided(record.history)
    start = _split_start(prior) if split else _normal_start(prior)
    nodes = SPLIT_NODES if split else nodes_of(record.history.day.size)
    for _ in range(MOST_GRIDS):
        log_k = np.linspace(centre - SPAN * sd, centre + SPAN * sd, nodes)
        posterior = _on_grid(prior, start, record, log_k)
        centre, sd, resolved = look(log_k, posterior.weight.sum(axis=1))
        if resolved:
            break
    return posterior


def _is_one_sided(history: History) -> bool:
    """Whether any sight bounds N from one side alone."""
    return bool((np.isinf(history.lower) | np.isinf(history.upper)).any())


def _scout(prior: Prior, two_sided: History) -> tuple[float, float, float]:
    return scout(
        prior.log_k,
        prior.log_k_sd,
        prior.asymptote_share,
        prior.log_l10,
        prior.log_l10_sd**2,
        DRIFT_VARIANCE_PER_DAY,
        two_sided,
    )


def _normal_start(prior: Prior) -> Start:
    return Start(np.zeros(1), np.array([prior.log_l10]), prior.log_l10_sd**2)


def _split_start(prior: Prior) -> Start:
    offset = np.linspace(-SPLIT_SPAN, SPLIT_SPAN, SPLIT_PARTS)
    part_sd = (offset[1] - offset[0]) / SPLIT_OVERLAP
    # A normal is the normal mixture of narrower ones whose means spread by what they lack in variance.
    log_weight = -0.5 * offset**2 / (1.0 - part_sd**2)
    return Start(log_weight, prior.log_l10 + prior.log_l10_sd * offset, (part_sd * prior.log_l10_sd) ** 2)


def filtered(prior: Prior, record: Record, log_k: FloatArray) -> FloatArray:
    """ln likelihood (K,) of the sights at each ln k, strength integrated out."""
    return _run(prior, _normal_start(prior), record, log_k)[0]


def _run(
    prior: Prior, start: Start, record: Record, log_k: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """(ln likelihood (K J,), mean (K J, D), covariance (K J, D, D)) of every part at every node."""
    run = filter_pair if record.ties.aux_sd.size <= 1 else filter_jointly
    return run(
        np.exp(np.repeat(log_k, start.mean.size)),
        prior.asymptote_share,
        np.tile(start.mean, log_k.size),
        start.variance,
        sweeps_of(record.history.day.size, start.mean.size),
        record.history,
        record.ties,
    )[:3]


def _on_grid(prior: Prior, start: Start, record: Record, log_k: FloatArray) -> Posterior:
    shape = (log_k.size, start.mean.size)
    log_likelihood, mean, cov = _run(prior, start, record, log_k)
    return Posterior(
        log_k,
        _weights(prior, start, log_k, log_likelihood),
        mean.reshape(*shape, -1),
        cov.reshape(*shape, mean.shape[1], mean.shape[1]),
        start,
    )


def nodes_of(sights: int) -> int:
    return NODES if sights <= LONG_HISTORY else NODES_WHERE_LONG


def sweeps_of(sights: int, parts: int) -> int:
    return SWEEPS if sights <= LONG_HISTORY and parts == 1 else 1


def _weights(prior: Prior, start: Start, log_k: FloatArray, log_likelihood: FloatArray) -> FloatArray:
    """(K, J), summing to 1."""
    log_prior = start.log_weight[None, :] - 0.5 * ((log_k[:, None] - prior.log_k) / prior.log_k_sd) ** 2
    log_weight = log_likelihood.reshape(log_prior.shape) + log_prior
    raw = np.exp(log_weight - log_weight.max())
    weight: FloatArray = raw / raw.sum()
    return weight
