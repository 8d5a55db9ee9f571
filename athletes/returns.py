"""Returns after an absence: which hold on a date, and what they leave of the work."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from athletes.calc.absence import (
    LATEST_QUESTION_DAYS,
    LEAST_BASELINE,
    SILENT_DAYS,
    ReturnWeek,
    baseline,
    most_volume,
    return_scheme,
    week_of_return,
)
from athletes.holds import hold_of
from athletes.safety import Hold, Safety
from athletes.stated import Stated, day_of


@dataclass(frozen=True)
class Return:
    """A week of a return, or the light version while it is not known whether there was an absence.

    logged_on: the first training that was logged within the days that a person has confirmed as an absence. least:
    repetitions of a movement that its share is of at least.
    """

    week: ReturnWeek
    number: int | None
    peaks: Mapping[str, float]
    amounts: Mapping[str, Mapping[str, float]]
    logged_on: dt.date | None = None
    least: float = LEAST_BASELINE["returning"]

    @property
    def has_small_peaks(self) -> bool:
        """Whether a movement was done so little before that its share is of an ordinary beginning."""
        return any(baseline(peak, self.least) > peak for peak in self.peaks.values())


def returns_on(stated: Stated, on_date: dt.date) -> tuple[list[Return], list[Hold]]:
    """The returns that hold on the date, and the absences about which nobody has answered for good."""
    returns, holds = [], []
    for absence in stated.absences:
        if absence["id"] in stated.released or on_date < day_of(absence["from_date"]):
            continue
        if absence["trained"] is False:
            returned = _confirmed(absence, on_date)
            returns += [] if returned is None else [returned]
        elif _is_open(absence, on_date):
            week = return_scheme("returning", 0)
            assert week is not None
            returns.append(Return(week, None, absence["peaks"], absence["amounts"]))
            holds.append(hold_of("absence_unconfirmed", day_of(absence["from_date"]), absence["id"]))
    return returns, holds[-1:]


def _confirmed(absence: Mapping[str, Any], on_date: dt.date) -> Return | None:
    """Weeks count from the first training after it, so that nobody advances by staying away."""
    back_on = day_of(absence["back_on"]) if absence["back_on"] else on_date
    week = week_of_return(min(back_on, on_date).toordinal(), on_date.toordinal())
    scheme = return_scheme(absence["kind"], week)
    logged_on = day_of(absence["logged_on"]) if absence["logged_on"] else None
    if scheme is None:
        return None
    least = LEAST_BASELINE[absence["kind"]]
    return Return(scheme, week + 1, absence["peaks"], absence["amounts"], logged_on, least)


def _is_open(absence: Mapping[str, Any], on_date: dt.date) -> bool:
    """Whether two weeks passed without training, and less than the longest return has passed since.

    Who trains before anybody has answered stays held: the question is about the days before.
    """
    ended = on_date if absence["trained_on"] is None else min(day_of(absence["trained_on"]), on_date)
    last_trained = day_of(absence["from_date"]) - dt.timedelta(days=1)
    return (ended - last_trained).days >= SILENT_DAYS and (on_date - ended).days <= LATEST_QUESTION_DAYS


def with_returns(base: Safety, returns: list[Return]) -> Safety:
    """The strictest of what holds at once, movement by movement."""
    if not returns:
        return base
    strictest = min(returns, key=lambda one: one.week.volume_share)
    caps: dict[UUID, int] = {}
    for one in returns:
        for movement, peak in one.peaks.items():
            cap = most_volume(baseline(peak, one.least), one.week.volume_share)
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


def return_notes(returns: list[Return]) -> Iterator[str]:
    numbered = [one for one in returns if one.number is not None]
    if numbered:
        one = min(numbered, key=lambda found: found.week.volume_share)
        failure = "" if one.week.to_failure else ", nothing to failure"
        share_of = f"Of what you hardly did before it is that share of {one.least:.0f} repetitions. "
        little = share_of if one.has_small_peaks else ""
        yield (
            f"Week {one.number} of your return: at most {one.week.volume_share:.0%} of your former volume{failure}. "
            f"{little}Go on only if you feel well with it."
        )
    logged = [one.logged_on for one in numbered if one.logged_on is not None]
    if logged:
        yield (
            f"Training of {min(logged)} is logged within an absence that was confirmed. The return goes on as it is;"
            " an owner, a coach or staff of the location looks at it, and may end it by a release with the reason."
        )
