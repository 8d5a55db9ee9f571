"""From a session's plan and an athlete's inputs to the candidates that the calculation chooses among."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final
from uuid import UUID

import numpy as np
from scipy.stats import qmc

from athletes.calc.capacity import (
    BEYOND_CURVE,
    MOST_REPETITIONS,
    Capacity,
    in_variation,
    load_for_repetitions,
    probability_beyond,
    sample_repetitions,
)
from athletes.calc.critical import CriticalCapacity
from athletes.calc.hold import HoldCapacity
from athletes.calc.hold_forecast import sample_seconds
from athletes.calc.trial_forecast import sample
from athletes.day import AS_USUAL, Day
from athletes.performed import Settings, effective_kg
from athletes.queries import AthleteInputs
from athletes.states import CapacityState
from programming.calc.arrays import FloatArray
from programming.calc.catalogue import UNDER_LOAD
from programming.calc.revision import DISTANCE, ENERGY, Block, WorkItem
from programming.calc.variation import Option
from programming.queries import SessionPlan, VariationEntry
from scoring.blocks import items_of
from scoring.calc.candidate import Candidate
from scoring.calc.engine import Engine
from scoring.calc.fatigue import MULTIPLIER_MEDIAN, MULTIPLIER_MEDIANS, slow_multipliers
from scoring.calc.prescription import RuledOut
from scoring.capacity_kind import HOLDS, PACED, REPEATS, UNTOLD, kind_of
from scoring.loadable import NO_LOAD_KG, Loadable, loadable, with_bar

SCENARIOS: Final = 1024
# A load that probably lies at or below the asymptote has no median of repetitions and is no candidate. Capacity
# shows no numbers from a smaller probability on; a choice need not, for what the long tail costs is in the
# expected loss, and a newcomer's check set settles it (ours).
MOST_BEYOND_CURVE: Final = 0.5
# Of many loadable increments only those around the window are worth a look: the loss grows away from it.
MOST_OPTIONS: Final = 24
# Attempts rise over a wide range: the opener and what is light for somebody unseen lie far below the best (ours).
MOST_OF_ATTEMPTS: Final = 80
# Where no engine tells the pace: two metres a second on foot or with a load carried, twelve kilocalories a minute
# at a machine (common practice, no source).
SECONDS_PER: Final = {DISTANCE: 0.5, ENERGY: 5.0}
# Open work has no third that a first set could be: ten repetitions are looked at (ours).
OPEN_MIDDLE: Final = 10.0

Listed = list[tuple[VariationEntry, Option]]


@dataclass(frozen=True, eq=False)
class Draws:
    """Common uniforms: (N, 2) for each movement, and the fatigue multiplier (N,) of an unknown athlete."""

    movements: tuple[FloatArray, ...]
    multiplier: FloatArray


@lru_cache(maxsize=16)
def common_draws(movements: int, scenarios: int = SCENARIOS) -> Draws:
    """The same scenarios for every athlete, option and run: a scrambled Sobol sequence with a fixed seed."""
    sequence = qmc.Sobol(d=2 * movements + 1, scramble=True, rng=np.random.default_rng(20_260_101))
    u = np.clip(sequence.random(scenarios), 1e-9, 1.0 - 1e-9)
    multiplier = slow_multipliers(u[:, -1])
    pairs = tuple(np.ascontiguousarray(u[:, 2 * index : 2 * index + 2]) for index in range(movements))
    return Draws(pairs, multiplier)


@dataclass(frozen=True, eq=False)
class Person:
    """What is known of the athlete: capacity by movement, the variations done before, and the scenarios.

    below_failure: movements of which no set is planned to failure.
    """

    inputs: AthleteInputs
    capacities: Mapping[UUID, CapacityState]
    known_variations: frozenset[UUID] = frozenset()
    scenarios: int = SCENARIOS
    below_failure: frozenset[UUID] = frozenset()


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
    never been seen in a movement gets nothing harder in it than the coach wrote: what is true of people in general
    is no reason to ask more of somebody unknown. Of work without a capacity model only the version as written is
    left, or the nearest easier one; of who never did that version the easiest, or the hardest easier one done before.
    """
    draws, numbers = draws_of(plan, person)
    found: dict[str, list[Candidate]] = {}
    left_out: list[RuledOut] = []
    for item in block.items:
        left_out += able.left_out(item.key)
        listed, reasons = _worth_a_look(block, item, plan, person, able.options[item.key])
        left_out += reasons
        u = draws.movements[numbers[item.movement]]
        eased = _is_eased(item, plan, person, listed)
        found[item.key] = [
            replace(candidate_of(item, entry, option, person, u), is_eased=eased) for entry, option in listed
        ]
    return Choice(found, tuple(left_out), multiplier_of(person, draws))


