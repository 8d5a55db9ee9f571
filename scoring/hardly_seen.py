"""Who was hardly seen in a movement: of whom a log tells only that at least so much was possible.

A set that was stopped as planned, or for pain, shows that a load is not too heavy, never how heavy is. So one light
set makes nobody known: what holds for somebody never seen holds for them too, within what they did (common practice,
no source). A set to failure, a maximum, a miss, or a set with the repetitions left ends it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final
from uuid import UUID

from athletes.calc.capacity import Capacity
from athletes.calc.hold import HoldCapacity
from athletes.calc.lifted import most_repetitions
from athletes.performed import Settings, effective_kg
from athletes.states import CapacityState
from programming.calc.catalogue import UNDER_LOAD
from programming.calc.revision import Block, WorkItem
from programming.calc.stepper import EPSILON
from programming.calc.variation import Option
from programming.plans import VariationEntry
from scoring.calc.check_sets import set_to_begin
from scoring.loadable import with_bar

# Of what lies on the bar a quarter more than was done is a step, and the next load that there is where it is half as
# much again at most; of all that is moved, the body too, a twentieth (ours).
LOAD_STEP: Final = 1.25
NEXT_LOAD: Final = 1.5
MOVED_STEP: Final = 1.05

Pair = tuple[VariationEntry, Option]


def is_within_a_step(load_kg: float, done_kg: float, *, is_next: bool = False) -> bool:
    """Whether what lies on the bar is no more than a step from what was done, none below that being one.

    is_next: whether it is the lightest load there is of those above what was done.
    """
    return load_kg <= (NEXT_LOAD if is_next else LOAD_STEP) * done_kg + EPSILON


def is_unseen(capacity: CapacityState | None) -> bool:
    """Whether nothing at all was seen of a capacity that tells loads or seconds."""
    return isinstance(capacity, (Capacity, HoldCapacity)) and capacity.observations == 0


def is_unbounded(capacity: CapacityState | None) -> bool:
    """Whether nothing was seen of what is not possible: nothing at all, or lower bounds alone."""
    if isinstance(capacity, HoldCapacity):
        return capacity.tested_log_loads.size == 0
    return isinstance(capacity, Capacity) and capacity.bounded == 0


def starts_light(
    block: Block, item: WorkItem, entry: VariationEntry, option: Option, capacity: CapacityState | None
) -> bool:
    """Whether there is a load that may be too heavy for somebody hardly seen: none that a set of this work was done
    with in the last four weeks.
    """
    variation = entry.variation
    if not isinstance(capacity, Capacity) or not is_unbounded(capacity):
        return False
    loaded = option.load_kg is not None or UNDER_LOAD in variation.hazards or with_bar(variation, option)
    done = most_repetitions(
        capacity.lifts, option.effective_kg, capacity.day, capacity.absences, variation.key
    )
    return loaded and done < set_to_begin(block, item)


def beyond_a_step(
    listed: list[Pair],
    capacity: CapacityState | None,
    body_mass_kg: float | None,
    heaviest: Mapping[UUID, float],
    *,
    checked: bool,
) -> set[Option]:
    """The options that are more than a step from the heaviest load that somebody hardly seen has done.

    heaviest: load [kg] that stands in a log, by variation, of which no observation may have been made. checked: a
    check set of the movement was done for this session, and left it open; then there is no step up.
    """
    if not isinstance(capacity, Capacity) or not is_unbounded(capacity):
        return set()
    logged = (
        effective_kg(entry.variation, Settings(load_kg=heaviest[entry.variation_id]), body_mass_kg or 1.0)
        for entry in {one.variation_id: one for one, _ in listed}.values()
        if entry.variation_id in heaviest
    )
    done_kg = max((kg for kg in (capacity.done_kg, *logged) if kg is not None), default=None)
    if done_kg is None:
        return set()
    heavier: list[str] = []
    found: set[Option] = set()
    for entry, option in sorted(listed, key=lambda pair: pair[1].effective_kg):
        if option.effective_kg <= done_kg * (1.0 + EPSILON):
            continue
        bare = _bare_kg(entry, option, body_mass_kg)
        on_it, was_on_it = option.effective_kg - bare, max(done_kg - bare, 0.0)
        is_next = entry.variation.key not in heavier
        heavier.append(entry.variation.key)
        is_step = is_within_a_step(on_it, was_on_it, is_next=is_next)
        is_step |= option.effective_kg <= MOVED_STEP * done_kg
        if checked or not is_step:
            found.add(option)
    return found


def _bare_kg(entry: VariationEntry, option: Option, body_mass_kg: float | None) -> float:
    """What the variation moves without a load [kg]."""
    if option.load_kg is None:
        return 0.0
    settings = Settings(assistance_kg=option.assistance_kg, height_cm=option.height_cm)
    return effective_kg(entry.variation, settings, body_mass_kg or 1.0) or 0.0
