"""What a capacity that limits a single set gives of it fresh, drawn in scenarios."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple, TypeGuard

from athletes.calc.capacity import Capacity, in_variation, sample_lifts_at
from athletes.calc.hold import HoldCapacity
from athletes.calc.hold_forecast import sample_holds
from athletes.states import CapacityState
from programming.calc.arrays import FloatArray
from scoring.calc.candidate import CapacityKind
from scoring.capacity_kind import HOLDS, REPEATS


class Drawn(NamedTuple):
    """Of N scenarios: repetitions or seconds that are possible fresh (N,), and by how much of its logarithm one of
    them lowers the strength (N,).
    """

    fresh: FloatArray
    per_unit: FloatArray


def limits_a_set(state: CapacityState | None, kind: CapacityKind) -> TypeGuard[Capacity | HoldCapacity]:
    """Whether the athlete's capacity is of the kind that the work asks for, and one that a single set exhausts."""
    return (kind == REPEATS and isinstance(state, Capacity)) or (
        kind == HOLDS and isinstance(state, HoldCapacity)
    )


def drawn(state: Capacity | HoldCapacity, variation: str, load_kg: float, u: FloatArray) -> Drawn:
    """At an effective load [kg] of a variation (its key); u (N, 2): uniforms in (0, 1), the person of each scenario.

    Raises ValueError for another shape or range, and for a load that is not positive and finite.
    """
    return drawn_at(state, variation, (load_kg,), u)[0]


def drawn_at(
    state: Capacity | HoldCapacity, variation: str, loads_kg: Sequence[float], u: FloatArray
) -> list[Drawn]:
    """`drawn` at each of several loads."""
    if isinstance(state, Capacity):
        return [Drawn(*one) for one in sample_lifts_at(in_variation(state, variation), loads_kg, u)]
    return [Drawn(*sample_holds(state, load_kg, u)) for load_kg in loads_kg]
