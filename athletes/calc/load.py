"""Load as effort times minutes: of a session, of a day, of a week with its monotony and strain.

    load of a session   L = effort (0 to 10) * minutes                                      [AU, arbitrary units]
    load of a day       the sum over its sessions, summed before anything else is made of it
    monotony            mean of the daily loads of a week / their SD                        [no unit]
    strain              load of the week * monotony                                         [AU]

Sources: Foster et al. 2001, J Strength Cond Res 15(1):109-115 (session load); Foster 1998, Med Sci Sports Exerc
30(7):1164-1168 (monotony from the daily mean, strain). No paper says which SD. Here a week is seven days and all of
it is known, so ddof is 0 unless asked otherwise; the seven-day SD with ddof 1 is sqrt(7/6) of it. The one published
worked example (2001, table 5) comes out only from its nine sessions with ddof 0, against its own definition by days,
so `BASIS` and ddof are told with every monotony.

A day of rest that somebody confirmed has the load 0. A day of which nobody said anything is not known, which is not
0: what needs all seven days is then not told. Where all days are alike there is no monotony (0 / 0, not infinity).
"""

from collections.abc import Iterable, Sequence
from math import isfinite
from typing import Final, Literal, NamedTuple

import numpy as np

from programming.calc.arrays import BoolArray, FloatArray

METHOD_VERSION: Final = 1
BASIS: Final = "daily"
WEEK_DAYS: Final = 7
LEAST_EFFORT, MOST_EFFORT = 0.0, 10.0
MOST_MINUTES: Final = 1440.0
ALIKE: Final = 1e-9
"""Days whose loads differ by less than this share of the greatest differ by rounding alone."""

Ddof = Literal[0, 1]
DDOFS: Final[tuple[Ddof, ...]] = (0, 1)

EFFORT_QUESTION: Final = "Taken as a whole, how much did this session ask of you?"
EFFORT_WORDS: Final = (
    "Nothing that I noticed",
    "Next to nothing",
    "Could have gone on for hours",
    "Pleasant, and I talked all the time",
    "I worked, and still spoke in whole sentences",
    "I worked, and spoke a few words at a time",
    "It took an effort of will now and then",
    "It took an effort of will most of the time",
    "A good part was close to what I can do",
    "There was very little left",
    "There was nothing left",
)
"""Our own words for 0 to 10, which no published scale is read from; numbers between two of them may be given."""

NO_VARIANCE: Final = "zero_variance"
UNREPORTED: Final = "unreported_days"
TOO_SHORT: Final = "fewer_than_{days}_days"


class Figure(NamedTuple):
    """A number, or None and why there is none."""

    value: float | None
    reason: str | None = None


class Days(NamedTuple):
    """Consecutive days from first_day (ordinal of a date): loads (D,) in AU, 0 where not known; known (D,)."""

    first_day: int
    loads: FloatArray
    known: BoolArray


class Week(NamedTuple):
    """Seven days. reported_load: of the days that are known, so many of them; the rest needs all of them."""

    reported_load: float
    reported_days: int
    load: Figure
    daily_mean: Figure
    daily_sd: Figure
    monotony: Figure
    strain: Figure
    ddof: Ddof
    basis: str = BASIS


def session_load(effort: float, minutes: float) -> float:
    """Load of one session [AU]. Effort 0 is a session of no load.

    Raises ValueError for an effort outside 0 to 10 and for minutes outside 0 to a day.
    """
    if not LEAST_EFFORT <= effort <= MOST_EFFORT:
        raise ValueError(f"effort must lie in 0 to 10, got {effort!r}")
    if not 0.0 <= minutes <= MOST_MINUTES:
        raise ValueError(f"minutes must lie in 0 to {MOST_MINUTES:g}, got {minutes!r}")
    return effort * minutes


def days_of(sessions: Sequence[tuple[int, float]], rest_days: Iterable[int] = ()) -> Days | None:
    """The days from the first to the last of which anything is known; None without any.

    sessions: (ordinal of the local date on which it began, load in AU). A day of rest on which there was a session
    is that session's day. Raises ValueError for a load that is negative or not finite.
    """
    rest = set(rest_days)
    if any(not (isfinite(load) and load >= 0.0) for _, load in sessions):
        raise ValueError("loads must be at least 0 and finite")
    named = rest.union(day for day, _ in sessions)
    if not named:
        return None
    first, last = min(named), max(named)
    loads, known = np.zeros(last - first + 1), np.zeros(last - first + 1, dtype=np.bool_)
    np.add.at(loads, [day - first for day, _ in sessions], [load for _, load in sessions])
    known[[day - first for day in named]] = True
    return Days(first, loads, known)


def are_alike(loads: Sequence[float]) -> bool:
    """Whether the loads differ by no more than rounding."""
    return max(loads) - min(loads) <= ALIKE * max(loads)


def week_of(loads: Sequence[float | None], ddof: Ddof = 0) -> Week:
    """The week of seven days in their order, None: not known.

    Raises ValueError unless there are seven, and for another ddof.
    """
    if len(loads) != WEEK_DAYS or ddof not in DDOFS:
        raise ValueError(f"a week has seven days and ddof is 0 or 1, got {len(loads)} days and {ddof!r}")
    told = [load for load in loads if load is not None]
    if len(told) < WEEK_DAYS:
        missing = Figure(None, UNREPORTED)
        return Week(sum(told), len(told), missing, missing, missing, missing, missing, ddof)
    total = sum(told)
    mean = total / WEEK_DAYS
    if are_alike(told):
        alike = Figure(None, NO_VARIANCE)
        return Week(total, WEEK_DAYS, Figure(total), Figure(mean), Figure(0.0), alike, alike, ddof)
    sd = float((sum((load - mean) ** 2 for load in told) / (WEEK_DAYS - ddof)) ** 0.5)
    monotony, strain = Figure(mean / sd), Figure(total * mean / sd)
    return Week(total, WEEK_DAYS, Figure(total), Figure(mean), Figure(sd), monotony, strain, ddof)
