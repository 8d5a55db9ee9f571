"""Of the options that can be set up, those that the calculation compares for one athlete."""

from __future__ import annotations

import math
from typing import Final

from athletes.calc.capacity import (
    BEYOND_CURVE,
    MOST_REPETITIONS,
    Capacity,
    load_for_repetitions,
    probability_beyond,
    repetitions_at,
)
from athletes.calc.hold import HoldCapacity
from athletes.performed import Settings, effective_kg
from programming.calc.revision import Block, WorkItem
from programming.calc.variation import Option
from programming.plans import SessionPlan, VariationEntry
from scoring.calc.check_sets import least_to_begin
from scoring.calc.first_set import LIGHT_ENOUGH
from scoring.calc.prescription import RuledOut
from scoring.capacity_kind import PACED, UNTOLD, kind_of
from scoring.hardly_seen import is_unbounded, is_within_a_step
from scoring.loadable import NO_LOAD_KG
from scoring.person import Person

# A load that probably lies at or below the asymptote has no median of repetitions and is no candidate. Capacity
# shows no numbers from a smaller probability on; a choice need not, for what the long tail costs is in the
# expected loss, and a newcomer's check set settles it (ours).
MOST_BEYOND_CURVE: Final = 0.5
# Of many loadable increments only those around the window are worth a look: the loss grows away from it.
MOST_OPTIONS: Final = 24
# Attempts rise over a wide range: the opener and what is light for somebody unseen lie far below the best (ours).
MOST_OF_ATTEMPTS: Final = 80
# Open work has no third that a first set could be: ten repetitions are looked at (ours).
OPEN_MIDDLE: Final = 10.0
Listed = list[tuple[VariationEntry, Option]]


def is_as_written(item: WorkItem, option: Option) -> bool:
    """Whether the option is the version that the coach wrote."""
    written = item.as_written
    return (
        option.variation_key == written.variation
        and option.load_kg == written.load_kg
        and option.assistance_kg == written.assistance_kg
        and option.height_cm == written.height_cm
    )


def effective_kg_written(item: WorkItem, plan: SessionPlan, person: Person) -> float:
    """Of the version that the coach wrote for this athlete; infinite where it is no version of the session's."""
    entry, settings = plan.variations.get(item.as_written.variation), item.as_written
    if entry is None:
        return math.inf
    told = Settings(settings.load_kg, settings.assistance_kg, settings.height_cm)
    return effective_kg(entry.variation, told, person.inputs.body_mass_kg or 1.0) or NO_LOAD_KG


