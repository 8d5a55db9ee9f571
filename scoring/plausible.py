"""Whether a logged set can be true of this athlete: a typing error must not become a capacity.

A fresh set of r repetitions at the load L says ln L10 = ln L + k (r - 10). Far above what is known of the athlete
it is more likely a wrong load, a wrong unit or a wrong count than a miracle; a person decides. Far below is a bad
day, and everybody has those.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from typing import Final
from uuid import UUID

from athletes.calc.capacity import Capacity
from athletes.performed import MassHistory, Settings, effective_kg
from athletes.queries import capacities_for
from scoring.calc.finding import Finding
from scoring.observed import Logged

CODE: Final = "implausible_performance"
# Nobody doubles their strength between two sessions; little known means more room (both ours).
LARGEST_GAIN: Final = math.log(2.0)
SPREADS: Final = 4.0


def surprise_findings(
    athlete_id: UUID, logged: Sequence[Logged], masses: MassHistory, day: dt.date
) -> tuple[Finding, ...]:
    """A finding for the first fresh set of a movement that is beyond belief (at most four queries)."""
    fresh: dict[UUID, Logged] = {}
    for item in logged:
        if item.done.curve_applies:
            fresh.setdefault(item.done.movement.id, item)
    if not fresh:
        return ()
    known = capacities_for([athlete_id], list(fresh), day)
    return tuple(
        _finding(item)
        for movement_id, item in fresh.items()
        if (capacity := known.get((athlete_id, movement_id))) is not None
        and (load := _load(item, masses.on(day))) is not None
        and beyond_belief(capacity, load, item.entry.repetitions)
    )


def beyond_belief(capacity: Capacity, load_kg: float, repetitions: int) -> bool:
    """Whether the set implies a strength that is further up than a gain or an unsure estimate explains.

    With a light-load asymptote many repetitions say little about strength, so that only the load is judged.
    """
    k = float(capacity.weight @ capacity.k_nodes)
    known = float(capacity.weight @ capacity.mean)
    variance = float(capacity.weight @ (capacity.var + (capacity.mean - known) ** 2))
    count = min(repetitions, 10) if capacity.asymptote_share > 0.0 else repetitions
    implied = math.log(load_kg) + k * (count - 10)
    return implied - known > max(LARGEST_GAIN, SPREADS * math.sqrt(variance))


def _load(item: Logged, body_mass_kg: float | None) -> float | None:
    entry = item.entry
    settings = Settings(entry.load_kg, entry.assistance_kg, entry.height_cm)
    load = effective_kg(item.done.variation, settings, body_mass_kg)
    return load if load is not None and load > 0.0 else None


def _finding(item: Logged) -> Finding:
    entry = item.entry
    load = "" if entry.load_kg is None else f" with {entry.load_kg:g} kg"
    detail = (
        f"{entry.repetitions} repetitions of {item.done.variation.key}{load} are far beyond what is known of this "
        "athlete: ask about load, unit and count."
    )
    return Finding(CODE, detail)
