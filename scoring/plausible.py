"""Whether a logged set can be true of anybody of this body mass (athletes.plausible): what a reviewer is to ask."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Final
from uuid import UUID

from athletes.capacities import unobserved
from athletes.known import prior_documents
from athletes.performed import MassHistory, Settings
from athletes.plausible import Performed, beyond_belief
from programming.calc.revision import REPETITIONS
from scoring.calc.finding import Finding
from scoring.observed import Logged

CODE: Final = "implausible_performance"


def performed(item: Logged) -> Performed:
    """What was done, as tests are judged too."""
    entry = item.entry
    settings = Settings(entry.load_kg, entry.assistance_kg, entry.height_cm)
    return Performed(item.done.variation, settings, entry.unit, entry.amount, entry.duration_s)


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
        capacity = people.get(item.done.movement.id)
        if capacity is None or item.done.movement.id in found:
            continue
        if beyond_belief(capacity, performed(item), mass):
            found[item.done.movement.id] = _finding(item)
    return tuple(found.values())


def _finding(item: Logged) -> Finding:
    entry = item.entry
    load = "" if entry.load_kg is None else f" with {entry.load_kg:g} kg"
    detail = (
        f"{entry.repetitions} repetitions of {item.done.name}{load} are far beyond what is known of "
        "people: ask about load, unit and count."
    )
    return Finding(CODE, detail)
