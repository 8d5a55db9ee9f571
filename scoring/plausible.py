"""Whether logged sets can be true of anybody of this body mass (athletes.plausible): what a reviewer is to ask.

Of load and repetitions, of holds and of cyclical work alike; and of what was held in the hands, whatever the legs
could lift.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from uuid import UUID

from athletes.known import prior_documents
from athletes.performed import MassHistory, Settings
from athletes.plausible import Performed, beyond_belief
from athletes.states import unobserved_state
from programming.calc.load import load_said
from programming.calc.units import NAMES
from programming.calc.variation import DISTANCE, ENERGY, REPETITIONS
from scoring.calc.finding import IMPLAUSIBLE, Finding
from scoring.observed import Logged, tells_capacity
from scoring.plausible_held import held_surprises


def surprises(logged: Sequence[Logged], masses: MassHistory, day: dt.date) -> tuple[Finding, ...]:
    """What is beyond belief by movement, and of every variation not named so the weight that nobody holds (two
    queries).
    """
    found = _beyond_belief(logged, masses, day)
    named = {item.done.variation.key for item in found}
    rest = [item for item in logged if item.done.variation.key not in named]
    return (*(_finding(item) for item in found), *held_surprises(rest))


def _beyond_belief(logged: Sequence[Logged], masses: MassHistory, day: dt.date) -> list[Logged]:
    """The first set of each movement that is (two queries where any set tells a capacity).

    Every set is judged: a later one is a lower bound, and a wrong lower bound misleads as much as a wrong first set.
    """
    told = [item for item in logged if tells_capacity(item)]
    if not told:
        return []
    mass = masses.on(day)
    documents = prior_documents(list({item.done.movement.id for item in told}))
    people = {movement: unobserved_state(document, mass, day) for movement, document in documents.items()}
    found: dict[UUID, Logged] = {}
    for item in told:
        movement = item.done.movement.id
        if (
            movement in people
            and movement not in found
            and beyond_belief(people[movement], _done(item), mass)
        ):
            found[movement] = item
    return list(found.values())


def _done(item: Logged) -> Performed:
    """What was done, as tests are judged too."""
    entry = item.entry
    settings = Settings(entry.load_kg, entry.assistance_kg, entry.height_cm)
    return Performed(item.done.variation, settings, entry.unit, entry.amount, entry.duration_s)


def _finding(item: Logged) -> Finding:
    entry, counted = item.entry, item.entry.unit == REPETITIONS
    implements = item.done.variation.implements
    load = "" if entry.load_kg is None else f" with {load_said(entry.load_kg, implements)}"
    timed = entry.unit in (DISTANCE, ENERGY) and entry.duration_s is not None
    within = f" in {entry.duration_s:g} s" if timed else ""
    single = counted and entry.amount == 1.0
    unit = "repetition" if single else NAMES[entry.unit]
    done = f"{entry.amount:g} {unit} of {item.done.name}{load}{within}"
    what = "load, unit and count" if counted else "amount, unit and clock"
    are = "are" if counted and not single else "is"
    return Finding(IMPLAUSIBLE, f"{done} {are} far beyond what is known of people: ask about {what}.")
