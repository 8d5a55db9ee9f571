"""Whether a logged set can be true of anybody of this body mass: a typing error must not become a capacity.

A fresh set of r repetitions at the load L says ln L10 = ln L + k (r - 10). Far above what is true of people it is
more likely a wrong load, a wrong unit or a wrong count than a miracle; a person decides. Held against people in
general and not against what this athlete has shown so far, so that the answer does not depend on the order in
which results arrive.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from typing import Final
from uuid import UUID

from athletes.calc.capacity import Capacity
from athletes.capacities import unobserved
from athletes.known import prior_documents
from athletes.performed import MassHistory, Settings, effective_kg
from programming.calc.revision import REPETITIONS
from scoring.calc.finding import Finding
from scoring.observed import Logged

CODE: Final = "implausible_performance"
# Beyond four spreads between people stands one in thirty thousand; and never closer than double (both ours).
LEAST_DISTANCE: Final = math.log(2.0)
SPREADS: Final = 4.0


def surprise_findings(logged: Sequence[Logged], masses: MassHistory, day: dt.date) -> tuple[Finding, ...]:
    """A finding for the first set of each movement that is beyond belief (two queries).

    Every set is judged: a later one is a lower bound, and a wrong lower bound misleads as much as a wrong first set.
    """
    told = [item for item in logged if item.done.curve_applies and item.entry.unit == REPETITIONS]
    if not told:
        return ()
    mass = masses.on(day)
    people = {
        movement_id: unobserved(document, mass, day)
        for movement_id, document in prior_documents(list({item.done.movement.id for item in told})).items()
    }
    found: dict[UUID, Finding] = {}
    for item in told:
        capacity, load = people.get(item.done.movement.id), _load(item, mass)
        if capacity is None or load is None or item.done.movement.id in found:
            continue
        if beyond_belief(capacity, load, item.entry.repetitions):
            found[item.done.movement.id] = _finding(item)
    return tuple(found.values())


def beyond_belief(capacity: Capacity, load_kg: float, repetitions: int) -> bool:
    """Whether the set implies a strength that is further up than the spread of `capacity` explains.

    With a light-load asymptote many repetitions say little about strength, so that only the load is judged.
    """
    k = float(capacity.weight @ capacity.k_nodes)
    known = float(capacity.weight @ capacity.mean)
    variance = float(capacity.weight @ (capacity.var + (capacity.mean - known) ** 2))
    count = min(repetitions, 10) if capacity.asymptote_share > 0.0 else repetitions
    implied = math.log(load_kg) + k * (count - 10)
    return implied - known > max(LEAST_DISTANCE, SPREADS * math.sqrt(variance))


def _load(item: Logged, body_mass_kg: float | None) -> float | None:
    entry = item.entry
    settings = Settings(entry.load_kg, entry.assistance_kg, entry.height_cm)
    load = effective_kg(item.done.variation, settings, body_mass_kg)
    return load if load is not None and load > 0.0 else None


def _finding(item: Logged) -> Finding:
    entry = item.entry
    load = "" if entry.load_kg is None else f" with {entry.load_kg:g} kg"
    detail = (
        f"{entry.repetitions} repetitions of {item.done.variation.key}{load} are far beyond what is known of "
        "people: ask about load, unit and count."
    )
    return Finding(CODE, detail)
