"""What was lifted of late, below which no number is told: a maximum of 97 kg is no news to who has lifted 100.

The estimate is of an ordinary day, and a lift is of one day, perhaps a good one: so its median may lie below what was
lifted. That is right for planning, which goes on using the estimate, and wrong to tell. A lift stands for four weeks
(ours: untrained, a maximum keeps for about three, McMaster et al. 2013, from memory), lowered by what a confirmed
absence has taken since, and until a later day shows less: a failure, a maximum or a set with nothing in reserve that
has no more repetitions under no more load.
"""

import math
from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from athletes.calc.decay import Absence, lost_until
from athletes.calc.observation import Observation

STANDS_DAYS: Final = 28
LIFTED: Final = frozenset({"one_rm", "to_failure", "rir", "at_least"})
"""What ended by pain, a judge or the clock is no lift that counts."""


class Lift(NamedTuple):
    """So many repetitions that were done with an effective load in kg; variation "": nobody says which."""

    day: int
    load_kg: float
    repetitions: float
    variation: str


def lifts_of(observations: Sequence[Observation], day: int) -> tuple[Lift, ...]:
    """The lifts that stand on `day`, without those that another one implies, by day and load."""
    done = {
        Lift(one.day, one.load_kg, max(one.repetitions, float(one.kind == "one_rm")), one.variation)
        for one in observations
        if one.kind in LIFTED and day - STANDS_DAYS <= one.day <= day
    }
    lifts = [one for one in done if one.repetitions >= 1.0 and not _is_disproved(one, observations, day)]
    return tuple(
        sorted(one for one in lifts if not any(_implies(other, one) for other in lifts if other != one))
    )


def _is_disproved(lift: Lift, observations: Sequence[Observation], day: int) -> bool:
    """Whether a later day up to `day` ended with no more repetitions under no more load, and with less of one."""
    return any(
        lift.day < one.day <= day
        and one.variation == lift.variation
        and (most := _most(one)) is not None
        and one.load_kg <= lift.load_kg
        and most <= lift.repetitions
        and (one.load_kg, most) != (lift.load_kg, lift.repetitions)
        for one in observations
    )


def _most(one: Observation) -> float | None:
    """The repetitions after which there was not one more; None where it tells no such thing.

    Of a tired athlete it does not: less of a lift at the end of a session takes nothing from it.
    """
    if one.spent > 0.0:
        return None
    if one.kind == "zero":
        return 0.0
    if one.kind == "one_rm":
        return 1.0
    ended = one.kind == "to_failure" or (one.kind == "rir" and one.rir == 0.0)
    return one.repetitions if ended else None


def _implies(one: Lift, other: Lift) -> bool:
    """Whether `one` says all that `other` says, for as long."""
    return (
        one.variation == other.variation
        and one.day >= other.day
        and one.load_kg >= other.load_kg
        and one.repetitions >= other.repetitions
    )


def heaviest(
    lifts: Sequence[Lift], repetitions: float, day: int, absences: Sequence[Absence], variation: str
) -> float | None:
    """The heaviest load in kg that was lifted so often, as it stands on `day`; None without such a lift."""
    loads = [
        _on(one, day, absences) for one in _standing(lifts, day, variation) if one.repetitions >= repetitions
    ]
    return max(loads, default=None)


def most_repetitions(
    lifts: Sequence[Lift], load_kg: float, day: int, absences: Sequence[Absence], variation: str
) -> float:
    """The most repetitions that were done with an effective load in kg or more, as it stands on `day`; 0 without."""
    counts = [
        one.repetitions
        for one in _standing(lifts, day, variation)
        if _on(one, day, absences) >= load_kg * (1.0 - 1e-9)
    ]
    return max(counts, default=0.0)


def _standing(lifts: Sequence[Lift], day: int, variation: str) -> list[Lift]:
    return [one for one in lifts if one.variation in ("", variation) and 0 <= day - one.day <= STANDS_DAYS]


def _on(lift: Lift, day: int, absences: Sequence[Absence]) -> float:
    """The load of a lift on a later day, in kg."""
    if not absences:
        return lift.load_kg
    fall, _ = lost_until(absences, np.array([lift.day, day], dtype=np.float64))
    return lift.load_kg * math.exp(-float(fall[1] - fall[0]))
