"""How far to trust forecasts: the stored checks of many results put together (set-based, one statement)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.db import connection
from django.db.models import Count, QuerySet

from programming.models import Movement
from scoring.calc.trust import BOUNDS, AtBound, Tally, Trust, trust_of
from scoring.models import ForecastCheck

_COLUMNS: Final = ("id", "movement_id", "scored", "unit", "kind", "position", "difference")
_UP_TO: Final = "kind <> 'at_least' AND position <= {bound}"
_AT_BOUND: Final = f"""
    coalesce(sum(ln(1 - 1.0 / at_risk)) FILTER (WHERE at_risk > 1 AND {_UP_TO}), 0)::float8,
    coalesce(sum(1.0 / (at_risk * (at_risk - 1.0))) FILTER (WHERE at_risk > 1 AND {_UP_TO}), 0)::float8,
    coalesce(bool_or(at_risk = 1 AND {_UP_TO}), false),
    count(*) FILTER (WHERE position > {{bound}})"""
# At risk at a position are those that lie there or above; lower bounds that begin there with them (Kaplan and Meier).
_TALLIES: Final = f"""
WITH checks ({", ".join(_COLUMNS)}) AS ({{rows}}),
ranked AS (
    SELECT *, row_number() OVER (
        PARTITION BY movement_id, scored, unit ORDER BY position DESC, (kind = 'at_least') DESC, id
    )::float8 AS at_risk, CASE WHEN kind = 'at_least' THEN (position + 1) / 2 ELSE position END AS middle
    FROM checks
)
SELECT movement_id, scored, unit, count(*), count(*) FILTER (WHERE kind = 'at_least'),
    avg(middle), stddev_samp(middle), count(difference), avg(difference), stddev_samp(difference),
    {", ".join(_AT_BOUND.format(bound=bound) for bound in BOUNDS)}
FROM ranked GROUP BY movement_id, scored, unit
"""
_BEFORE_BOUNDS: Final = 10
_OF_A_BOUND: Final = 4


@dataclass(frozen=True)
class Subject:
    """What was foreseen, in `unit`: what is available fresh of a movement, or the score of blocks by its rule."""

    movement_id: UUID | None
    scored: str
    unit: str


@dataclass(frozen=True)
class Trusted:
    """A subject with its results and what they say. name: of the movement, None for scores."""

    subject: Subject
    name: str | None
    tally: Tally
    trust: Trust


def trusted(checks: QuerySet[ForecastCheck]) -> list[Trusted]:
    """Each subject of the checks that count, movements by name first, then scores (two queries)."""
    tallies = tallies_of(checks.filter(left_out=""))
    movements = [one.movement_id for one in tallies if one.movement_id is not None]
    rows = Movement.objects.filter(id__in=movements).values_list("id", "name")
    names: dict[UUID | None, str] = dict(rows)
    found = [
        Trusted(subject, names.get(subject.movement_id), tally, trust_of(tally))
        for subject, tally in tallies.items()
    ]
    return sorted(
        found, key=lambda one: (one.name is None, one.name or "", one.subject.scored, one.subject.unit)
    )


def tallies_of(checks: QuerySet[ForecastCheck]) -> dict[Subject, Tally]:
    """By subject, whatever the number of rows (one query)."""
    sql, params = checks.order_by().values_list(*_COLUMNS).query.sql_with_params()
    with connection.cursor() as cursor:
        cursor.execute(_TALLIES.format(rows=sql), params)
        return {Subject(row[0], row[1], row[2]): _tally(row) for row in cursor.fetchall()}


def _tally(row: tuple[Any, ...]) -> Tally:
    parts = row[_BEFORE_BOUNDS:]
    bounds = tuple(AtBound(*parts[at : at + _OF_A_BOUND]) for at in range(0, len(parts), _OF_A_BOUND))
    return Tally(row[3], row[4], bounds, *row[5:_BEFORE_BOUNDS])


@dataclass(frozen=True)
class LeftOut:
    """What does not count for one reason: so many first sets and scores, of so many results."""

    parts: int
    results: int


def left_out(checks: QuerySet[ForecastCheck]) -> Mapping[str, LeftOut]:
    """By reason how many do not count (one query)."""
    rows = checks.exclude(left_out="").order_by("left_out").values_list("left_out")
    told = rows.annotate(parts=Count("id"), results=Count("attempt_id", distinct=True))
    return {reason: LeftOut(parts, results) for reason, parts, results in told}