def draws_of(plan: SessionPlan, person: Person) -> tuple[Draws, Mapping[str, int]]:
    """The scenarios of a session, and the number of each movement in them: of one movement, one person."""
    movements = list(dict.fromkeys(item.movement for _, item in items_of(plan)))
    numbers = {movement: number for number, movement in enumerate(movements)}
    return common_draws(len(movements), person.scenarios), numbers


def multiplier_of(person: Person, draws: Draws) -> FloatArray:
    """Slow fatigue (N,) of the athlete, as known of their sex where it is given."""
    share: float = MULTIPLIER_MEDIANS.get(person.inputs.sex, MULTIPLIER_MEDIAN) / MULTIPLIER_MEDIAN
    return share * draws.multiplier


def candidate_of(
    item: WorkItem, entry: VariationEntry, option: Option, person: Person, u: FloatArray
) -> Candidate:
    """One option with what the athlete can do of it in the scenarios; u (N, 2) are those of the movement."""
    kind, variation = kind_of(entry, item), entry.variation
    capacity = person.capacities.get(entry.movement.id)
    fresh, engine = np.full(len(u), np.inf), None
    if kind == REPEATS and isinstance(capacity, Capacity):
        fresh = sample_repetitions(in_variation(capacity, variation.key), option.effective_kg, u)
    elif kind == HOLDS and isinstance(capacity, HoldCapacity):
        fresh = sample_seconds(capacity, option.effective_kg, u)
    elif kind == PACED and isinstance(capacity, CriticalCapacity):
        critical, reserve = sample(capacity, u)
        measure = "power" if capacity.measure == "power" else "speed"
        law = (variation.work_j_per_kcal, variation.power_per_cubed_speed)
        engine = Engine(critical, reserve, measure, *law)  # type: ignore[arg-type]  # a literal of two
    else:
        kind = UNTOLD
    alone = person.inputs.trains_alone and with_bar(variation, option)
    return Candidate(
        option,
        fresh,
        is_as_written=is_as_written(item, option),
        is_novel=bool(person.known_variations) and entry.variation_id not in person.known_variations,
        below_failure=alone or entry.movement.id in person.below_failure,
        seconds_per_unit=SECONDS_PER.get(item.unit, variation.repetition_s),
        engine=engine,
        kind=kind,
        is_unseen=_is_unseen(capacity),
        starts_light=isinstance(capacity, Capacity)
        and _is_unseen(capacity)
        and (option.load_kg is not None or UNDER_LOAD in variation.hazards or with_bar(variation, option)),
    )


def _is_unseen(capacity: CapacityState | None) -> bool:
    return isinstance(capacity, (Capacity, HoldCapacity)) and capacity.observations == 0


def is_as_written(item: WorkItem, option: Option) -> bool:
    """Whether the option is the version that the coach wrote."""
    written = item.as_written
    return (
        option.variation_key == written.variation
        and option.load_kg == written.load_kg
        and option.assistance_kg == written.assistance_kg
        and option.height_cm == written.height_cm
    )


def _worth_a_look(
    block: Block, item: WorkItem, plan: SessionPlan, person: Person, listed: Listed
) -> tuple[Listed, list[RuledOut]]:
    """The options that the calculation compares, and what is left out for what is known of the athlete."""
    if not listed:
        return [], []
    kinds = {kind_of(entry, item) for entry, _ in listed}
    if kinds <= {UNTOLD, PACED}:
        return _without_model(item, plan, person, listed)
    capacity = person.capacities.get(listed[0][0].movement.id)
    if isinstance(capacity, HoldCapacity):
        return _unseen(item, capacity.observations, listed)[:MOST_OPTIONS], []
    if not isinstance(capacity, Capacity):
        return [], []
    kept, too_light = _on_curve(capacity, listed)
    near = _near_window(block, item, capacity, _unseen(item, capacity.observations, kept))
    return near, [RuledOut(item.key, variation, BEYOND_CURVE) for variation in too_light]


