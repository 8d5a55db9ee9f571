"""What was available before each set that was logged, by what is known of the athlete. No writes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final
from uuid import UUID

from athletes.calc.available import available_before
from athletes.calc.constants import RIR_BIAS
from athletes.states import CapacityState
from scoring.observed import Logged
from scoring.tiring import placed_session

MIDDLE: Final = 1
"""The place of 50 % among the levels."""


def available_of(
    logged: Sequence[Logged],
    states: Mapping[UUID, CapacityState],
    mass_kg: float | None,
    multiplier: float,
) -> dict[int, list[float]]:
    """Units at 10, 50 and 90 % before each set, by its place in the log; sets of which nothing is known are left out.
    Where a reserve was told, there was what was done and that, or two more: people say about one too few.
    """
    placed = placed_session(logged, states, mass_kg)
    if placed is None:
        return {}
    places, done, able = placed
    told = available_before(done, able, multiplier).tolist()
    return {place: _as_said(logged[place], levels) for place, levels in zip(places, told, strict=True)}


def _as_said(one: Logged, levels: list[float]) -> list[float]:
    entry = one.entry
    if entry.rir is None or entry.ended_by == "failure":
        return levels
    said = entry.amount + entry.rir
    return [min(max(level, said), said + 2.0 * RIR_BIAS * (entry.rir > 0)) for level in levels]
