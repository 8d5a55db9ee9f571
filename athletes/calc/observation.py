"""What was seen of an athlete's capacity in a movement, and how certain each kind of sight is.

n* is the repetitions available at a load, N = n* + noise what the day made of it. A count r to failure says
r <= N < r + 1; a set that was stopped at r as planned says N >= r; not one repetition says N < 1.
"""

import math
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
from programming.calc.arrays import FloatArray, IntArray, compiled, inlined

Kind = Literal["one_rm", "to_failure", "rir", "at_least", "at_least_weak", "zero"]
KINDS: Final[tuple[Kind, ...]] = get_args(Kind)
MOST_COUNTED: Final = 2000.0

# How the filter reads an observation: a load or a count known with error, or a range of counts.
AT_LOAD: Final = 0
AT_COUNT: Final = 1
IN_RANGE: Final = 2

CODE: Final[dict[str, int]] = {kind: index for index, kind in enumerate(KINDS)}
KIND_RANK: Final = np.array([0, 2, 1, 3, 4, 5])
"""Which kind is filtered first within a day, by its place in KINDS."""
ONE_RM: Final = CODE["one_rm"]
TO_FAILURE: Final = CODE["to_failure"]
RIR: Final = CODE["rir"]
WEAK: Final = CODE["at_least_weak"]
ZERO: Final = CODE["zero"]


@dataclass(frozen=True, slots=True)
class Observation:
    """One thing seen on one day (any running day number) at an effective load in kg.

    one_rm: the load is the one-repetition maximum. to_failure: this many repetitions and not one more. rir:
    stopped with `rir` repetitions thought to be left. at_least: stopped as planned. at_least_weak: ended by
    pain, a judge or the clock. zero: not one repetition. weight in (0, 1] divides the variance of the noise.
    variation: which version of the movement, "" where nobody says. hour of the day, 0 to 24. body_mass_kg on that
    day, where it is known. spent: of a set to failure how many of the repetitions that are there fresh earlier work
    had taken, known up to the SD spent_sd (`athletes.calc.tired`). Raises ValueError for what cannot have been seen.
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
    spent: float = 0.0
    spent_sd: float = 0.0

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
        if self.spent != 0.0 or self.spent_sd != 0.0:
            self._check_spent()

    def _check_spent(self) -> None:
        if self.kind != "to_failure" or self.repetitions < 1.0:
            raise ValueError(
                f"spent belongs to one repetition or more to failure, got {self.repetitions!r} {self.kind!r}"
            )
        for name, value in (("spent", self.spent), ("spent_sd", self.spent_sd)):
            if not (math.isfinite(value) and 0.0 <= value <= MOST_COUNTED):
                raise ValueError(f"{name} must lie in 0 to {MOST_COUNTED:g}, got {value!r}")


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


def day_noise(repetitions: FloatArray) -> FloatArray:
    """Day-to-day SD of a set to failure, in repetitions."""
    return TEST_NOISE_BASE + TEST_NOISE_SLOPE * repetitions


def rir_noise(done: float, rir: float) -> float:
    """SD of repetitions done plus repetitions said to be left, in repetitions; without the day's own noise."""
    total = done + rir
    beyond = max(total - RIR_STEEP_FROM, 0.0)
    return (
        RIR_SD_BASE
        + RIR_SD_PER_RIR * rir
        + RIR_SD_PER_REPETITION * (total - beyond)
        + RIR_SD_PER_REPETITION_BEYOND * beyond
    )


# The same to compiled callers: compiled for Python's, each kind of argument would cost a compilation.
noise_of_the_day, said_noise = inlined(day_noise), inlined(rir_noise)


def history_of(
    day: IntArray,
    kind: IntArray,
    log_load: FloatArray,
    done: FloatArray,
    rir: FloatArray,
    weight: FloatArray,
    variation: IntArray,
    variations: int,
    spent: FloatArray,
    spent_sd: FloatArray,
) -> tuple[History, NDArray[np.bool_]]:
    """The columns (M,) of sights in the order in which they are filtered, and whether to keep each (covering).

    kind is the place in KINDS, rir 0 without a statement, variation the number of one of so many `variations`, spent
    and spent_sd 0 of what nothing was spent before.
    """
    form, lower, upper, noise_at, count_sd, load_sd, trust = _bounds(
        kind, done + spent, rir, weight, spent_sd
    )
    history = History(day, form, log_load, lower, upper, noise_at, count_sd, load_sd)
    return history, _telling(history, trust, variation if variations > 1 else None)


def _telling(history: History, trust: FloatArray, variation: IntArray | None) -> NDArray[np.bool_]:
    """What to keep; of different variations none makes another needless."""
    if variation is None:
        return telling(history.day, history.log_load, history.lower, history.upper, trust)
    keep = np.zeros(history.day.size, dtype=np.bool_)
    for one in np.unique(variation):
        of_one = variation == one
        some = history.picked(of_one)
        keep[of_one] = telling(some.day, some.log_load, some.lower, some.upper, trust[of_one])
    return keep


@compiled
def _bounds(
    kind: IntArray, done: FloatArray, rir: FloatArray, weight: FloatArray, spent_sd: FloatArray
) -> tuple[IntArray, FloatArray, FloatArray, FloatArray, FloatArray, FloatArray, FloatArray]:
    """(form, lower, upper, noise_at, count_sd, load_sd) of a History, and the root of each one's trust, each (M,).

    done holds what was spent before, too.
    """
    size = kind.size
    form, noise_at, trust = np.full(size, IN_RANGE), np.empty(size), np.empty(size)
    lower, upper = np.empty(size), np.full(size, np.inf)
    count_sd, load_sd = np.zeros(size), np.zeros(size)
    for i in range(size):
        trust[i] = math.sqrt(WEAK_WEIGHT * weight[i] if kind[i] == WEAK else weight[i])
        # Less than one repetition to failure is a missed single: n* may lie anywhere below 1.
        missed = kind[i] == ZERO or (kind[i] == TO_FAILURE and done[i] < 1.0)
        count = done[i]
        if kind[i] == RIR:
            # A count of r stands for n* between r and r + 1: half a repetition up is its middle.
            count = done[i] + rir[i] + (RIR_BIAS if rir[i] > 0.0 else 0.0) + 0.5
        elif kind[i] == ONE_RM or missed:
            count = 1.0
        lower[i], noise_at[i] = count, count
        if kind[i] == ONE_RM or kind[i] == RIR:
            form[i], upper[i] = AT_LOAD if kind[i] == ONE_RM else AT_COUNT, count
        elif missed:
            lower[i], upper[i] = -np.inf, count
        elif kind[i] == TO_FAILURE:
            upper[i], noise_at[i] = count + 1.0, count + 0.5
        elif done[i] <= 0.0:  # n* below 0 counts as 0, so "at least none" tells nothing
            lower[i] = -np.inf
        if kind[i] == ONE_RM:
            load_sd[i] = ONE_RM_LOG_SD / trust[i]
        else:
            said = said_noise(done[i], rir[i]) if kind[i] == RIR else spent_sd[i]
            count_sd[i] = math.hypot(noise_of_the_day(noise_at[i]), said) / trust[i]
    return form, lower, upper, noise_at, count_sd, load_sd, trust