def worth_a_look(
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
        return _nothing_harder(item, capacity, listed)[:MOST_OPTIONS], []
    if not isinstance(capacity, Capacity):
        return [], []
    kept, too_light = _on_curve(capacity, listed)
    near = _near_window(block, item, capacity, _nothing_harder(item, capacity, kept))
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
        return [_within_a_step(person, listed, written[0])], []
    if entry is None:
        return [], []
    rung = entry.variation.rung
    if kind_of(entry, item) == PACED:
        return [min(listed, key=lambda pair: (abs(pair[0].variation.rung - rung), pair[1].variation_key))], []
    most = effective_kg_written(item, plan, person)
    easier = [
        pair
        for pair in listed
        if pair[0].variation.rung < rung
        or (pair[0].variation.key == entry.variation.key and pair[1].effective_kg <= most)
    ]
    if not easier:
        harder = dict.fromkeys(pair[0].variation.key for pair in listed)
        return [], [RuledOut(item.key, variation, "harder_than_written") for variation in harder]
    done = [pair for pair in easier if pair[0].variation_id in person.known_variations]
    if never_done and not done:
        return [min(easier, key=_hardness)], []
    hardest = max(done if never_done else easier, key=_hardness)
    return [_within_a_step(person, listed, hardest)], []


def _within_a_step(
    person: Person, listed: Listed, wanted: tuple[VariationEntry, Option]
) -> tuple[VariationEntry, Option]:
    """The version wanted, or with the heaviest load that is no great step from what was done of it."""
    entry, option = wanted
    heaviest = person.heaviest.get(entry.variation_id)
    if heaviest is None or option.load_kg is None or is_within_a_step(option.load_kg, heaviest):
        return wanted
    loads = sorted(
        (
            (pair[1].load_kg, number)
            for number, pair in enumerate(listed)
            if pair[0].variation_id == entry.variation_id and pair[1].load_kg is not None
        ),
    )
    following = [one for one in loads if one[0] > heaviest][:1]
    within = [one for one in loads if is_within_a_step(one[0], heaviest, is_next=one in following)]
    return listed[(within[-1:] or loads)[0][1]]


def _hardness(pair: tuple[VariationEntry, Option]) -> tuple[int, float]:
    """Order of versions without a capacity model: by rung, then by load."""
    entry, option = pair
    return entry.variation.rung, option.effective_kg


def _never_done(item: WorkItem, plan: SessionPlan, person: Person) -> bool:
    """Whether the athlete is not known to have done the variation that is written, or one as hard or harder."""
    entry = plan.variations.get(item.as_written.variation)
    return entry is not None and not any(
        other.movement.id == entry.movement.id
        and other.variation.rung >= entry.variation.rung
        and other.variation_id in person.known_variations
        for other in plan.variations.values()
    )


def is_eased(item: WorkItem, plan: SessionPlan, person: Person, chosen: Listed) -> bool:
    """Whether something easier stands in place of a version without a capacity model that was never done."""
    without = all(kind_of(entry, item) == UNTOLD for entry, _ in chosen)
    written = any(is_as_written(item, option) for _, option in chosen)
    return without and not written and (_never_done(item, plan, person) or _done_lighter(item, plan, person))


def _done_lighter(item: WorkItem, plan: SessionPlan, person: Person) -> bool:
    """Whether the variation that is written was done, with more than a step below the load that is."""
    entry, load_kg = plan.variations.get(item.as_written.variation), item.as_written.load_kg
    heaviest = None if entry is None else person.heaviest.get(entry.variation_id)
    return heaviest is not None and load_kg is not None and not is_within_a_step(load_kg, heaviest)


def _on_curve(capacity: Capacity, listed: Listed) -> tuple[Listed, list[str]]:
    """The options whose repetitions the curve tells, and the variations none of whose options it does."""
    kept = [
        pair for pair in listed if probability_beyond(capacity, pair[1].effective_kg) <= MOST_BEYOND_CURVE
    ]
    left = {entry.variation.key for entry, _ in kept}
    return kept, list(dict.fromkeys(e.variation.key for e, _ in listed if e.variation.key not in left))


def _nothing_harder(item: WorkItem, capacity: Capacity | HoldCapacity, listed: Listed) -> Listed:
    """Of who was never or hardly seen, the version as written and what is lighter."""
    written = [option.effective_kg for _, option in listed if is_as_written(item, option)]
    if not is_unbounded(capacity) or not written:
        return listed
    return [pair for pair in listed if pair[1].effective_kg <= max(written)]


def _near_window(block: Block, item: WorkItem, capacity: Capacity, listed: Listed) -> Listed:
    """At most MOST_OPTIONS (attempts: MOST_OF_ATTEMPTS), nearest in log load to where the first set would fit; the
    written one always. Of somebody hardly seen half of them are near the load to begin with, and what was done, which
    lie far below.
    """
    most = MOST_OF_ATTEMPTS if block.rules.order == "attempts" else MOST_OPTIONS
    if len(listed) <= most:
        return listed
    wanted = load_for_repetitions(capacity, min(_window_middle(block, item), MOST_REPETITIONS))
    kept = _nearest(listed, wanted, most)
    if is_unbounded(capacity):
        begin = _load_to_begin(block, item, capacity, listed)
        kept = []
        for load in (begin, begin if capacity.done_kg is None else capacity.done_kg):
            kept += _nearest([pair for pair in listed if pair not in kept], load, most // 4)
        kept += _nearest([pair for pair in listed if pair not in kept], wanted, most - len(kept))
    kept += [pair for pair in listed if is_as_written(item, pair[1]) and pair not in kept]
    return sorted(kept, key=lambda pair: (pair[1].effective_kg, pair[1].variation_key))


def _nearest(listed: Listed, wanted: float, most: int) -> Listed:
    """Those nearest in log load to one [kg]."""
    return sorted(listed, key=lambda pair: abs(math.log(pair[1].effective_kg / wanted)))[:most]


def _load_to_begin(block: Block, item: WorkItem, capacity: Capacity, listed: Listed) -> float:
    """The heaviest effective load [kg] with which nine in ten can do what somebody unseen begins with; where there is
    none that with which most can.
    """
    attempts = block.rules.order == "attempts"
    least = (item.amount or 1.0) if attempts else least_to_begin(block, item)
    loads = sorted({option.effective_kg for _, option in listed})
    sure = {load: 1.0 - repetitions_at(capacity, load).mixture.at_most(least) for load in loads}
    enough = [load for load in loads if sure[load] >= LIGHT_ENOUGH]
    return enough[-1] if enough else max(loads, key=lambda load: sure[load])


def _window_middle(block: Block, item: WorkItem) -> float:
    for condition in block.aim.conditions:
        if condition.kind == "first_set" and condition.work == item.key:
            bounds = [bound for bound in (condition.lower, condition.upper) if bound is not None]
            if bounds:
                return sum(bounds) / len(bounds)
    return OPEN_MIDDLE if item.amount is None else item.amount / 3.0