def _without_model(
    item: WorkItem, plan: SessionPlan, person: Person, listed: Listed
) -> tuple[Listed, list[RuledOut]]:
    """The version as written, else the hardest that is easier: a lower rung, or less on the same one.

    Of cyclical work no rung is easier: else whatever machine or course is nearest. Nothing tells how a version goes
    that was never done, so one begins with what is easier, as far as there is anything.
    """
    written = [pair for pair in listed if is_as_written(item, pair[1])]
    entry = plan.variations.get(item.as_written.variation)
    never_done = _never_done(item, plan, person)
    if written and (entry is None or not never_done or kind_of(entry, item) == PACED):
        return written[:1], []
    if entry is None:
        return [], []
    rung, settings = entry.variation.rung, item.as_written
    if kind_of(entry, item) == PACED:
        return [min(listed, key=lambda pair: (abs(pair[0].variation.rung - rung), pair[1].variation_key))], []
    load = effective_kg(
        entry.variation,
        Settings(settings.load_kg, settings.assistance_kg, settings.height_cm),
        person.inputs.body_mass_kg or 1.0,
    )
    most = load or NO_LOAD_KG
    easier = [
        pair
        for pair in listed
        if pair[0].variation.rung < rung
        or (pair[0].variation.key == entry.variation.key and pair[1].effective_kg <= most)
    ]
    if not easier:
        harder = dict.fromkeys(pair[0].variation.key for pair in listed)
        return [], [RuledOut(item.key, variation, "harder_than_written") for variation in harder]
    if not never_done:
        return [max(easier, key=_hardness)], []
    done = [pair for pair in easier if pair[0].variation_id in person.known_variations]
    return [max(done, key=_hardness) if done else min(easier, key=_hardness)], []


def _hardness(pair: tuple[VariationEntry, Option]) -> tuple[int, float]:
    """Order of versions without a capacity model: by rung, then by load."""
    entry, option = pair
    return entry.variation.rung, option.effective_kg


def _never_done(item: WorkItem, plan: SessionPlan, person: Person) -> bool:
    """Whether the athlete is not known to have done the variation that is written."""
    entry = plan.variations.get(item.as_written.variation)
    return entry is not None and entry.variation_id not in person.known_variations


def _is_eased(item: WorkItem, plan: SessionPlan, person: Person, chosen: Listed) -> bool:
    """Whether something easier stands in place of a version without a capacity model that was never done."""
    without = all(kind_of(entry, item) == UNTOLD for entry, _ in chosen)
    written = any(is_as_written(item, option) for _, option in chosen)
    return without and not written and _never_done(item, plan, person)


def _on_curve(capacity: Capacity, listed: Listed) -> tuple[Listed, list[str]]:
    """The options whose repetitions the curve tells, and the variations none of whose options it does."""
    kept = [
        pair for pair in listed if probability_beyond(capacity, pair[1].effective_kg) <= MOST_BEYOND_CURVE
    ]
    left = {entry.variation.key for entry, _ in kept}
    return kept, list(dict.fromkeys(e.variation.key for e, _ in listed if e.variation.key not in left))


def _unseen(item: WorkItem, observations: int, listed: Listed) -> Listed:
    """Without one observation, the version as written and what is lighter."""
    written = [option.effective_kg for _, option in listed if is_as_written(item, option)]
    if observations > 0 or not written:
        return listed
    return [pair for pair in listed if pair[1].effective_kg <= max(written)]


def _near_window(block: Block, item: WorkItem, capacity: Capacity, listed: Listed) -> Listed:
    """At most MOST_OPTIONS (attempts: MOST_OF_ATTEMPTS), nearest in log load to where the first set would fit; the
    written one always.
    """
    most = MOST_OF_ATTEMPTS if block.rules.order == "attempts" else MOST_OPTIONS
    if len(listed) <= most:
        return listed
    wanted = load_for_repetitions(capacity, min(_window_middle(block, item), MOST_REPETITIONS))
    ordered = sorted(listed, key=lambda pair: abs(math.log(pair[1].effective_kg / wanted)))
    kept = ordered[:most]
    kept += [pair for pair in ordered[most:] if is_as_written(item, pair[1])]
    return sorted(kept, key=lambda pair: (pair[1].effective_kg, pair[1].variation_key))


def _window_middle(block: Block, item: WorkItem) -> float:
    for condition in block.aim.conditions:
        if condition.kind == "first_set" and condition.work == item.key:
            bounds = [bound for bound in (condition.lower, condition.upper) if bound is not None]
            if bounds:
                return sum(bounds) / len(bounds)
    return OPEN_MIDDLE if item.amount is None else item.amount / 3.0
