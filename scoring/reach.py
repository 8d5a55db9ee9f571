"""Whether a session can do what it should for the people it is for, before it is published or placed.

Nothing is stored. Typical athletes come from the population; real ones, where they are asked for, with what is known
of them. Fewer scenarios than a prescription has: a probability here is good to a few in a hundred.

The answer is given within a request, so the effort of all of it is bounded and shared by the people: the more there
are, the coarser (`scoring.calc.effort`); of more than there is room for nobody is told of.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final
from uuid import UUID, uuid4

from athletes.known import capacities_for, prior_documents
from athletes.models import Athlete
from athletes.queries import AthleteInputs, prescribing_inputs
from athletes.states import CapacityState
from programming.calc.document import canonical_hash
from programming.calc.kit import Kit, parse_kit
from programming.calc.revision import RevisionDoc
from programming.calc.rule_codes import RULES_VERSION
from programming.models import LocationKit
from programming.plans import SessionPlan, variations_of_movements
from scoring.blocks import items_of
from scoring.done_before import done_before
from scoring.errors import TooManyAthletes
from scoring.typical import TYPICAL, Typical, capacities_of
from scoring.working_out import Known, Worked, work_out

REACH_SCENARIOS: Final = 256
MOST_ATHLETES: Final = 200
EFFORT: Final = 8_000_000.0
"""Sets that are simulated for one answer, or what costs as much: three to five seconds (ours)."""
MOST_EFFORT: Final = 1.75 * EFFORT
"""Where the coarsest forecasts need more than their share, no athlete is begun beyond this: four seconds (ours)."""
ROOM_AGAIN: Final = 0.75
EFFORT_OF_AN_ITEM: Final = 20_000.0
"""What it costs to look at the options of a work item for one person, before anything is simulated."""

_NO_ROOM: Final = (
    "the typical athletes take all that is worked out for one answer, so that nobody can be tried beside them: leave"
    " the others out, or try a document with fewer blocks at a time."
)


@dataclass(frozen=True, eq=False)
class Person:
    """Somebody the session is tried on."""

    name: str
    athlete: UUID | None
    inputs: AthleteInputs
    known: Known
    typical: Typical | None = None


@dataclass(frozen=True, eq=False)
class Tried:
    """The answer for one person."""

    person: Person
    worked: Worked


def plan_of(
    doc: RevisionDoc, document: Mapping[str, object], location_id: UUID, zone: str, day: dt.date
) -> SessionPlan:
    """A session that is nowhere stored, at a location with its kit on a day (two queries)."""
    keys = {item.movement for block in doc.blocks for item in block.items}
    row = LocationKit.objects.filter(location_id=location_id).first()
    return SessionPlan(
        session_id=uuid4(),
        version=0,
        revision_id=uuid4(),
        template_id=uuid4(),
        sha256=canonical_hash(document),
        rules_version=RULES_VERSION,
        doc=doc,
        location_id=location_id,
        is_remote=False,
        freeze_minutes=0,
        starts_at=dt.datetime.combine(day, dt.time(12), tzinfo=dt.UTC),
        zone=zone,
        local_date=day,
        is_cancelled=False,
        kit=Kit() if row is None else parse_kit(row.document),
        kit_version=0 if row is None else row.version,
        variations=variations_of_movements(keys),
    )


def typical_people(plan: SessionPlan) -> list[Person]:
    """Six of them (two queries)."""
    priors = prior_documents(_movements(plan))
    done = frozenset(entry.variation_id for entry in plan.variations.values())
    return [
        Person(
            one.name,
            None,
            one.inputs(),
            Known(capacities_of(one, priors, plan.local_date), done, REACH_SCENARIOS),
            one,
        )
        for one in TYPICAL
    ]


def real_people(plan: SessionPlan, athletes: Sequence[Athlete]) -> list[Person]:
    """Each with what is known of them on the day; a fixed number of queries."""
    ids = [athlete.id for athlete in athletes]
    inputs = prescribing_inputs(ids, plan.local_date)
    states: dict[UUID, dict[UUID, CapacityState]] = {id_: {} for id_ in ids}
    for (athlete_id, movement_id), state in capacities_for(ids, _movements(plan), plan.local_date).items():
        states[athlete_id][movement_id] = state
    done = done_before(ids)
    return [
        Person(
            athlete.name,
            athlete.id,
            inputs[athlete.id],
            Known(states[athlete.id], done[athlete.id].variations, REACH_SCENARIOS),
        )
        for athlete in athletes
    ]


def most_athletes(plan: SessionPlan) -> int:
    """How many one answer has room for beside the typical ones, for whom there is room in any case."""
    return max(0, min(MOST_ATHLETES, int(EFFORT / _effort_of_looking(plan)) - 2 * len(TYPICAL)))


def room_said(plan: SessionPlan, most: int) -> str:
    """What to do where more athletes are asked about than there is room for (`most`)."""
    if most == 0:
        items = len(list(items_of(plan)))
        return f"With {items} work items {_NO_ROOM}"
    few = f"{most} athlete{'s' * (most > 1)}"
    return f"A session of so many items is tried on {few} at once: name fewer, or leave them out."


def _effort_of_looking(plan: SessionPlan) -> float:
    return EFFORT_OF_AN_ITEM * len(list(items_of(plan)))


def effort_of_each(plan: SessionPlan, people: int) -> float:
    """What may be simulated for each of so many, and for the typical ones once more with the whole ladder."""
    return max(0.0, EFFORT / (people + len(TYPICAL)) - _effort_of_looking(plan))


def try_on(plan: SessionPlan, people: Sequence[Person]) -> list[Tried]:
    """Each in turn, within the effort of one answer.

    A share may be too small for a long session, of which the coarsest forecast costs more. So what was simulated is
    counted, the typical ones once more for the whole ladder; raises TooManyAthletes where it comes to more than
    MOST_EFFORT with real ones still to come.
    """
    effort = effort_of_each(plan, len(people))
    tried: list[Tried] = []
    spent = 0.0
    for one in people:
        if one.athlete is not None and spent > MOST_EFFORT:
            raise TooManyAthletes(_how_many(sum(done.person.athlete is not None for done in tried)))
        person = replace(one, known=replace(one.known, effort=effort))
        tried.append(Tried(person, work_out(plan, person.inputs, person.known)))
        times = 1 if one.typical is None else 2
        spent += times * (_effort_of_looking(plan) + tried[-1].worked.effort)
    return tried


def _how_many(done: int) -> str:
    """Fewer than there was room for: with fewer people each is worked out more finely."""
    few = int(ROOM_AGAIN * done)
    if few == 0:
        return f"With so long a session {_NO_ROOM}"
    return f"So long a session is tried on {few} athlete{'s' * (few > 1)} at once: name fewer, or leave them out."


def _movements(plan: SessionPlan) -> Collection[UUID]:
    return {plan.movement(item.key).id for _, item in items_of(plan)}
