"""From the stored rows to the `Safety` of athletes on a date. Reads only, a function of the rows and the date.

Two queries for any number of athletes: what people stated, and what was done in the last four weeks.
"""

from __future__ import annotations

import datetime as dt
import json
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final
from uuid import UUID

from django.db import connection

from athletes.calc import pain
from athletes.calc.absence import (
    LATEST_QUESTION_DAYS,
    SILENT_DAYS,
    ReturnWeek,
    most_volume,
    return_scheme,
    week_of_return,
)
from athletes.calc.caution import WINDOW_DAYS, RecentWork
from athletes.guidance import text
from athletes.safety import CODES, Hold, HoldCode, Safety
from athletes.safety_words import RELEASED_BY, SAFE_ALTERNATIVES
from services.tenancy.context import required_org

OVER_AGE: Final = 45


# One statement for all that people stated: put together by the query builder it costs twenty times as much as it
# takes the database, and every prescription asks for it.
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
    (SELECT json_agg(json_build_object('id', b.id, 'from_date', b.from_date, 'peaks', b.peak_volumes,
        'amounts', b.peak_amounts,
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

_RECENT: Final = """
SELECT athlete_id, movement_id, local_date, sum(repetitions), sum(failure_repetitions), eccentric
FROM athletes_workdone
WHERE org_id = %(org)s AND athlete_id = ANY(%(athletes)s) AND movement_id IS NOT NULL
    AND local_date BETWEEN %(first)s AND %(last)s
GROUP BY athlete_id, movement_id, local_date, eccentric ORDER BY local_date, movement_id, eccentric
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


def safeties(athlete_ids: Collection[UUID], on_date: dt.date) -> dict[UUID, Safety]:
    """By athlete; unknown ids are left out (two queries)."""
    stated = _stated(athlete_ids)
    work = recent_work(athlete_ids, on_date)
    return {athlete_id: _safety(of, work[athlete_id], on_date) for athlete_id, of in stated.items()}


def recent_work(athlete_ids: Collection[UUID], on_date: dt.date) -> dict[UUID, tuple[RecentWork, ...]]:
    """What was done by movement and day in the four weeks that end with the date (one query)."""
    found: dict[UUID, list[RecentWork]] = defaultdict(list)
    first = on_date - dt.timedelta(days=WINDOW_DAYS)
    rows = _rows(_RECENT, {"athletes": list(athlete_ids), "first": first, "last": on_date})
    for athlete_id, movement_id, day, done, failed, eccentric in rows:
        found[athlete_id].append(RecentWork(movement_id, day.toordinal(), done, failed, eccentric))
    return defaultdict(tuple, {athlete: tuple(listed) for athlete, listed in found.items()})


def _rows(statement: str, values: Mapping[str, Any]) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(statement, {"org": required_org(), **values})
        return list(cursor.fetchall())


def _stated(athlete_ids: Collection[UUID]) -> dict[UUID, Stated]:
    found = {}
    for row in _rows(_STATED, {"athletes": list(athlete_ids)}):
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


def _day(value: str) -> dt.date:
    return dt.date.fromisoformat(value)


def _safety(stated: Stated, work: tuple[RecentWork, ...], on_date: dt.date) -> Safety:
    found = [*_report_holds(stated), *_staff_holds(stated)]
    screening = _screening_hold(stated, on_date)
    found += [] if screening is None else [screening]
    returning, asked = _returns(stated, on_date)
    found += asked
    ordered = tuple(sorted(found, key=lambda hold: (CODES.index(hold.code), hold.since)))
    base = Safety(hold=ordered[0] if ordered else None, holds=ordered, recent_failure=work)
    notes = (*_screening_notes(stated, on_date), *_pain_notes(stated, on_date))
    return replace(_with_returns(base, returning), notes=(*notes, *_return_notes(returning)))


def _hold(code: HoldCode, since: dt.date, cause: str | None = None) -> Hold:
    return Hold(
        code, since, RELEASED_BY[code], SAFE_ALTERNATIVES[code], None if cause is None else UUID(cause)
    )


def _screening_hold(stated: Stated, on_date: dt.date) -> Hold | None:
    """A yes holds until it is released, then the expiry holds; without any screening the setting decides.

    A later "no" takes no yes back: a person looks at it first.
    """
    if not stated.screenings:
        return _hold("screening_missing", stated.joined_on) if stated.missing_holds else None
    concerns = [row for row in stated.screenings if row["concern"] and row["id"] not in stated.released]
    if concerns:
        return _hold("screening_yes", _day(concerns[-1]["date"]), concerns[-1]["id"])
    newest = stated.screenings[-1]
    expires_on = _day(newest["expires_on"])
    if newest["voided_on"] or on_date >= expires_on:
        return _hold("screening_expired", _day(newest["voided_on"] or newest["expires_on"]))
    return None


def _screening_notes(stated: Stated, on_date: dt.date) -> Iterator[str]:
    if not stated.screenings:
        if not stated.missing_holds:
            yield text("screening")
    elif (
        stated.born_on is not None and not stated.screenings[-1]["used"] and _age(stated, on_date) > OVER_AGE
    ):
        yield text("over_45_unaccustomed")


def _age(stated: Stated, on_date: dt.date) -> int:
    """In whole years on the date."""
    assert stated.born_on is not None
    before_birthday = (on_date.month, on_date.day) < (stated.born_on.month, stated.born_on.day)
    return on_date.year - stated.born_on.year - before_birthday


def _report_holds(stated: Stated) -> Iterator[Hold]:
    """The newest unreleased report of each kind that holds; releasing it releases the older ones with it."""
    newest: dict[HoldCode, Mapping[str, Any]] = {}
    seen: list[pain.Pain] = []
    for report in stated.reports:
        released = report["id"] in stated.released
        if report["kind"] == "red_flag":
            if not released:
                newest["red_flag"] = report
            continue
        told = pain.Pain(report["site"], report["side"], report["severity"], _day(report["date"]).toordinal())
        if not released and pain.holds(told, seen):
            newest["pain"] = report
        seen.append(told)
    for code, report in newest.items():
        yield _hold(code, _day(report["date"]), report["id"])


def _pain_notes(stated: Stated, on_date: dt.date) -> Iterator[str]:
    recent = {
        report["site"]
        for report in stated.reports
        if report["kind"] == "pain"
        and report["severity"] != 0
        and 0 <= (on_date - _day(report["date"])).days <= pain.CAUTION_DAYS
    }
    if recent:
        places = ", ".join(sorted(site.replace("_", " ") or "place not said" for site in recent))
        yield f"You reported pain ({places}). {text('pain')}"


def _staff_holds(stated: Stated) -> Iterator[Hold]:
    standing = [row for row in stated.staff_holds if row["id"] not in stated.released]
    if standing:
        yield _hold("set_by_staff", _day(standing[-1]["date"]), standing[-1]["id"])


@dataclass(frozen=True)
class Return:
    """A week of a return, or the light version while it is not known whether there was an absence.

    logged_on: the first training that was logged within the days that a person has confirmed as an absence.
    """

    week: ReturnWeek
    number: int | None
    peaks: Mapping[str, float]
    amounts: Mapping[str, Mapping[str, float]]
    logged_on: dt.date | None = None


def _returns(stated: Stated, on_date: dt.date) -> tuple[list[Return], list[Hold]]:
    """The returns that hold on the date, and the absences about which nobody has answered for good."""
    returns, holds = [], []
    for absence in stated.absences:
        if absence["id"] in stated.released or on_date < _day(absence["from_date"]):
            continue
        if absence["trained"] is False:
            returned = _confirmed(absence, on_date)
            returns += [] if returned is None else [returned]
        elif _is_open(absence, on_date):
            week = return_scheme("returning", 0)
            assert week is not None
            returns.append(Return(week, None, absence["peaks"], absence["amounts"]))
            holds.append(_hold("absence_unconfirmed", _day(absence["from_date"]), absence["id"]))
    return returns, holds[-1:]


def _confirmed(absence: Mapping[str, Any], on_date: dt.date) -> Return | None:
    """Weeks count from the first training after it, so that nobody advances by staying away."""
    back_on = _day(absence["back_on"]) if absence["back_on"] else on_date
    week = week_of_return(min(back_on, on_date).toordinal(), on_date.toordinal())
    scheme = return_scheme(absence["kind"], week)
    logged_on = _day(absence["logged_on"]) if absence["logged_on"] else None
    return (
        None if scheme is None else Return(scheme, week + 1, absence["peaks"], absence["amounts"], logged_on)
    )


def _is_open(absence: Mapping[str, Any], on_date: dt.date) -> bool:
    """Whether two weeks passed without training, and less than the longest return has passed since.

    Who trains before anybody has answered stays held: the question is about the days before.
    """
    ended = on_date if absence["trained_on"] is None else min(_day(absence["trained_on"]), on_date)
    last_trained = _day(absence["from_date"]) - dt.timedelta(days=1)
    return (ended - last_trained).days >= SILENT_DAYS and (on_date - ended).days <= LATEST_QUESTION_DAYS


def _with_returns(base: Safety, returns: list[Return]) -> Safety:
    """The strictest of what holds at once, movement by movement."""
    if not returns:
        return base
    strictest = min(returns, key=lambda one: one.week.volume_share)
    caps: dict[UUID, int] = {}
    for one in returns:
        for movement, peak in one.peaks.items():
            cap = most_volume(peak, one.week.volume_share)
            caps[UUID(movement)] = min(cap, caps.get(UUID(movement), cap))
    amounts: dict[tuple[UUID, str], int] = {}
    for one in returns:
        for movement, by_unit in one.amounts.items():
            for unit, peak in by_unit.items():
                key = (UUID(movement), unit)
                amounts[key] = min(most_volume(peak, one.week.volume_share), amounts.get(key, int(peak)))
    return replace(
        base,
        volume_share=strictest.week.volume_share,
        to_failure=all(one.week.to_failure for one in returns),
        returning_week=strictest.number,
        return_week=strictest.week,
        volume_caps=caps,
        amount_caps=amounts,
    )


def _return_notes(returns: list[Return]) -> Iterator[str]:
    numbered = [one for one in returns if one.number is not None]
    if numbered:
        one = min(numbered, key=lambda found: found.week.volume_share)
        failure = "" if one.week.to_failure else ", nothing to failure"
        yield (
            f"Week {one.number} of your return: at most {one.week.volume_share:.0%} of your former volume{failure}. "
            "Go on only if you feel well with it."
        )
    logged = [one.logged_on for one in numbered if one.logged_on is not None]
    if logged:
        yield (
            f"Training of {min(logged)} is logged within an absence that was confirmed. The return goes on as it is;"
            " an owner, a coach or staff of the location looks at it, and may end it by a release with the reason."
        )
