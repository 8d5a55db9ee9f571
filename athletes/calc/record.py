"""One athlete's record in one movement as the joint filter takes it: sights, absences and hard work together.

What is known of the mean beforehand (the fall by absence, the usual gain, the expected soreness) is taken off the
sights instead of being put on x, which therefore stays the capacity that there would be without any of them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from athletes.calc.columns import Seen, columns_of, history_and_rows
from athletes.calc.constants import BODY_MASS_SHARE, DRIFT_VARIANCE_PER_DAY, OFFSET_LOG_SD, RIR_BIAS_SD
from athletes.calc.decay import Absence, lost_until
from athletes.calc.gain import gained
from athletes.calc.joint import Ties
from athletes.calc.observation import RIR, History, Observation
from athletes.calc.soreness import HOURS, Effect, Work, effects_of, felt
from programming.calc.arrays import FloatArray, IntArray


class Walk(NamedTuple):
    """Fall and variance that the mean of ln L10 has gathered up to some days, each (M,)."""

    fall: FloatArray
    variance: FloatArray


@dataclass(frozen=True, eq=False)
class Record:
    """`history` has the loads with what was foreseen taken off; rows (M,) index the observations.

    theta holds, in this order: the error of statements of reserve if `leans`, one offset for each of `others`
    (variations besides the reference), the effect of hard work that is felt most at the end if `sore_last`. effect is
    that effect, seen or not; None without any. fallen: how far absence has lowered x from first to last sight, less
    what training has added.
    """

    history: History
    ties: Ties
    rows: IntArray
    reference: str
    others: tuple[str, ...]
    leans: bool
    sore_last: bool
    effect: Effect | None
    fallen: float

    @property
    def plain(self) -> bool:
        """Whether x is all that is unknown besides k."""
        return self.ties.aux_sd.size == 0


def as_record(
    observations: Sequence[Observation],
    absences: Sequence[Absence] = (),
    work: Sequence[Work] = (),
    gain: float = 0.0,
) -> Record:
    """Of observations that are all to be used; gain: of ln L10 in a day of training."""
    return record_of(columns_of(observations), absences, work, gain)


def record_of(
    seen: Seen, absences: Sequence[Absence] = (), work: Sequence[Work] = (), gain: float = 0.0
) -> Record:
    """As :func:`as_record`, of their columns."""
    history, rows = history_and_rows(seen)
    kept = seen.picked(rows)
    days = history.day.astype(np.float64)
    walk = walked(absences, days)
    reference, others = _variations(kept)
    leans = (kept.kind == RIR) & (kept.rir != 0.0)
    anybody = bool(leans.any())
    effects = effects_of(work)
    last = _at_the_end(kept, effects) if effects else None
    raised, sore, extra = _soreness(kept, effects, last)
    sore_last = bool(sore.any())
    aux_sd = [RIR_BIAS_SD] * anybody + [OFFSET_LOG_SD] * len(others)
    aux_sd += [effects[last].sd] if sore_last and last is not None else []
    ties = Ties(
        step=_steps(kept, walk),
        offset=_offsets(kept, others, anybody),
        leans=leans,
        sore=sore,
        extra_var=extra,
        aux_sd=np.array(aux_sd, dtype=np.float64),
    )
    fall = walk.fall - (walk.fall[0] if days.size else 0.0) - gained(gain, absences, days, days)
    moved = history._replace(log_load=history.log_load + fall + raised)
    fallen = float(fall[-1]) if days.size else 0.0
    effect = None if last is None else effects[last]
    return Record(moved, ties, rows, reference, others, anybody, sore_last, effect, fallen)


def walked(absences: Sequence[Absence], days: FloatArray) -> Walk:
    """What absences and the random walk have gathered up to each day."""
    fall, variance = lost_until(absences, days) if absences else (np.zeros(days.shape), np.zeros(days.shape))
    return Walk(fall, variance + DRIFT_VARIANCE_PER_DAY * days)


def _steps(kept: Seen, walk: Walk) -> FloatArray:
    step = np.zeros(kept.day.shape)
    step[1:] = np.diff(walk.variance)
    weighed = np.flatnonzero(~np.isnan(kept.body_mass_kg))
    if weighed.size < 2:
        return step
    masses = kept.body_mass_kg[weighed]
    for n in np.flatnonzero(masses[1:] != masses[:-1]).tolist():
        step[weighed[n + 1]] += body_mass_variance(masses[n], masses[n + 1])
    return step


def body_mass_variance(before_kg: float, after_kg: float) -> float:
    """What a change of body mass adds to the variance of ln L10."""
    return float((BODY_MASS_SHARE * np.log(after_kg / before_kg)) ** 2)


def _variations(kept: Seen) -> tuple[str, tuple[str, ...]]:
    """The reference, which was seen most from both sides, and the others in the order of their names."""
    if len(kept.names) == 1 and kept.day.size:
        return kept.names[0], ()
    seen = np.bincount(kept.variation, minlength=len(kept.names))
    told = np.bincount(kept.variation[kept.two_sided], minlength=len(kept.names))
    there = np.flatnonzero(seen).tolist()
    if not there:
        return "", ()
    reference = min(there, key=lambda n: (-told[n], -seen[n], n))
    return kept.names[reference], tuple(kept.names[n] for n in there if n != reference)


def _offsets(kept: Seen, others: Sequence[str], leans: bool) -> IntArray:
    """The place in theta of each one's offset (M,), -1 for the reference."""
    place = {name: n + int(leans) for n, name in enumerate(others)}
    return np.array([place.get(name, -1) for name in kept.names], dtype=np.int64)[kept.variation]


def _soreness(
    kept: Seen, effects: Sequence[Effect], last: int | None
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """(expected lowering of ln L, loading of the last effect, variance of earlier ones), each (M,)."""
    nothing = np.zeros(kept.day.size)
    if last is None:
        return nothing, nothing, nothing
    which, share = felt(effects, HOURS * kept.day + kept.hour)
    means, sds = np.array([e.mean for e in effects]), np.array([e.sd for e in effects])
    hit = which >= 0
    is_last = hit & (which == last) & effects[last].unusual
    raised = np.where(hit, share * means[which], 0.0)
    extra = np.where(hit & ~is_last, (share * sds[which]) ** 2, 0.0)
    return raised, np.where(is_last, share, 0.0), extra


def _at_the_end(kept: Seen, effects: Sequence[Effect]) -> int:
    """Index of the effect that is felt most a day after the last thing known; of faded ones the last."""
    known = (HOURS * kept.day + kept.hour).max(initial=effects[-1].at_hour)
    which = int(felt(effects, np.array([known + HOURS]))[0][0])
    return which if which >= 0 else len(effects) - 1
