"""What holds an athlete on a date by what people stated, absences apart."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from typing import Any
from uuid import UUID

from athletes.calc import pain
from athletes.safety import Hold, HoldCode
from athletes.safety_words import AFTER_STRONG_PAIN, RELEASED_BY, SAFE_ALTERNATIVES
from athletes.stated import Stated, day_of


def hold_of(code: HoldCode, since: dt.date, cause: str | None = None, *, strong: bool = False) -> Hold:
    """strong: it is strong pain that holds."""
    meanwhile = AFTER_STRONG_PAIN if strong else SAFE_ALTERNATIVES[code]
    return Hold(code, since, RELEASED_BY[code], meanwhile, None if cause is None else UUID(cause))


def screening_hold(stated: Stated, on_date: dt.date) -> Hold | None:
    """A yes holds until it is released, then the expiry holds; without any screening the setting decides.

    A later "no" takes no yes back: a person looks at it first.
    """
    if not stated.screenings:
        return hold_of("screening_missing", stated.joined_on) if stated.missing_holds else None
    concerns = [row for row in stated.screenings if row["concern"] and row["id"] not in stated.released]
    if concerns:
        return hold_of("screening_yes", day_of(concerns[-1]["date"]), concerns[-1]["id"])
    newest = stated.screenings[-1]
    expires_on = day_of(newest["expires_on"])
    if newest["voided_on"] or on_date >= expires_on:
        return hold_of("screening_expired", day_of(newest["voided_on"] or newest["expires_on"]))
    return None


def report_holds(stated: Stated) -> Iterator[Hold]:
    """The newest unreleased report of each kind that holds; releasing it releases the older ones with it. Meanwhile
    the strongest of them decides what is offered.
    """
    newest: dict[HoldCode, Mapping[str, Any]] = {}
    seen: list[pain.Pain] = []
    strong = False
    for report in stated.reports:
        released = report["id"] in stated.released
        if report["kind"] == "red_flag":
            if not released:
                newest["red_flag"] = report
            continue
        told = pain.Pain(
            report["site"], report["side"], report["severity"], day_of(report["date"]).toordinal()
        )
        if not released and pain.holds(told, seen):
            newest["pain"] = report
            strong = strong or pain.is_strong(report["severity"])
        seen.append(told)
    for code, report in newest.items():
        yield hold_of(code, day_of(report["date"]), report["id"], strong=strong and code == "pain")


def staff_holds(stated: Stated) -> Iterator[Hold]:
    standing = [row for row in stated.staff_holds if row["id"] not in stated.released]
    if standing:
        yield hold_of("set_by_staff", day_of(standing[-1]["date"]), standing[-1]["id"])
