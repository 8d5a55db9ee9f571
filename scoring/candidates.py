"""From a session's plan and an athlete's inputs to the candidates that the calculation chooses among."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final, NamedTuple
from uuid import UUID

import numpy as np

from athletes.calc.critical import CriticalCapacity
from athletes.calc.trial_forecast import sample
from athletes.day import AS_USUAL, Day
from athletes.queries import AthleteInputs
from athletes.states import CapacityState
from programming.calc.arrays import FloatArray
from programming.calc.revision import DISTANCE, ENERGY, Block, WorkItem
from programming.calc.stepper import EPSILON
from programming.calc.variation import Option
from programming.plans import SessionPlan, VariationEntry
from scoring.calc.candidate import Candidate, CapacityKind
from scoring.calc.engine import Engine, Measure
from scoring.calc.prescription import RuledOut
from scoring.capacity_kind import PACED, UNTOLD, kind_of
from scoring.drawn import drawn_at, limits_a_set
from scoring.hardly_seen import beyond_a_step, is_unbounded, is_unseen, starts_light
from scoring.loadable import Loadable, loadable, with_bar
from scoring.person import Person, draws_of, multiplier_of, tempo_of
from scoring.worth_a_look import Listed, effective_kg_written, is_as_written, is_eased, worth_a_look

# Where no engine tells the pace: two metres a second on foot or with a load carried, twelve kilocalories a minute
# at a machine (common practice, no source).
SECONDS_PER: Final = {DISTANCE: 0.5, ENERGY: 5.0}


@dataclass(frozen=True, eq=False)
class Choice:
    """What the calculation may choose from in one block: by work key, with what was left out and why.

    multiplier (N,): slow fatigue of the athlete in the scenarios of the candidates.
    """

    candidates: Mapping[str, list[Candidate]]
    ruled_out: tuple[RuledOut, ...]
    multiplier: FloatArray


def gather(
    plan: SessionPlan,
    inputs: AthleteInputs,
    capacities: Mapping[UUID, CapacityState],
    known_variations: frozenset[UUID],
    day: Day = AS_USUAL,
) -> Choice:
    """Candidates of one athlete for the block that decides the ranking (see `gather_block`)."""
    person = Person(inputs, capacities, known_variations)
    return gather_block(plan, plan.block, person, loadable(plan, inputs, day))


def gather_block(plan: SessionPlan, block: Block, person: Person, able: Loadable) -> Choice:
    """Candidates of one athlete for a block, penalty work too.

    Left out beside what cannot be set up or is not allowed (`loadable`): variations that are too light for the
    curve to tell repetitions. Alone, no work with a bar that could catch one is planned to failure. Whoever has
    never been seen in a movement, or hardly (`hardly_seen`), gets nothing harder in it than the coach wrote: what
    is true of people in general is no reason to ask more of somebody unknown. Of work without a capacity model only
    the version as written is left, or the nearest easier one; of who never did that version the easiest, or the
    hardest easier one done before.
    """
    draws, numbers = draws_of(plan, person)
    found: dict[str, list[Candidate]] = {}
    left_out: list[RuledOut] = []
    for item in block.items:
        left_out += able.left_out(item.key)
        listed, reasons = worth_a_look(block, item, plan, person, able.options[item.key])
        left_out += reasons
        u = draws.movements[numbers[item.movement]]
        tempo = tempo_of(person, item, plan.movement(item.key).id, draws)
        eased = is_eased(item, plan, person, listed)
        written_kg = effective_kg_written(item, plan, person)
        far = _far(item, plan, person, able.options[item.key])
        found[item.key] = [
            _candidate(
                item, entry, option, person, tempo, able, is_eased=eased,
                is_first_time=_is_first_time(entry, option, person, written_kg),
                starts_light=starts_light(
                    block, item, entry, option, person.capacities.get(entry.movement.id)
                ),
                is_far=option in far,
            )
            for (entry, option), able in zip(listed, _abilities(item, listed, person, u), strict=True)
        ]  # fmt: skip
    return Choice(found, tuple(left_out), multiplier_of(person, draws))


def candidate_of(
    item: WorkItem,
    entry: VariationEntry,
    option: Option,
    person: Person,
    u: FloatArray,
    tempo: FloatArray | float,
) -> Candidate:
    """One option with what the athlete can do of it in the scenarios; u (N, 2) and tempo (N,) are those of the
    movement.
    """
    (able,) = _abilities(item, [(entry, option)], person, u)
    return _candidate(item, entry, option, person, tempo, able)


def _candidate(
    item: WorkItem, entry: VariationEntry, option: Option, person: Person, tempo: FloatArray | float, able: _Ability,
    *, is_eased: bool = False, is_first_time: bool = False, starts_light: bool = False, is_far: bool = False,
) -> Candidate:  # fmt: skip
    variation, capacity = entry.variation, person.capacities.get(entry.movement.id)
    alone = person.inputs.trains_alone and with_bar(variation, option)
    return Candidate(
        option,
        able.fresh,
        per_unit=able.per_unit,
        groups=variation.muscle_groups,
        is_as_written=is_as_written(item, option),
        is_novel=bool(person.known_variations) and entry.variation_id not in person.known_variations,
        below_failure=alone or entry.movement.id in person.below_failure,
        seconds_per_unit=SECONDS_PER.get(item.unit, variation.repetition_s),
        tempo=tempo,
        engine=able.engine,
        kind=able.kind,
        starts_light=starts_light,
        is_unseen=is_unseen(capacity),
        is_eased=is_eased,
        is_first_time=is_first_time,
        is_hardly_seen=is_unbounded(capacity) and not is_unseen(capacity),
        is_far=is_far,
    )


def _far(item: WorkItem, plan: SessionPlan, person: Person, listed: Listed) -> set[Option]:
    capacity = person.capacities.get(plan.movement(item.key).id)
    checked = item.movement in person.checked
    return beyond_a_step(listed, capacity, person.inputs.body_mass_kg, person.heaviest, checked=checked)


def _is_first_time(entry: VariationEntry, option: Option, person: Person, written_kg: float) -> bool:
    """Whether nobody saw the movement before a check set, or not this version, and it is heavier than written."""
    movement = entry.movement.id
    if movement in person.only_checked or is_unseen(person.capacities.get(movement)):
        return True
    done = person.known_variations - person.only_checked
    return bool(done) and entry.variation_id not in done and option.effective_kg > written_kg + EPSILON


class _Ability(NamedTuple):
    """What is possible fresh (N,), infinite where nothing tells it; what a unit takes of ln strength (N,); the engine
    of cyclical work.
    """

    fresh: FloatArray
    per_unit: FloatArray | float
    engine: Engine | None
    kind: CapacityKind


def _abilities(item: WorkItem, listed: Listed, person: Person, u: FloatArray) -> list[_Ability]:
    """Of each option; those of one version, which stand beside each other, are drawn at once."""
    found: list[_Ability] = []
    for _, group in groupby(listed, key=lambda pair: pair[0].variation_id):
        same = list(group)
        entry = same[0][0]
        found += _of_version(item, entry, [option for _, option in same], person, u)
    return found


def _of_version(
    item: WorkItem, entry: VariationEntry, options: Sequence[Option], person: Person, u: FloatArray
) -> list[_Ability]:
    kind, variation = kind_of(entry, item), entry.variation
    capacity, untold = person.capacities.get(entry.movement.id), np.full(len(u), np.inf)
    if limits_a_set(capacity, kind):
        loads = [option.effective_kg for option in options]
        return [_Ability(*one, None, kind) for one in drawn_at(capacity, variation.key, loads, u)]
    if kind == PACED and isinstance(capacity, CriticalCapacity):
        critical, reserve = sample(capacity, u)
        measure: Measure = "power" if capacity.measure == "power" else "speed"
        law = (variation.work_j_per_kcal, variation.power_per_cubed_speed)
        return [_Ability(untold, 1.0, Engine(critical, reserve, measure, *law), kind)] * len(options)
    return [_Ability(untold, 1.0, None, UNTOLD)] * len(options)
