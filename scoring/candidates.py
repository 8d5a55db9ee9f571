"""From a session's plan and an athlete's inputs to the candidates that the calculation chooses among."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final
from uuid import UUID

import numpy as np
from scipy.stats import qmc

from athletes.calc.capacity import (
    BEYOND_CURVE,
    MOST_REPETITIONS,
    Capacity,
    load_for_repetitions,
    probability_beyond,
    sample_repetitions,
)
from athletes.day import AS_USUAL, Day
from athletes.queries import AthleteInputs
from programming.calc.arrays import FloatArray
from programming.calc.catalogue import UNDER_LOAD
from programming.calc.kit import BARBELL, SAFETIES, Kit, options, parse_kit
from programming.calc.revision import Block, WorkItem
from programming.calc.variation import Option
from programming.queries import SessionPlan, VariationEntry
from scoring.calc.fatigue import MULTIPLIER_MEDIAN, MULTIPLIER_MEDIANS, slow_multipliers
from scoring.calc.prescription import Candidate, RuledOut

SCENARIOS: Final = 1024
# A load that probably lies at or below the asymptote has no median of repetitions and is no candidate. Capacity
# shows no numbers from a smaller probability on; a choice need not, for what the long tail costs is in the
# expected loss, and a newcomer's check set settles it (ours).
MOST_BEYOND_CURVE: Final = 0.5
# A muscle group is spared by leaving out what works it at least half as much as its main one (ours: below that it
# holds still or helps).
SPARED_FROM: Final = 0.5
# Of many loadable increments only those around the window are worth a look: the loss grows away from it.
MOST_OPTIONS: Final = 24


@dataclass(frozen=True, eq=False)
class Draws:
    """Common uniforms: (N, 2) for each work item, and the fatigue multiplier (N,) of an unknown athlete."""

    items: tuple[FloatArray, ...]
    multiplier: FloatArray


@lru_cache(maxsize=8)
def common_draws(items: int) -> Draws:
    """The same scenarios for every athlete, option and run: a scrambled Sobol sequence with a fixed seed."""
    sequence = qmc.Sobol(d=2 * items + 1, scramble=True, rng=np.random.default_rng(20_260_101))
    u = np.clip(sequence.random(SCENARIOS), 1e-9, 1.0 - 1e-9)
    multiplier = slow_multipliers(u[:, -1])
    pairs = tuple(np.ascontiguousarray(u[:, 2 * item : 2 * item + 2]) for item in range(items))
    return Draws(pairs, multiplier)


@dataclass(frozen=True, eq=False)
class Choice:
    """What the calculation may choose from: by work key, with what was left out and why.

    multiplier (N,): slow fatigue of the athlete in the scenarios of the candidates.
    """

    candidates: Mapping[str, list[Candidate]]
    ruled_out: tuple[RuledOut, ...]
    multiplier: FloatArray


@dataclass(frozen=True, eq=False)
class Loadable:
    """What can be set up and is allowed, easier variations first: by work key, and what was left out and why."""

    options: Mapping[str, list[tuple[VariationEntry, Option]]]
    ruled_out: tuple[RuledOut, ...]


def gather(
    plan: SessionPlan,
    inputs: AthleteInputs,
    capacities: Mapping[UUID, Capacity],
    known_variations: frozenset[UUID],
    day: Day = AS_USUAL,
) -> Choice:
    """Candidates of one athlete for one session.

    Left out, each with its reason: variations that a limit or something sore forbids, that need what is not
    there or not free, that have no load-repetition curve, whose load cannot be known without a body mass, that
    are too light for the curve to tell repetitions, or whose bar would catch an athlete who trains alone without
    safeties. Alone, no other work with the bar is planned to failure either. Whoever has never been seen in a movement gets nothing harder in
    it than the coach wrote: what is true of people in general is no reason to ask more of somebody unknown.
    """
    draws = common_draws(len(plan.block.work))
    able = loadable(plan, inputs, day)
    found: dict[str, list[Candidate]] = {}
    left_out = list(able.ruled_out)
    for number, item in enumerate(plan.block.work):
        capacity = capacities.get(plan.movement(item.key).id)
        listed, too_light = _on_curve(capacity, able.options[item.key])
        left_out += [RuledOut(item.key, variation, BEYOND_CURVE) for variation in too_light]
        near = _near_window(plan.block, item, capacity, _unseen(item, capacity, listed))
        found[item.key] = [
            Candidate(
                option,
                sample_repetitions(capacity, option.effective_kg, draws.items[number]),
                is_as_written=is_as_written(item, option),
                is_novel=bool(known_variations) and entry.variation_id not in known_variations,
                below_failure=inputs.trains_alone and _with_bar(entry, option),
            )
            for entry, option in near
            if capacity is not None
        ]
    share = MULTIPLIER_MEDIANS.get(inputs.sex, MULTIPLIER_MEDIAN) / MULTIPLIER_MEDIAN
    return Choice(found, tuple(left_out), share * draws.multiplier)


def loadable(plan: SessionPlan, inputs: AthleteInputs, day: Day = AS_USUAL) -> Loadable:
    """What people decide of an athlete's choice, and what is ruled out (see `gather`); without capacity."""
    room = Room(kit_of(plan, inputs), day)
    found: dict[str, list[tuple[VariationEntry, Option]]] = {}
    left_out: list[RuledOut] = []
    for item in plan.block.work:
        found[item.key] = []
        for entry in plan.ladder(item.key):
            made, reason = options_of(entry, inputs, room)
            if reason is not None:
                left_out.append(RuledOut(item.key, entry.variation.key, reason))
            found[item.key] += [(entry, option) for option in made]
    return Loadable(found, tuple(left_out))


