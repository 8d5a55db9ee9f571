"""Whether a logged hold or a piece of cyclical work can be true of anybody, as plausible.py asks of repetitions."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from uuid import UUID

from athletes.known import prior_documents
from athletes.performed import MassHistory
from athletes.plausible import beyond_belief
from athletes.states import unobserved_state
from programming.calc.catalogue import CYCLICAL, HOLD
from programming.calc.variation import DISTANCE, ENERGY, HOLD_SECONDS
from scoring.calc.finding import Finding
from scoring.observed import Logged
from scoring.plausible import CODE, performed, surprise_findings
from scoring.plausible_held import held_surprises

UNITS = {HOLD: (HOLD_SECONDS,), CYCLICAL: (DISTANCE, ENERGY)}


def surprises(logged: Sequence[Logged], masses: MassHistory, day: dt.date) -> tuple[Finding, ...]:
    """What is beyond belief of repetitions, holds and cyclical work alike (two queries for each kind there is); where
    that is nothing, of what was held in the hands.
    """
    found = surprise_findings(logged, masses, day) + amount_surprises(logged, masses, day)
    return found or held_surprises(logged)


def amount_surprises(logged: Sequence[Logged], masses: MassHistory, day: dt.date) -> tuple[Finding, ...]:
    """A finding for the first set of each movement that is beyond belief (two queries when there is such work)."""
    told = [item for item in logged if item.entry.unit in UNITS.get(item.done.movement.capacity_kind, ())]
    if not told:
        return ()
    mass = masses.on(day)
    documents = prior_documents(list({item.done.movement.id for item in told}))
    people = {movement: unobserved_state(document, mass, day) for movement, document in documents.items()}
    found: dict[UUID, Finding] = {}
    for item in told:
        state = people.get(item.done.movement.id)
        if state is not None and beyond_belief(state, performed(item), mass):
            found.setdefault(item.done.movement.id, _finding(item))
    return tuple(found.values())


def _finding(item: Logged) -> Finding:
    entry = item.entry
    unit = {HOLD_SECONDS: "s", DISTANCE: "m", ENERGY: "kcal"}[entry.unit]
    within = "" if entry.unit == HOLD_SECONDS or entry.duration_s is None else f" in {entry.duration_s:g} s"
    detail = (
        f"{entry.amount:g} {unit} of {item.done.name}{within} is far beyond what is known of people: ask "
        "about amount, unit and clock."
    )
    return Finding(CODE, detail)
