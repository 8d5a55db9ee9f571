"""Recent load beside usual load, as separate numbers; sums of weeks; the change from week to week.

    rolling     mean of the last 7 days, mean of the last 28
    uncoupled   mean of the 21 days before the last 7
    weighted    E_t = a L_t + (1 - a) E_{t-1}, a = 2 / (N + 1), E_1 = L_1: of spans of N = 7 and 28 days
                (Williams, West, Cross & Stokes 2017, Br J Sports Med 51(3):209-210; the seed is ours and is told)
    change      (this week - last week) / last week

A day of which nobody said anything takes no part in a weighted mean: its weight goes to the days that are known
(Moussa et al. 2019, BMJ Open Sport Exerc Med 5:e000573). So E is a quotient of two sums that go on alike,

    total_t = a L_t [known] + (1 - a) total_{t-1},   weight_t = a [known] + (1 - a) weight_{t-1},

the first known day beginning them with L_1 and 1; without gaps the weight stays 1. Rolling means and sums with such a
day are not told; what was reported is told beside them, with the number of days.

A quotient of recent and usual load is given only when asked for. It says how recent load compares with usual load and
nothing of the risk of an injury: scaled by random numbers in place of usual load, recent load went with injuries
about as well (Impellizzeri et al. 2021, Sports Med 51:581-592). It has no zones. Of 28 days the coupled one is
4u / (3 + u) of the uncoupled one u.
"""

from collections.abc import Sequence
from typing import Final, Literal, NamedTuple, get_args

from athletes.calc.load import TOO_SHORT, UNREPORTED, WEEK_DAYS, Figure

ACUTE_DAYS: Final = 7
CHRONIC_DAYS: Final = 28
SUM_DAYS: Final = (7, 14, 21, 28)
SEED: Final = "first_known_day"
LEAST_CHRONIC: Final = 5.0
"""AU a day; ours. Below (a quarter of an hour at effort 2 or so, in a week) anything is many times as much."""
FADED: Final = 1e-200
"""Weights below are too near to the smallest numbers to divide by: years without a report."""

BASE_ZERO: Final = "base_is_zero"
TOO_LITTLE: Final = "usual_load_too_small"

RatioKind = Literal["coupled", "uncoupled", "weighted"]
RATIO_KINDS: Final[tuple[RatioKind, ...]] = get_args(RatioKind)
RATIO_MEANING: Final = "recent load beside usual load: a description, not an estimate of any risk"

Loads = Sequence[float | None]
"""Of consecutive days, the last one last; None: not known."""


def smoothing(span_days: int) -> float:
    """a = 2 / (N + 1). Raises ValueError for a span of less than a day."""
    if span_days < 1:
        raise ValueError(f"a span is a day or more, got {span_days}")
    return 2.0 / (span_days + 1.0)


class Weighted(NamedTuple):
    """A weighted mean on its way: all that a further day needs. Of the first known day it is (load, 1)."""

    total: float = 0.0
    weight: float = 0.0

    @property
    def mean(self) -> float | None:
        """In AU a day; None before the first known day, and where years without any report have faded all."""
        return self.total / self.weight if self.weight > FADED else None

    def after(self, load: float | None, span_days: int) -> "Weighted":
        """A day later."""
        a, faded = smoothing(span_days), self.faded(1, span_days)
        return faded if load is None else Weighted(faded.total + a * load, faded.weight + a)

    def faded(self, days: int, span_days: int) -> "Weighted":
        """As many days later, of which none is known."""
        kept = (1.0 - smoothing(span_days)) ** days
        return Weighted(kept * self.total, kept * self.weight)


class Sum(NamedTuple):
    """Over `days` days; reported_load of the reported_days that are known."""

    days: int
    load: Figure
    reported_load: float
    reported_days: int


def too_short(days: int) -> str:
    """The reason of what needs so many days."""
    return TOO_SHORT.format(days=days)


def summed(loads: Loads, days: int) -> Sum:
    """The last `days` of the loads. Nothing but what was reported is told where there are fewer, or a gap."""
    last = loads[-days:]
    told = [load for load in last if load is not None]
    if len(last) < days:
        figure = Figure(None, too_short(days))
    elif len(told) < days:
        figure = Figure(None, UNREPORTED)
    else:
        figure = Figure(sum(told))
    return Sum(days, figure, sum(told), len(told))


def daily_mean(loads: Loads, days: int) -> Figure:
    """Rolling mean of the last `days` [AU a day]."""
    figure = summed(loads, days).load
    return figure if figure.value is None else Figure(figure.value / days)


def uncoupled_mean(loads: Loads) -> Figure:
    """Mean of the 21 days before the last 7 [AU a day]."""
    if len(loads) < CHRONIC_DAYS:
        return Figure(None, too_short(CHRONIC_DAYS))
    return daily_mean(loads[:-ACUTE_DAYS], CHRONIC_DAYS - ACUTE_DAYS)


def weighted_mean(state: Weighted, days: int, needed: int) -> Figure:
    """Told from `needed` days since the first known one on: before, the seed is most of it."""
    if days < needed:
        return Figure(None, too_short(needed))
    return Figure(state.mean) if state.mean is not None else Figure(None, UNREPORTED)


def week_change(loads: Loads) -> Figure:
    """(last seven days - the seven before) / the seven before; as a share, 0.5 for half as much again."""
    if len(loads) < 2 * WEEK_DAYS:
        return Figure(None, too_short(2 * WEEK_DAYS))
    now, before = summed(loads, WEEK_DAYS).load, summed(loads[:-WEEK_DAYS], WEEK_DAYS).load
    if now.value is None or before.value is None:
        return Figure(None, UNREPORTED)
    return (
        Figure((now.value - before.value) / before.value) if before.value > 0.0 else Figure(None, BASE_ZERO)
    )


def quotient(acute: Figure, chronic: Figure) -> Figure:
    """acute / chronic, or why there is none: the reason of either, or too little usual load."""
    if acute.value is None or chronic.value is None:
        return Figure(None, chronic.reason or acute.reason)
    return Figure(acute.value / chronic.value) if chronic.value >= LEAST_CHRONIC else Figure(None, TOO_LITTLE)
