"""What people stated of athletes, and what was done of late: two statements for any number of athletes."""

from __future__ import annotations

import datetime as dt
import json
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from athletes.calc.absence import PEAK_DAYS
from athletes.calc.caution import WINDOW_DAYS, RecentWork
from services.tenancy.context import required_org
from services.tenancy.cursors import kept_cursor

# One statement for all that people stated: put together by the query builder it costs twenty times as much as it
# takes the database, and every prescription asks for it. The peaks before an absence are those of now: one may be
# reported before a worker has noted the last test or result. What was noted then counts where nothing is noted now.
_STATED: Final = """
SELECT a.id, a.created_at, a.born_on,
    (SELECT s.missing_screening_holds FROM athletes_safetysettings s
     WHERE s.org_id = %(org)s AND (s.location_id = a.location_id OR s.location_id IS NULL)
     ORDER BY s.location_id NULLS LAST, s.created_at DESC, s.id DESC LIMIT 1),
    (SELECT json_agg(json_build_object('id', s.id, 'concern', s.concern, 'used', s.used_to_vigorous_effort,
        'date', s.local_date, 'expires_on', s.expires_on, 'voided_on', v.local_date) ORDER BY s.created_at, s.id)
     FROM athletes_screening s
     LEFT JOIN athletes_screeningvoid v ON v.org_id = %(org)s AND v.screening_id = s.id
     WHERE s.org_id = %(org)s AND s.athlete_id = a.id),
    (SELECT json_agg(r.covers) FROM athletes_holdrelease r WHERE r.org_id = %(org)s AND r.athlete_id = a.id),
    (SELECT json_agg(json_build_object('id', r.id, 'kind', r.kind, 'site', r.site, 'side', r.side,
        'severity', r.severity, 'date', r.local_date) ORDER BY r.created_at, r.id)
     FROM athletes_report r WHERE r.org_id = %(org)s AND r.athlete_id = a.id),
    (SELECT json_agg(json_build_object('id', h.id, 'date', h.local_date) ORDER BY h.created_at, h.id)
     FROM athletes_staffhold h WHERE h.org_id = %(org)s AND h.athlete_id = a.id),
    (SELECT json_agg(json_build_object('id', b.id, 'from_date', b.from_date,
        'peaks', b.peak_volumes || coalesce((SELECT jsonb_object_agg(p.movement_id, p.most) FROM
            (SELECT d.movement_id, max(d.repetitions) AS most FROM athletes_workdone d
             WHERE d.org_id = %(org)s AND d.athlete_id = a.id AND d.movement_id IS NOT NULL AND d.repetitions > 0
                AND NOT d.doubted
                AND d.local_date < b.from_date AND d.local_date >= b.from_date - %(peak_days)s
             GROUP BY d.movement_id) p), '{}'),
        'amounts', b.peak_amounts || coalesce((SELECT jsonb_object_agg(p.movement_id, p.units) FROM
            (SELECT u.movement_id, jsonb_object_agg(u.unit, u.most) AS units FROM
                (SELECT d.movement_id, e.key AS unit, max(e.value::float8) AS most
                 FROM athletes_workdone d CROSS JOIN LATERAL jsonb_each_text(d.amounts) e
                 WHERE d.org_id = %(org)s AND d.athlete_id = a.id AND d.movement_id IS NOT NULL
                    AND NOT d.doubted AND d.local_date < b.from_date AND d.local_date >= b.from_date - %(peak_days)s
                 GROUP BY d.movement_id, e.key) u
             GROUP BY u.movement_id) p), '{}'),
        'trained', w.trained, 'kind', w.kind, 'to_date', w.to_date,
        'trained_on', (SELECT min(d.local_date) FROM athletes_workdone d
            WHERE d.org_id = %(org)s AND d.athlete_id = a.id AND d.local_date >= b.from_date),
        'back_on', (SELECT min(d.local_date) FROM athletes_workdone d
            WHERE d.org_id = %(org)s AND d.athlete_id = a.id AND d.local_date > w.to_date),
        'logged_on', (SELECT min(d.local_date) FROM athletes_workdone d
            WHERE d.org_id = %(org)s AND d.athlete_id = a.id AND d.source <> 'statement'
                AND d.local_date BETWEEN b.from_date AND w.to_date))
        ORDER BY b.from_date, b.created_at)
     FROM athletes_absence b
     LEFT JOIN athletes_absenceanswer w ON w.org_id = %(org)s AND w.absence_id = b.id
     WHERE b.org_id = %(org)s AND b.athlete_id = a.id)
FROM athletes_athlete a WHERE a.org_id = %(org)s AND a.id = ANY(%(athletes)s)
"""
# Of one athlete, whom a recompute asks for: with a list, of whose length it cannot know, PostgreSQL makes a new plan
# of all this each time.
_STATED_OF_ONE: Final = _STATED.replace("a.id = ANY(%(athletes)s)", "a.id = %(athlete)s")
_RECENT: Final = """
SELECT athlete_id, movement_id, local_date, sum(repetitions), sum(failure_repetitions), eccentric, doubted
FROM athletes_workdone
WHERE org_id = %(org)s AND athlete_id = ANY(%(athletes)s) AND movement_id IS NOT NULL
    AND local_date BETWEEN %(first)s AND %(last)s
GROUP BY athlete_id, movement_id, local_date, eccentric, doubted
ORDER BY local_date, movement_id, eccentric, doubted
"""


