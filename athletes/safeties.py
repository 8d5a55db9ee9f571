"""From the stored rows to the `Safety` of athletes on a date. Reads only, a function of the rows and the date.

Three queries for any number of athletes: what people stated, what was done in the last four weeks, the settings.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final
from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import JSONObject

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
from athletes.models import (
    Absence,
    Athlete,
    HoldRelease,
    Report,
    SafetySettings,
    Screening,
    ScreeningVoid,
    StaffHold,
    WorkDone,
)
from athletes.safety import CODES, Hold, HoldCode, Safety
from athletes.safety_words import RELEASED_BY, SAFE_ALTERNATIVES

OVER_AGE: Final = 45


@dataclass(frozen=True)
class Stated:
    """What people stated of one athlete, oldest first; dates as ISO texts, as the database writes them."""

    joined_on: dt.date
    born_on: dt.date | None
    location_id: UUID
    screenings: list[Mapping[str, Any]]
    released: frozenset[str]
    reports: list[Mapping[str, Any]]
    staff_holds: list[Mapping[str, Any]]
    absences: list[Mapping[str, Any]]


def safeties(athlete_ids: Collection[UUID], on_date: dt.date) -> dict[UUID, Safety]:
    """By athlete; unknown ids are left out (three queries)."""
    stated = _stated(athlete_ids)
    work = recent_work(athlete_ids, on_date)
    settings = settings_by_location()
    return {
        athlete_id: _safety(of, work[athlete_id], missing_holds(settings, of.location_id), on_date)
        for athlete_id, of in stated.items()
    }


def settings_by_location() -> dict[UUID | None, SafetySettings]:
    """The settings that hold at each location that has its own, under None those of the organisation (one query)."""
    rows = SafetySettings.objects.order_by("location_id", "-created_at", "-id").distinct("location_id")
    return {row.location_id: row for row in rows}


def missing_holds(settings: Mapping[UUID | None, SafetySettings], location_id: UUID) -> bool:
    """Whether a missing screening holds an athlete there; without settings it is a caution only."""
    row = settings.get(location_id) or settings.get(None)
    return row is not None and row.missing_screening_holds


def recent_work(athlete_ids: Collection[UUID], on_date: dt.date) -> dict[UUID, tuple[RecentWork, ...]]:
    """What was done by movement and day in the four weeks that end with the date (one query)."""
    found: dict[UUID, list[RecentWork]] = defaultdict(list)
    first = on_date - dt.timedelta(days=WINDOW_DAYS)
    rows = WorkDone.objects.filter(
        athlete_id__in=athlete_ids, movement__isnull=False, local_date__gte=first, local_date__lte=on_date
    )
    together = rows.values("athlete_id", "movement_id", "local_date", "eccentric").annotate(
        done=Sum("repetitions"), failed=Sum("failure_repetitions")
    )
    for row in together.order_by("local_date", "movement_id", "eccentric"):
        found[row["athlete_id"]].append(
            RecentWork(
                row["movement_id"],
                row["local_date"].toordinal(),
                row["done"],
                row["failed"],
                row["eccentric"],
            )
        )
    return defaultdict(tuple, {athlete: tuple(listed) for athlete, listed in found.items()})


def _stated(athlete_ids: Collection[UUID]) -> dict[UUID, Stated]:
    """One query, with a subquery for each kind of statement."""
    voided = ScreeningVoid.objects.filter(screening=OuterRef("id")).values("local_date")
    rows = Athlete.objects.filter(id__in=athlete_ids).annotate(
        _screenings=_listed(
            Screening.objects.annotate(voided_on=Subquery(voided[:1])),
            id="id",
            concern="concern",
            used="used_to_vigorous_effort",
            date="local_date",
            expires_on="expires_on",
            voided_on="voided_on",
        ),
        _releases=_listed(HoldRelease.objects, covers="covers"),
        _reports=_listed(
            Report.objects,
            id="id",
            kind="kind",
            site="site",
            side="side",
            severity="severity",
            date="local_date",
        ),
        _holds=_listed(StaffHold.objects, id="id", date="local_date"),
        _absences=ArraySubquery(_absences(OuterRef("id"))),
    )
    return {row.id: _read(row) for row in rows}


def _listed(rows: Any, **fields: str) -> ArraySubquery:
    mine: QuerySet = rows.filter(athlete=OuterRef("id")).order_by("created_at", "id")
    return ArraySubquery(mine.values(json=JSONObject(**fields)))


def _absences(athlete: OuterRef) -> QuerySet:
    """With the first training since it began, and the first one after the end that was confirmed."""
    trained = WorkDone.objects.filter(athlete=OuterRef("athlete")).order_by("local_date").values("local_date")
    rows = Absence.objects.filter(athlete=athlete).order_by("from_date", "created_at")
    return rows.annotate(
        trained_on=Subquery(trained.filter(local_date__gte=OuterRef("from_date"))[:1]),
        back_on=Subquery(trained.filter(local_date__gt=OuterRef("answers__to_date"))[:1]),
    ).values(
        json=JSONObject(
            id="id",
            from_date="from_date",
            peaks="peak_volumes",
            trained="answers__trained",
            kind="answers__kind",
            to_date="answers__to_date",
            trained_on="trained_on",
            back_on="back_on",
        )
    )


def _read(row: Any) -> Stated:
    return Stated(
        joined_on=row.created_at.date(),
        born_on=row.born_on,
        location_id=row.location_id,
        screenings=row._screenings,
        released=frozenset(cause for release in row._releases for cause in release["covers"]),
        reports=row._reports,
        staff_holds=row._holds,
        absences=row._absences,
    )


def _day(value: str) -> dt.date:
    return dt.date.fromisoformat(value)


def _safety(stated: Stated, work: tuple[RecentWork, ...], missing: bool, on_date: dt.date) -> Safety:
    found = [*_report_holds(stated), *_staff_holds(stated)]
    screening = _screening_hold(stated, missing, on_date)
    found += [] if screening is None else [screening]
    returning, asked = _returns(stated, on_date)
    found += asked
    ordered = tuple(sorted(found, key=lambda hold: (CODES.index(hold.code), hold.since)))
    base = Safety(hold=ordered[0] if ordered else None, holds=ordered, recent_failure=work)
    notes = (*_screening_notes(stated, missing, on_date), *_pain_notes(stated, on_date))
    return replace(_with_returns(base, returning), notes=(*notes, *_return_notes(returning)))


def _hold(code: HoldCode, since: dt.date, cause: str | None = None) -> Hold:
    return Hold(
        code, since, RELEASED_BY[code], SAFE_ALTERNATIVES[code], None if cause is None else UUID(cause)
    )


def _screening_hold(stated: Stated, missing: bool, on_date: dt.date) -> Hold | None:
    """A yes holds until it is released, then the expiry holds; without any screening the setting decides.

    A later "no" takes no yes back: a person looks at it first.
    """
    if not stated.screenings:
        return _hold("screening_missing", stated.joined_on) if missing else None
    concerns = [row for row in stated.screenings if row["concern"] and row["id"] not in stated.released]
    if concerns:
        return _hold("screening_yes", _day(concerns[-1]["date"]), concerns[-1]["id"])
    newest = stated.screenings[-1]
    expires_on = _day(newest["expires_on"])
    if newest["voided_on"] or on_date >= expires_on:
        return _hold("screening_expired", _day(newest["voided_on"] or newest["expires_on"]))
    return None


def _screening_notes(stated: Stated, missing: bool, on_date: dt.date) -> Iterator[str]:
    if not stated.screenings:
        if not missing:
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
        and report["severity"] > 0
        and 0 <= (on_date - _day(report["date"])).days <= pain.CAUTION_DAYS
    }
    if recent:
        places = ", ".join(sorted(site.replace("_", " ") for site in recent))
        yield f"You reported pain ({places}). {text('pain')}"


def _staff_holds(stated: Stated) -> Iterator[Hold]:
    standing = [row for row in stated.staff_holds if row["id"] not in stated.released]
    if standing:
        yield _hold("set_by_staff", _day(standing[-1]["date"]), standing[-1]["id"])


@dataclass(frozen=True)
class Return:
    """A week of a return, or the light version while it is not known whether there was an absence."""

    week: ReturnWeek
    number: int | None
    peaks: Mapping[str, float]


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
            returns.append(Return(week, None, absence["peaks"]))
            holds.append(_hold("absence_unconfirmed", _day(absence["from_date"]), absence["id"]))
    return returns, holds[-1:]


def _confirmed(absence: Mapping[str, Any], on_date: dt.date) -> Return | None:
    """Weeks count from the first training after it, so that nobody advances by staying away."""
    back_on = _day(absence["back_on"]) if absence["back_on"] else on_date
    week = week_of_return(min(back_on, on_date).toordinal(), on_date.toordinal())
    scheme = return_scheme(absence["kind"], week)
    return None if scheme is None else Return(scheme, week + 1, absence["peaks"])


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
    return replace(
        base,
        volume_share=strictest.week.volume_share,
        to_failure=all(one.week.to_failure for one in returns),
        returning_week=strictest.number,
        return_week=strictest.week,
        volume_caps=caps,
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
