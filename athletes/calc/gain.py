"""What training adds while nobody looks: ln L10 rises by so much a day, as the organisation's athletes do on average.

The counterpart of absence (``athletes.calc.decay``): both move the mean that is expected, and tests tell what became
of it. A day of confirmed absence adds nothing. Nobody knows whether somebody who was not seen for long still trains,
so behind a sight the gain goes on for LASTS_DAYS at most.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from athletes.calc.decay import Absence, away_until
from programming.calc.arrays import FloatArray

LASTS_DAYS: Final = 42.0
"""Six weeks; ours."""


def gained(gain: float, absences: Sequence[Absence], seen: FloatArray, at: FloatArray) -> FloatArray:
    """What `gain` a day has added to ln L10 (T,) since the first sight, days as of `gaining_days`."""
    if not gain or not seen.size:
        return np.zeros(at.shape)
    return gain * gaining_days(absences, seen, at)


def gaining_days(absences: Sequence[Absence], seen: FloatArray, at: FloatArray) -> FloatArray:
    """Days of gain since the first of the days on which something was seen (M,), ascending, up to each of `at` (T,),
    none of which lies before it.
    """
    present = seen - away_until(absences, seen)
    gathered = np.concatenate([[0.0], np.cumsum(np.minimum(np.diff(present), LASTS_DAYS))])
    before = np.searchsorted(seen, at, side="right") - 1
    since = at - away_until(absences, at) - present[before]
    days: FloatArray = gathered[before] + np.minimum(since, LASTS_DAYS)
    return days
