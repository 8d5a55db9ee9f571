"""The load of an athlete up to a day, kept so that one more day costs the same however long the history is.

Kept are the last 28 days as they are, and two weighted means on their way. Sums over at most 28 numbers are made
anew each day: nothing is added and taken away again, so no rounding gathers over the years.
"""

from collections.abc import Iterable
from typing import NamedTuple

from athletes.calc.load import WEEK_DAYS, Ddof, Figure, Week, week_of
from athletes.calc.load_means import (
    ACUTE_DAYS,
    CHRONIC_DAYS,
    SUM_DAYS,
    RatioKind,
    Sum,
    Weighted,
    daily_mean,
    quotient,
    summed,
    too_short,
    uncoupled_mean,
    week_change,
    weighted_mean,
)


class RunningLoad(NamedTuple):
    """days: since the first known one, that one included; last: the newest 28 at most, None: not known [AU]."""

    days: int = 0
    last: tuple[float | None, ...] = ()
    acute: Weighted = Weighted()
    chronic: Weighted = Weighted()

    def after(self, load: float | None) -> "RunningLoad":
        """A day later. Days before the first known one do not count."""
        if not self.days:
            return self if load is None else RunningLoad(1, (load,), Weighted(load, 1.0), Weighted(load, 1.0))
        return RunningLoad(
            self.days + 1,
            (*self.last[1 - CHRONIC_DAYS :], load),
            self.acute.after(load, ACUTE_DAYS),
            self.chronic.after(load, CHRONIC_DAYS),
        )

    def after_all(self, loads: Iterable[float | None]) -> "RunningLoad":
        """Several days later."""
        state = self
        for load in loads:
            state = state.after(load)
        return state

    def after_silence(self, days: int) -> "RunningLoad":
        """As many days later, of which nobody said anything; years of them cost no more than weeks."""
        if days <= CHRONIC_DAYS or not self.days:
            return self.after_all([None] * days)
        return RunningLoad(
            self.days + days,
            (None,) * CHRONIC_DAYS,
            self.acute.faded(days, ACUTE_DAYS),
            self.chronic.faded(days, CHRONIC_DAYS),
        )


class LoadFigures(NamedTuple):
    """What is told of the load up to a day. Means in AU a day; change as a share; ratio only where asked for."""

    days: int
    week: Week
    change: Figure
    sums: tuple[Sum, ...]
    acute: Figure
    chronic: Figure
    uncoupled_chronic: Figure
    weighted_acute: Figure
    weighted_chronic: Figure
    ratio: Figure | None = None


def figures(state: RunningLoad, ddof: Ddof = 0, ratio: RatioKind | None = None) -> LoadFigures:
    """All of it."""
    acute, chronic = daily_mean(state.last, ACUTE_DAYS), daily_mean(state.last, CHRONIC_DAYS)
    uncoupled = uncoupled_mean(state.last)
    weighted_acute = weighted_mean(state.acute, state.days, ACUTE_DAYS)
    weighted_chronic = weighted_mean(state.chronic, state.days, CHRONIC_DAYS)
    pairs: dict[RatioKind, tuple[Figure, Figure]] = {
        "coupled": (acute, chronic),
        "uncoupled": (acute, uncoupled),
        "weighted": (weighted_acute, weighted_chronic),
    }
    return LoadFigures(
        days=state.days,
        week=_week(state, ddof),
        change=week_change(state.last),
        sums=tuple(summed(state.last, days) for days in SUM_DAYS),
        acute=acute,
        chronic=chronic,
        uncoupled_chronic=uncoupled,
        weighted_acute=weighted_acute,
        weighted_chronic=weighted_chronic,
        ratio=None if ratio is None else quotient(*pairs[ratio]),
    )


def _week(state: RunningLoad, ddof: Ddof) -> Week:
    if len(state.last) >= WEEK_DAYS:
        return week_of(state.last[-WEEK_DAYS:], ddof)
    told = summed(state.last, WEEK_DAYS)
    missing = Figure(None, too_short(WEEK_DAYS))
    return Week(told.reported_load, told.reported_days, missing, missing, missing, missing, missing, ddof)