@dataclass(frozen=True)
class Stated:
    """What people stated of one athlete, oldest first; dates as ISO texts, as the database writes them in JSON.

    missing_holds: whether a missing screening holds an athlete there; without settings it is a caution only.
    """

    joined_on: dt.date
    born_on: dt.date | None
    missing_holds: bool
    screenings: list[Mapping[str, Any]]
    released: frozenset[str]
    reports: list[Mapping[str, Any]]
    staff_holds: list[Mapping[str, Any]]
    absences: list[Mapping[str, Any]]


def recent_work(
    athlete_ids: Collection[UUID], dates: Collection[dt.date]
) -> dict[dt.date, dict[UUID, tuple[RecentWork, ...]]]:
    """By date and athlete what was done in the four weeks that end with the date (one query)."""
    window = dt.timedelta(days=WINDOW_DAYS)
    rows: list[tuple[Any, ...]] = []
    if dates:
        span = {"first": min(dates) - window, "last": max(dates)}
        rows = _rows(_RECENT, {"athletes": list(athlete_ids), **span})
    found: dict[dt.date, dict[UUID, tuple[RecentWork, ...]]] = {}
    for on_date in dates:
        listed: dict[UUID, list[RecentWork]] = defaultdict(list)
        for athlete_id, movement_id, day, *done in rows:
            if on_date - window <= day <= on_date:
                listed[athlete_id].append(RecentWork(movement_id, day.toordinal(), *done))
        found[on_date] = defaultdict(tuple, {athlete: tuple(work) for athlete, work in listed.items()})
    return found


def _rows(statement: str, values: Mapping[str, Any]) -> list[tuple[Any, ...]]:
    cursor = kept_cursor()
    cursor.execute(statement, {"org": required_org(), **values})
    return list(cursor.fetchall())


def stated_of(athlete_ids: Collection[UUID]) -> dict[UUID, Stated]:
    """By athlete; unknown ids are left out (one query)."""
    found = {}
    ids = list(athlete_ids)
    whom = {"athlete": ids[0]} if len(ids) == 1 else {"athletes": ids}
    for row in _rows(_STATED_OF_ONE if len(ids) == 1 else _STATED, {**whom, "peak_days": PEAK_DAYS}):
        athlete_id, created_at, born_on, missing, *listed = row
        screenings, releases, reports, holds, absences = (_read(one) for one in listed)
        released = frozenset(cause for covers in releases for cause in covers)
        found[athlete_id] = Stated(
            created_at.date(), born_on, bool(missing), screenings, released, reports, holds, absences
        )
    return found


def _read(value: Any) -> list[Any]:
    """A JSON column of a plain cursor comes as its text, or as what it holds, by how the driver is set."""
    return list(json.loads(value) if isinstance(value, str) else value or ())


def day_of(value: str) -> dt.date:
    """A date as it stands in `Stated`."""
    return dt.date.fromisoformat(value)
