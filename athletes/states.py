"""A capacity of whichever kind: read from its row, carried to another day, or taken from the prior alone."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any, TypeAlias

from athletes import capacities
from athletes.calc.capacity import METHOD_VERSION, from_json, to_json
from athletes.calc.capacity import Capacity as LoadCapacity
from athletes.calc.critical import (
    CriticalCapacity,
    aged_critical,
    critical_from_json,
    critical_to_json,
    estimate_critical,
)
from athletes.calc.endurance_constants import CRITICAL_METHOD_VERSION, HOLD_METHOD_VERSION
from athletes.calc.hold import HoldCapacity, aged_hold, estimate_hold, hold_from_json, hold_to_json
from athletes.endurance import cyclical_start, hold_start, kind_of
from athletes.moments import NOON
from programming.calc.catalogue import CYCLICAL, HOLD

CapacityState: TypeAlias = LoadCapacity | HoldCapacity | CriticalCapacity


def read_state(document: Mapping[str, Any]) -> CapacityState:
    """The state of a row. Raises ValueError when it cannot have been written there."""
    kind = document.get("kind")
    if kind == HOLD:
        return hold_from_json(document)
    if kind == CYCLICAL:
        return critical_from_json(document)
    return from_json(document)


def write_state(state: CapacityState) -> dict[str, object]:
    """Plain numbers and lists that `read_state` reads back, bit for bit."""
    if isinstance(state, HoldCapacity):
        return hold_to_json(state)
    if isinstance(state, CriticalCapacity):
        return critical_to_json(state)
    return to_json(state)


def method_version(state: CapacityState) -> int:
    if isinstance(state, HoldCapacity):
        return HOLD_METHOD_VERSION
    return CRITICAL_METHOD_VERSION if isinstance(state, CriticalCapacity) else METHOD_VERSION


def endurance_on_day(state: HoldCapacity | CriticalCapacity, day: dt.date) -> HoldCapacity | CriticalCapacity:
    """As it is known on a later day; earlier days change nothing."""
    since = max(day.toordinal() - state.day, 0)
    return aged_hold(state, since) if isinstance(state, HoldCapacity) else aged_critical(state, since)


def state_on_day(state: CapacityState, day: dt.date, hour: float = NOON) -> CapacityState:
    """The same for every kind; the hour of the day matters for load and repetitions alone."""
    if isinstance(state, LoadCapacity):
        return capacities.on_day(state, day, hour)
    return endurance_on_day(state, day)


def unobserved_state(
    prior_document: Mapping[str, Any],
    body_mass_kg: float | None,
    day: dt.date,
    person: capacities.Person = capacities.NOBODY,
    lent: capacities.Lent | None = None,
) -> CapacityState:
    """What is taken of somebody of whom nothing was seen in the movement.

    person and lent are used for load and repetitions alone: of holds and cyclical work no fit is made.
    """
    kind = kind_of(prior_document)
    if kind == HOLD:
        return estimate_hold(hold_start(prior_document, body_mass_kg), (), day=day.toordinal())
    if kind == CYCLICAL:
        return estimate_critical(cyclical_start(prior_document, body_mass_kg), (), day=day.toordinal())
    return capacities.unobserved(prior_document, body_mass_kg, day, person, lent)
