"""What is told of load: of one athlete up to a day, and of the athletes of a group or location."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from statistics import median
from typing import Any, Final
from uuid import UUID

from athletes.calc.load import (
    BASIS,
    EFFORT_QUESTION,
    EFFORT_WORDS,
    METHOD_VERSION,
    Ddof,
    Figure,
)
from athletes.calc.load_means import RATIO_MEANING, SEED, RatioKind
from athletes.calc.running_load import LoadFigures, figures
from athletes.loads import INCOMPLETE, UNREPORTED, Known, known_up_to
from athletes.models import LoadDay

METHOD: Final = "effort times minutes by local day; monotony and strain of seven days"
LEAST_PEOPLE: Final = 5
TOO_FEW: Final = "fewer_than_5_athletes"
DAY: Final = dt.timedelta(days=1)


def newest_full_day(athlete_id: UUID, today: dt.date) -> dt.date:
    """Today where all of it was told, else yesterday: a day that is not over is no unreported one (one query)."""
    told = LoadDay.objects.filter(athlete_id=athlete_id, local_date=today)
    return today if told.exclude(state__in=(INCOMPLETE, UNREPORTED)).exists() else today - DAY


def summary_of(
    athlete_id: UUID, on: dt.date, ddof: Ddof = 0, ratio: RatioKind | None = None
) -> dict[str, Any]:
    """All figures of one athlete (two queries)."""
    known = known_up_to([athlete_id], on)[athlete_id]
    told = figures(known.on(on), ddof, ratio)
    return {
        "athlete": athlete_id,
        "on": on,
        "week": told.week,
        "change": told.change,
        "sums": told.sums,
        "means": {
            "acute": told.acute,
            "chronic": told.chronic,
            "uncoupled_chronic": told.uncoupled_chronic,
            "weighted_acute": told.weighted_acute,
            "weighted_chronic": told.weighted_chronic,
            "seed": SEED,
        },
        "ratio": None if told.ratio is None else _ratio(told.ratio, ratio),
        "method": METHOD,
        "method_version": METHOD_VERSION,
        "inputs": _inputs(known, told.days),
        "effort_question": EFFORT_QUESTION,
        "effort_words": EFFORT_WORDS,
    }


def figures_by_day(
    athlete_id: UUID, first: dt.date, last: dt.date, ddof: Ddof = 0
) -> dict[dt.date, LoadFigures]:
    """What `summary_of` tells of each day from `first` to `last`, both included, read at once (three queries)."""
    state = known_up_to([athlete_id], first)[athlete_id].on(first)
    rows = LoadDay.objects.filter(athlete_id=athlete_id, local_date__gt=first, local_date__lte=last)
    loads = dict(rows.values_list("local_date", "load_au"))
    found = {first: figures(state, ddof)}
    for day in (first + n * DAY for n in range(1, (last - first).days + 1)):
        state = state.after(loads.get(day))
        found[day] = figures(state, ddof)
    return found


def _ratio(figure: Figure, kind: RatioKind | None) -> dict[str, Any]:
    return {
        "kind": kind,
        "value": figure.value,
        "value_reason": figure.reason,
        "meaning": RATIO_MEANING,
    }


def _inputs(known: Known, days: int) -> dict[str, Any]:
    return {"days": days, "newest_day": known.until}


def summary_of_many(athletes: Sequence[tuple[UUID, str]], on: dt.date, ddof: Ddof = 0) -> dict[str, Any]:
    """Of athletes by id and name (two queries, whatever their number)."""
    known = known_up_to([athlete_id for athlete_id, _ in athletes], on)
    rows, weeks = [], []
    for athlete_id, name in athletes:
        told = figures(known[athlete_id].on(on), ddof)
        if told.week.load.value is not None:
            weeks.append(told.week.load.value)
        rows.append(
            {
                "athlete": athlete_id,
                "name": name,
                "week_load_au": told.week.load,
                "reported_days": told.week.reported_days,
                "monotony": told.week.monotony,
                "change": told.change,
                "weighted_acute": told.weighted_acute,
                "weighted_chronic": told.weighted_chronic,
                "inputs": _inputs(known[athlete_id], told.days),
            }
        )
    return {
        "on": on,
        "athletes": rows,
        "told": len(weeks),
        "median_week_load_au": middle(weeks),
        "basis": BASIS,
        "ddof": ddof,
        "method": METHOD,
        "method_version": METHOD_VERSION,
    }


def middle(values: Sequence[float]) -> Figure:
    """The median, of five people or more."""
    return Figure(median(values)) if len(values) >= LEAST_PEOPLE else Figure(None, TOO_FEW)
