"""One athlete's record in one movement as the joint filter takes it: sights, absences and hard work together.

What is known of the mean beforehand (the fall by absence, the expected soreness) is taken off the sights instead of
being put on x, which therefore stays the capacity that there would be without either.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from athletes.calc.constants import BODY_MASS_SHARE, DRIFT_VARIANCE_PER_DAY, OFFSET_LOG_SD, RIR_BIAS_SD
from athletes.calc.decay import Absence, lost_until
from athletes.calc.joint import Ties
from athletes.calc.observation import History, Observation, history_and_rows
from athletes.calc.soreness import HOURS, Effect, Work, effects_of, felt
from programming.calc.arrays import FloatArray, IntArray

TWO_SIDED_KINDS = ("one_rm", "to_failure", "rir")


class Walk(NamedTuple):
    """Fall and variance that the mean of ln L10 has gathered up to some days, each (M,)."""

    fall: FloatArray
    variance: FloatArray


@dataclass(frozen=True, eq=False)
class Record:
    """`history` has the loads with what was foreseen taken off; rows (M,) index the observations.

    theta holds, in this order: the error of statements of reserve if `leans`, one offset for each of `others`
    (variations besides the reference), the effect of hard work that is felt most at the end if `sore_last`. effect is
    that effect, seen or not; None without any. fallen: how far absence has lowered x from first to last sight.
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
) -> Record:
    """Of observations that are all to be used."""
    history, rows = history_and_rows(observations)
    kept = [observations[row] for row in rows]
    days = history.day.astype(np.float64)
    walk = walked(absences, days)
    reference, others = _variations(kept)
    leans = np.array([o.kind == "rir" and o.rir != 0.0 for o in kept], dtype=np.bool_)
    effects = effects_of(work)
    raised, sore, extra = _soreness(kept, effects)
    last = effects[_at_the_end(kept, effects)] if effects else None
    sore_last = bool(np.any(sore))
    aux_sd = [RIR_BIAS_SD] * bool(leans.any()) + [OFFSET_LOG_SD] * len(others)
    aux_sd += [last.sd] if sore_last and last is not None else []
    place = {name: n + bool(leans.any()) for n, name in enumerate(others)}
    ties = Ties(
        step=_steps(kept, days, walk),
        offset=np.array([place.get(o.variation, -1) for o in kept], dtype=np.int64),
        leans=leans,
        sore=sore,
        extra_var=extra,
        aux_sd=np.array(aux_sd, dtype=np.float64),
    )
    fall = walk.fall - (walk.fall[0] if days.size else 0.0)
    moved = history._replace(log_load=history.log_load + fall + raised)
    fallen = float(fall[-1]) if days.size else 0.0
    return Record(moved, ties, rows, reference, others, bool(leans.any()), sore_last, last, fallen)


def walked(absences: Sequence[Absence], days: FloatArray) -> Walk:
    """What absences and the random walk have gathered up to each day."""
    fall, variance = lost_until(absences, days) if absences else (np.zeros(days.shape), np.zeros(days.shape))
    return Walk(fall, variance + DRIFT_VARIANCE_PER_DAY * days)


def _steps(kept: Sequence[Observation], days: FloatArray, walk: Walk) -> FloatArray:
    step = np.zeros(days.shape)
    step[1:] = np.diff(walk.variance)
    masses = [o.body_mass_kg for o in kept]
    if len(set(masses)) > 1:
        before: float | None = None
        for n, mass in enumerate(masses):
            if mass is not None and before is not None and mass != before:
                step[n] += body_mass_variance(before, mass)
            before = mass if mass is not None else before
    return step


def body_mass_variance(before_kg: float, after_kg: float) -> float:
    """What a change of body mass adds to the variance of ln L10."""
    return float((BODY_MASS_SHARE * np.log(after_kg / before_kg)) ** 2)


def _variations(kept: Sequence[Observation]) -> tuple[str, tuple[str, ...]]:
    """The reference, which was seen most from both sides, and the others in the order of their names."""
    names = {o.variation for o in kept}
    if len(names) < 2:
        return (names.pop() if names else ""), ()
    told = Counter(o.variation for o in kept if o.kind in TWO_SIDED_KINDS)
    seen = Counter(o.variation for o in kept)
    reference = min(names, key=lambda name: (-told[name], -seen[name], name))
    return reference, tuple(sorted(names - {reference}))


def _soreness(
    kept: Sequence[Observation], effects: Sequence[Effect]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """(expected lowering of ln L, loading of the last effect, variance of earlier ones), each (M,)."""
    nothing = np.zeros(len(kept))
    if not effects:
        return nothing, nothing, nothing
    at_hour = np.array([HOURS * o.day + o.hour for o in kept])
    which, share = felt(effects, at_hour)
    means, sds = np.array([e.mean for e in effects]), np.array([e.sd for e in effects])
    hit = which >= 0
    last = _at_the_end(kept, effects)
    is_last = hit & (which == last) & effects[last].unusual
    raised = np.where(hit, share * means[which], 0.0)
    extra = np.where(hit & ~is_last, (share * sds[which]) ** 2, 0.0)
    return raised, np.where(is_last, share, 0.0), extra


def _at_the_end(kept: Sequence[Observation], effects: Sequence[Effect]) -> int:
    """Index of the effect that is felt most a day after the last thing known; of faded ones the last."""
    end = max([effects[-1].at_hour, *(HOURS * o.day + o.hour for o in kept)]) + HOURS
    which = int(felt(effects, np.array([end]))[0][0])
    return which if which >= 0 else len(effects) - 1
