"""From the stored rows to the `Safety` of athletes on a date. Reads only, a function of the rows and the date.

Two queries for any number of athletes: what people stated, and what was done in the last four weeks.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterator
from dataclasses import replace
from typing import Final
from uuid import UUID

from athletes.calc import pain
from athletes.calc.caution import RecentWork
from athletes.guidance import text
from athletes.holds import report_holds, screening_hold, staff_holds
from athletes.returns import return_notes, returns_on, with_returns
from athletes.safety import CODES, Safety
from athletes.stated import Stated, day_of, recent_work, stated_of

OVER_AGE: Final = 45


def safeties(athlete_ids: Collection[UUID], on_date: dt.date) -> dict[UUID, Safety]:
    """By athlete; unknown ids are left out (two queries)."""
    return safeties_by_date(athlete_ids, [on_date])[on_date]


def safeties_by_date(
    athlete_ids: Collection[UUID], dates: Collection[dt.date]
) -> dict[dt.date, dict[UUID, Safety]]:
    """By date and athlete; unknown ids are left out (two queries, whatever the number of dates)."""
    stated = stated_of(athlete_ids)
    work = recent_work(athlete_ids, dates)
    return {
        day: {athlete_id: _safety(of, work[day][athlete_id], day) for athlete_id, of in stated.items()}
        for day in dates
    }


def _safety(stated: Stated, work: tuple[RecentWork, ...], on_date: dt.date) -> Safety:
    found = [*report_holds(stated), *staff_holds(stated)]
    screening = screening_hold(stated, on_date)
    found += [] if screening is None else [screening]
    returning, asked = returns_on(stated, on_date)
    found += asked
    ordered = tuple(sorted(found, key=lambda hold: (CODES.index(hold.code), hold.since)))
    hold, age = ordered[0] if ordered else None, _age(stated, on_date)
    base = Safety(hold=hold, holds=ordered, recent_failure=work, age=age)
    notes = (*_screening_notes(stated, on_date), *_pain_notes(stated, on_date))
    return replace(with_returns(base, returning), notes=(*notes, *return_notes(returning)))


def _screening_notes(stated: Stated, on_date: dt.date) -> Iterator[str]:
    if not stated.screenings:
        if not stated.missing_holds:
            yield text("screening")
    elif not stated.screenings[-1]["used"] and (_age(stated, on_date) or 0) > OVER_AGE:
        yield text("over_45_unaccustomed")


def _age(stated: Stated, on_date: dt.date) -> int | None:
    """In whole years on the date; None where the birth date is not known."""
    if stated.born_on is None:
        return None
    before_birthday = (on_date.month, on_date.day) < (stated.born_on.month, stated.born_on.day)
    return on_date.year - stated.born_on.year - before_birthday


def _pain_notes(stated: Stated, on_date: dt.date) -> Iterator[str]:
    recent = {
        report["site"]
        for report in stated.reports
        if report["kind"] == "pain"
        and report["severity"] != 0
        and 0 <= (on_date - day_of(report["date"])).days <= pain.CAUTION_DAYS
    }
    if recent:
        places = ", ".join(sorted(site.replace("_", " ") or "place not said" for site in recent))
        yield f"You reported pain ({places}). {text('pain')}"
