"""Holds and cyclical work in the terms of a person: seconds, critical power or speed, and what makes them wide."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from athletes.calc.critical import CriticalCapacity
from athletes.calc.hold import HoldCapacity
from athletes.calc.hold_forecast import load_for_a_minute, seconds_at
from athletes.calc.trial_forecast import Parameter, critical_of, reserve_of, seconds_for
from athletes.endurance import demand_of
from programming.calc.variation import Variation

NO_AMOUNT = "no_amount"
NOT_MEASURED = "not_measured"


@dataclass(frozen=True)
class Seconds:
    """The values that 10, 50 and 90 % lie below."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True)
class Interval:
    """Median, and the interval that holds the value with 80 %."""

    median: float
    lower: float
    upper: float


@dataclass(frozen=True)
class HoldFigures:
    """Seconds available at the load, and the effective load in kg that is held for a minute.

    doubts: why the numbers are wide or rough, when they are.
    """

    seconds: Seconds | None
    seconds_reason: str | None
    minute_kg: Interval
    doubts: Sequence[str]


@dataclass(frozen=True)
class CyclicalFigures:
    """Critical power [W] and reserve [J], or critical speed [m/s] and reserve [m], and the time of one amount.

    doubts: why the numbers are wide or rough, when they are.
    """

    measure: str
    critical: Interval
    reserve: Interval
    unit: str | None
    amount: float | None
    seconds: Seconds | None
    seconds_reason: str | None
    doubts: Sequence[str]


def hold_figures(state: HoldCapacity, effective_kg: float | None, reason: str | None) -> HoldFigures:
    """`reason` says why there is no effective load, when there is none."""
    doubts: tuple[str, ...] = () if state.reason is None else (state.reason,)
    seconds, why = None, reason
    if effective_kg is not None:
        forecast = seconds_at(state, effective_kg)
        seconds = _seconds(forecast.p10, forecast.p50, forecast.p90)
        why, doubts = _doubtful(seconds, forecast.reason, doubts)
    return HoldFigures(seconds, why, Interval(*load_for_a_minute(state)), doubts)


def cyclical_figures(
    state: CriticalCapacity, variation: Variation, asked: tuple[str, float] | None
) -> CyclicalFigures:
    """`asked`: the unit and amount whose time is to be told."""
    doubts = tuple(state.reasons)
    seconds, why = None, None if asked else NO_AMOUNT
    if asked is not None:
        demand, why = demand_of(variation, state.measure, *asked), NOT_MEASURED
        if demand is not None:
            forecast = seconds_for(state, demand)
            seconds = _seconds(forecast.p10, forecast.p50, forecast.p90)
            why, doubts = _doubtful(seconds, forecast.reason, doubts)
    return CyclicalFigures(
        measure=state.measure,
        critical=_interval(critical_of(state)),
        reserve=_interval(reserve_of(state)),
        unit=None if asked is None else asked[0],
        amount=None if asked is None else asked[1],
        seconds=seconds,
        seconds_reason=why,
        doubts=doubts,
    )


def _doubtful(
    seconds: Seconds | None, reason: str | None, doubts: tuple[str, ...]
) -> tuple[str | None, tuple[str, ...]]:
    """(why there are no seconds, doubts): what comes with numbers is a doubt about them."""
    if seconds is None:
        return reason, doubts
    return None, doubts if reason is None else (*doubts, reason)


def _seconds(p10: float | None, p50: float | None, p90: float | None) -> Seconds | None:
    return None if p10 is None or p50 is None or p90 is None else Seconds(p10, p50, p90)


def _interval(parameter: Parameter) -> Interval:
    return Interval(parameter.median, parameter.lower, parameter.upper)