@dataclass(frozen=True)
class Room:
    """What there is to train with, and what is different on the day."""

    kit: Kit
    day: Day = AS_USUAL

    @property
    def free(self) -> Kit:
        """The kit without what is in use."""
        return Kit({name: item for name, item in self.kit.items.items() if name not in self.day.items})


def kit_of(plan: SessionPlan, inputs: AthleteInputs) -> Kit:
    """The athlete's own kit where there is one, else the location's."""
    return plan.kit if inputs.kit is None else parse_kit(inputs.kit)


def options_of(entry: VariationEntry, inputs: AthleteInputs, room: Room) -> tuple[list[Option], str | None]:
    """The loadable options of a variation, or why there are none."""
    if (spoken := speaks_against(entry, inputs, room.day)) is not None:
        return [], spoken
    if not entry.curve_applies:
        return [], "no_load_repetition_curve"
    made, reason = loads_of(entry, inputs, room)
    if inputs.trains_alone and UNDER_LOAD in entry.variation.hazards and SAFETIES not in room.free.items:
        made = [option for option in made if not _with_bar(entry, option)]
        return made, reason or (None if made else "alone_without_safeties")
    return made, reason


def speaks_against(entry: VariationEntry, inputs: AthleteInputs, day: Day) -> str | None:
    """Why the athlete is not given this variation although it could be set up; None when nothing is known."""
    variation = entry.variation
    if forbidden := variation.hazards & inputs.hazards:
        return f"limit:{min(forbidden)}"
    if sore := variation.hazards & day.hazards:
        return f"sore:{min(sore)}"
    most = max((weight for _, weight in variation.muscle_groups), default=0.0)
    worked = {name for name, weight in variation.muscle_groups if weight >= SPARED_FROM * most}
    if sore := worked & day.muscle_groups:
        return f"sore:{min(sore)}"
    return None


def loads_of(entry: VariationEntry, inputs: AthleteInputs, room: Room) -> tuple[list[Option], str | None]:
    """What of a variation can be set up with what is free, or why nothing can."""
    variation = entry.variation
    if inputs.body_mass_kg is None and (variation.body_mass_fraction > 0 or variation.height_fractions):
        return [], "body_mass_missing"
    # Without a share of the body mass its value does not enter the load.
    body_mass_kg = inputs.body_mass_kg or 1.0
    made = options(variation, room.free, body_mass_kg)
    if made:
        return made, None
    return [], "kit_in_use" if options(variation, room.kit, body_mass_kg) else "equipment_missing"


def _with_bar(entry: VariationEntry, option: Option) -> bool:
    """Whether a barbell is lifted: always where it is needed, with a load where it only may be added."""
    variation = entry.variation
    return BARBELL in variation.needs or (variation.load_item == BARBELL and option.load_kg is not None)


def _on_curve(
    capacity: Capacity | None, listed: list[tuple[VariationEntry, Option]]
) -> tuple[list[tuple[VariationEntry, Option]], list[str]]:
    """The options whose repetitions the curve tells, and the variations none of whose options it does."""
    if capacity is None:
        return listed, []
    kept = [
        pair for pair in listed if probability_beyond(capacity, pair[1].effective_kg) <= MOST_BEYOND_CURVE
    ]
    left = {entry.variation.key for entry, _ in kept}
    return kept, list(dict.fromkeys(e.variation.key for e, _ in listed if e.variation.key not in left))


def _unseen(
    item: WorkItem, capacity: Capacity | None, listed: list[tuple[VariationEntry, Option]]
) -> list[tuple[VariationEntry, Option]]:
    """Without one observation, the version as written and what is lighter."""
    written = [option.effective_kg for _, option in listed if is_as_written(item, option)]
    if capacity is None or capacity.observations > 0 or not written:
        return listed
    return [pair for pair in listed if pair[1].effective_kg <= max(written)]


def is_as_written(item: WorkItem, option: Option) -> bool:
    """Whether the option is the version that the coach wrote."""
    written = item.as_written
    return (
        option.variation_key == written.variation
        and option.load_kg == written.load_kg
        and option.assistance_kg == written.assistance_kg
        and option.height_cm == written.height_cm
    )


def _near_window(
    block: Block, item: WorkItem, capacity: Capacity | None, listed: list[tuple[VariationEntry, Option]]
) -> list[tuple[VariationEntry, Option]]:
    """At most MOST_OPTIONS, nearest in log load to where the first set would fit; the written one always."""
    if capacity is None or len(listed) <= MOST_OPTIONS:
        return listed
    wanted = load_for_repetitions(capacity, min(_window_middle(block, item), MOST_REPETITIONS))
    ordered = sorted(listed, key=lambda pair: abs(math.log(pair[1].effective_kg / wanted)))
    kept = ordered[:MOST_OPTIONS]
    kept += [pair for pair in ordered[MOST_OPTIONS:] if is_as_written(item, pair[1])]
    return sorted(kept, key=lambda pair: (pair[1].effective_kg, pair[1].variation_key))


def _window_middle(block: Block, item: WorkItem) -> float:
    for condition in block.aim.conditions:
        if condition.kind == "first_set" and condition.work == item.key:
            bounds = [bound for bound in (condition.lower, condition.upper) if bound is not None]
            if bounds:
                return sum(bounds) / len(bounds)
    return item.repetitions / 3.0
