"""What a published model makes of an athlete's recorded load and of a plan; illustrative, and never stored."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any, Final
from uuid import UUID

import numpy as np

from athletes.calc.impulse import (
    MEANING,
    MORTON_1990,
    SOURCE,
    Constants,
    Convention,
    course,
    turning,
)
from athletes.load_told import DAY
from athletes.models import LoadDay

RECORDED_DAYS: Final = 180
"""Four times the longer time constant: what lies before has faded to a fiftieth."""
METHOD: Final = "fitness and fatigue, each an exponentially fading sum of daily loads"
METHOD_VERSION: Final = 1


def what_if(
    athlete_id: UUID,
    today: dt.date,
    planned: Sequence[float],
    convention: Convention = "inclusive",
    constants: Constants = MORTON_1990,
) -> dict[str, Any]:
    """The course over the last 180 days and the planned ones, from tomorrow on (one query).

    Days whose load is not known count as 0 here, and are counted: the course then lies too low.
    """
    first = today - (RECORDED_DAYS - 1) * DAY
    rows = LoadDay.objects.filter(athlete_id=athlete_id, local_date__gte=first, local_date__lte=today)
    known = {day: load for day, load in rows.values_list("local_date", "load_au") if load is not None}
    begun = min(known, default=today)
    days = [begun + number * DAY for number in range((today - begun).days + 1)]
    loads = [known.get(day, 0.0) for day in days] + list(planned)
    days += [today + (number + 1) * DAY for number in range(len(planned))]
    told = course(np.array(loads, dtype=np.float64), constants, convention)
    columns = (told.fitness.tolist(), told.fatigue.tolist(), told.performance.tolist())
    return {
        "athlete": athlete_id,
        "days": [
            {
                "local_date": day,
                "is_planned": day > today,
                "load_au": load,
                "fitness_au": fitness,
                "fatigue_au": fatigue,
                "difference_au": difference,
            }
            for day, load, fitness, fatigue, difference in zip(days, loads, *columns, strict=True)
        ],
        "days_not_known": (today - begun).days + 1 - len(known),
        "turning": _turning(constants),
        "constants": vars(constants),
        "convention": convention,
        "meaning": MEANING,
        "published_in": SOURCE,
        "method": METHOD,
        "method_version": METHOD_VERSION,
    }


def _turning(constants: Constants) -> dict[str, float] | None:
    found = turning(constants)
    return None if found is None else {"neutral_days": found.neutral, "greatest_days": found.greatest}
