"""What was seen of an athlete's capacity in a movement, and how certain each kind of sight is.

n* is the repetitions available at a load, N = n* + noise what the day made of it. A count r to failure says
r <= N < r + 1; a set that was stopped at r as planned says N >= r; not one repetition says N < 1.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, NamedTuple, get_args

import numpy as np
from numpy.typing import NDArray

from athletes.calc.constants import (
    ONE_RM_LOG_SD,
    RIR_BIAS,
    RIR_SD_BASE,
    RIR_SD_PER_REPETITION,
    RIR_SD_PER_REPETITION_BEYOND,
    RIR_SD_PER_RIR,
    RIR_STEEP_FROM,
    TEST_NOISE_BASE,
    TEST_NOISE_SLOPE,
    WEAK_WEIGHT,
)
from athletes.calc.covering import telling
from programming.calc.arrays import FloatArray, IntArray

Kind = Literal["one_rm", "to_failure", "rir", "at_least", "at_least_weak", "zero"]
KINDS: Final[tuple[Kind, ...]] = get_args(Kind)
MOST_COUNTED: Final = 2000.0

# How the filter reads an observation: a load or a count known with error, or a range of counts.
AT_LOAD: Final = 0
AT_COUNT: Final = 1
IN_RANGE: Final = 2


@dataclass(frozen=True)
class Observation:
    """One thing seen on one day (any running day number) at an effective load in kg.

    one_rm: the load is the one-repetition maximum. to_failure: this many repetitions and not one more. rir:
    stopped with `rir` repetitions thought to be left. at_least: stopped as planned. at_least_weak: ended by
    pain, a judge or the clock. zero: not one repetition. weight in (0, 1] divides the variance of the noise.
    variation: which version of the movement, "" where nobody says. hour of the day, 0 to 24. body_mass_kg on that
    day, where it is known. Raises ValueError for what cannot have been seen.
    """

    day: int
    load_kg: float
    repetitions: float
    kind: Kind
    rir: float | None = None
    weight: float = 1.0
    variation: str = ""
    hour: float = 12.0
    body_mass_kg: float | None = None

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ValueError(f"kind must be one of {', '.join(KINDS)}, got {self.kind!r}")
        if not (math.isfinite(self.load_kg) and 1e-3 <= self.load_kg <= 1e5):
            raise ValueError(f"load_kg must lie in 0.001 to 100000, got {self.load_kg!r}")
        if not (math.isfinite(self.repetitions) and 0.0 <= self.repetitions <= MOST_COUNTED):
            raise ValueError(f"repetitions must lie in 0 to {MOST_COUNTED:g}, got {self.repetitions!r}")
        if (self.rir is not None) != (self.kind == "rir"):
            raise ValueError(
                f"rir belongs to the kind 'rir' and to no other, got {self.rir!r} with {self.kind!r}"
            )
        if self.rir is not None and not (math.isfinite(self.rir) and 0.0 <= self.rir <= 50.0):
            raise ValueError(f"rir must lie in 0 to 50, got {self.rir!r}")
        if not (math.isfinite(self.weight) and 1e-3 <= self.weight <= 1.0):
            raise ValueError(f"weight must lie in 0.001 to 1, got {self.weight!r}")
        if not 0.0 <= self.hour <= 24.0:
            raise ValueError(f"hour must lie in 0 to 24, got {self.hour!r}")
        if self.body_mass_kg is not None and not 1.0 <= self.body_mass_kg <= 1000.0:
            raise ValueError(f"body_mass_kg must lie in 1 to 1000, got {self.body_mass_kg!r}")


class History(NamedTuple):
    """Observations as columns (M,) in the order in which they are filtered.

    form is AT_LOAD, AT_COUNT or IN_RANGE; lower and upper bound N (equal when a count is known with error);
    count_sd is the noise of N in repetitions at `noise_at`, load_sd an error of ln L. A tuple: the compiled
    filter takes it as it is.
    """

    day: IntArray
    form: IntArray
    log_load: FloatArray
    lower: FloatArray
    upper: FloatArray
    noise_at: FloatArray
    count_sd: FloatArray
    load_sd: FloatArray

    def picked(self, keep: NDArray[np.bool_]) -> "History":
        """The observations that `keep` (M,) says."""
        return History(self.day[keep], self.form[keep], *(column[keep] for column in self[2:]))

    def two_sided(self) -> "History":
        """Counts to failure as counts known with error, one-sided sights left out: a cheap first look."""
        told = np.isfinite(self.lower) & np.isfinite(self.upper)
        middle = 0.5 * (self.lower[told] + self.upper[told])
        form = np.where(self.form == IN_RANGE, AT_COUNT, self.form)[told]
        return History(
            self.day[told], form, self.log_load[told], middle, middle, *(c[told] for c in self[5:])
        )


def day_noise(repetitions: FloatArray) -> FloatArray:
    """Day-to-day SD of a set to failure, in repetitions."""
    return TEST_NOISE_BASE + TEST_NOISE_SLOPE * repetitions


def rir_noise(done: FloatArray, rir: FloatArray) -> FloatArray:
    """SD of repetitions done plus repetitions said to be left, in repetitions; without the day's own
    noise."""
    total = done + rir
    beyond = np.maximum(total - RIR_STEEP_FROM, 0.0)
    return (
        RIR_SD_BASE
        + RIR_SD_PER_RIR * rir
        + RIR_SD_PER_REPETITION * (total - beyond)
        + RIR_SD_PER_REPETITION_BEYOND * beyond
    )


def as_history(observations: Sequence[Observation]) -> History:
    """Columns of what the observations tell, sorted so that their order of entry does not matter.

    Left out is what tells nothing beside the others (covering). Within a day counts and loads known with
    error come first, then ranges, then one-sided ranges: each step's normal approximation is best where the
    state is already narrow.
    """
    return history_and_rows(observations)[0]


def history_and_rows(observations: Sequence[Observation]) -> tuple[History, IntArray]:
    """As :func:`as_history`, with the index (M,) of each kept one among the observations."""
    code = _CODE
    rows = [
        (o.day, code[o.kind], o.load_kg, o.repetitions, o.rir or 0.0, o.weight, o.hour) for o in observations
    ]
    table = np.array(rows, dtype=np.float64).reshape(-1, 7)
    named = len({o.variation for o in observations}) > 1
    names = np.array([o.variation for o in observations] if named else np.zeros(len(observations)))
    kind_rank = _KIND_RANK[table[:, 1].astype(np.int64)]
    order = np.lexsort((names, *table[:, :1:-1].T, kind_rank, table[:, 0]))
    day, kind, load, done, rir, weight, _ = table[order].T
    is_kind = {name: kind == index for name, index in _CODE.items()}
    history, trust = _columns(day, np.log(load), done, rir, weight, is_kind)
    keep = _telling(history, trust, names[order] if named else None)
    return history.picked(keep), order[keep]


_CODE: Final = {kind: index for index, kind in enumerate(KINDS)}
_KIND_RANK: Final = np.array([0, 2, 1, 3, 4, 5])


def _telling(history: History, trust: FloatArray, names: np.ndarray | None) -> NDArray[np.bool_]:
    """What to keep; of different variations none makes another needless."""
    if names is None:
        return telling(history.day, history.log_load, history.lower, history.upper, trust)
    keep = np.zeros(history.day.size, dtype=np.bool_)
    for name in np.unique(names):
        of_name = names == name
        some = history.picked(of_name)
        keep[of_name] = telling(some.day, some.log_load, some.lower, some.upper, trust[of_name])
    return keep


def _columns(
    day: FloatArray,
    log_load: FloatArray,
    done: FloatArray,
    rir: FloatArray,
    weight: FloatArray,
    is_kind: dict[Kind, np.ndarray],
) -> tuple[History, FloatArray]:
    """The columns, and the root of each one's trust."""
    # Less than one repetition to failure is a missed single: n* may lie anywhere below 1.
    missed = is_kind["zero"] | (is_kind["to_failure"] & (done < 1.0))
    to_failure = is_kind["to_failure"] & ~missed
    # A count of r stands for n* between r and r + 1: half a repetition up is its middle.
    count = np.where(is_kind["rir"], done + rir + np.where(rir > 0.0, RIR_BIAS, 0.0) + 0.5, done)
    count = np.where(is_kind["one_rm"] | missed, 1.0, count)
    known = is_kind["one_rm"] | is_kind["rir"]
    noise_at = np.where(to_failure, count + 0.5, count)
    count_sd = day_noise(noise_at)
    count_sd = np.where(is_kind["rir"], np.hypot(count_sd, rir_noise(done, rir)), count_sd)
    trust = np.sqrt(np.where(is_kind["at_least_weak"], WEAK_WEIGHT * weight, weight))
    history = History(
        day=day.astype(np.int64),
        form=np.where(is_kind["one_rm"], AT_LOAD, np.where(is_kind["rir"], AT_COUNT, IN_RANGE)),
        log_load=log_load,
        # n* below 0 counts as 0, so "at least none" tells nothing.
        lower=np.where(missed | (~known & (done <= 0.0)), -np.inf, count),
        upper=np.where(missed | known, count, np.where(to_failure, count + 1.0, np.inf)),
        noise_at=noise_at,
        count_sd=np.where(is_kind["one_rm"], 0.0, count_sd / trust),
        load_sd=np.where(is_kind["one_rm"], ONE_RM_LOG_SD / trust, 0.0),
    )
    return history, trust
