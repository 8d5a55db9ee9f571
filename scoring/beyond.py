"""Whether an override asks for more than the athlete can probably do.

Three questions, each of what is named: whether the least that counts of it can be done at all; whether an amount of
the coach's own, above what is written, fits into one fresh set; and whether the repetitions of the movement over the
whole session go far beyond what was done of late, a day and the day before being one bout (athletes.calc.caution).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final
from uuid import UUID

from athletes.calc.capacity import Capacity, in_variation, repetitions_at
from athletes.calc.caution import FAR_MORE_FACTOR, NOVEL, PlannedWork, unaccustomed
from athletes.calc.critical import CriticalCapacity
from athletes.calc.hold import HoldCapacity
from athletes.calc.hold_forecast import seconds_at
from athletes.safety import Safety
from athletes.states import CapacityState
from programming.calc.revision import REPETITIONS, Block
from programming.plans import SessionPlan
from scoring.blocks import find_item
from scoring.capacity_kind import HOLDS, REPEATS, kind_of
from scoring.overriding import Chosen, total_of
from scoring.words import UNACCUSTOMED, whole

BEYOND_PREFIX: Final = "beyond_capacity:"
LEAST_PROBABILITY: Final = 0.5
"""Ours: below it a miss under the load is to be expected, and whoever plans one should say that they mean it."""
BY_THE_ATHLETE: Final = "what is known of the athlete"
BY_PEOPLE: Final = "what is known of people in general alone, since nobody has seen the athlete do it"
ONE_SET_PROBABILITY: Final = 0.1
"""Ours: beyond the upper bound of what is available; nine of ten athletes like this one have to break it up."""


def beyond_capacity(
    plan: SessionPlan,
    chosen: Sequence[Chosen],
    capacities: Mapping[UUID, CapacityState],
    safety: Safety,
    done: Collection[UUID],
) -> dict[str, str]:
    """By code to acknowledge, what each work item asks beyond what is probable, in sentences; done: the variations
    that the athlete was seen to do, since of a movement never seen only people in general tell.

    Asked when an override is made, not afterwards: what is learned later takes no override back. What is only as much
    as the coach has written is no matter of the override.
    """
    found: dict[str, list[str]] = defaultdict(list)
    seen = movements_seen(plan, done)
    for one in chosen:
        block_and_item = find_item(plan, one.named.work)
        if block_and_item is None:
            continue
        capacity = capacities.get(one.entry.movement.id)
        by = BY_THE_ATHLETE if one.entry.movement.key in seen else BY_PEOPLE
        found[one.named.work] += [
            *_impossible(block_and_item[0], one, capacity, by),
            *(_beyond_one_set(one, capacity, by) if _asks_for_more(one) else ()),
        ]
    for key, sentence in _beyond_of_late(plan, chosen, safety):
        found[key].append(sentence)
    return {f"{BEYOND_PREFIX}{key}": " ".join(told) for key, told in found.items() if told}


def movements_seen(plan: SessionPlan, done: Collection[UUID]) -> set[str]:
    """Keys of the movements of which some version was seen; done: variations."""
    return {entry.movement.key for entry in plan.variations.values() if entry.variation_id in done}


def _impossible(block: Block, one: Chosen, capacity: CapacityState | None, by: str) -> Iterator[str]:
    """Of the least that counts: one repetition, one second; of attempts a whole one, which cannot be split."""
    least = max(1.0, _amount(one) or 1.0) if block.rules.order == "attempts" else 1.0
    probability = _at_least(one, least, capacity)
    if probability is not None and probability < LEAST_PROBABILITY:
        yield _told(one, least, probability, by)
        return
    # The opener is likely; the last ones are meant to be doubtful, but not hopeless.
    for number, option in enumerate(one.attempts, 1):
        made = _at_least(replace(one, option=option), least, capacity)
        if made is not None and made < ONE_SET_PROBABILITY:
            yield (
                f"Attempt {number} of {one.entry.name}, with {option.load_kg:g} kg, is made on {days_said(made)}."
            )


def _beyond_one_set(one: Chosen, capacity: CapacityState | None, by: str) -> Iterator[str]:
    """Where no capacity tells it, far more than written is what somebody should mean."""
    amount = _amount(one)
    assert amount is not None
    probability = _at_least(one, amount, capacity)
    if probability is not None and probability < ONE_SET_PROBABILITY:
        yield _told(one, amount, probability, by)
    written = one.item.amount
    if probability is None and written is not None and amount > FAR_MORE_FACTOR * written:
        yield (
            f"{one.entry.name}: {whole(amount, one.item.unit)}, more than {FAR_MORE_FACTOR:g} times the"
            f" {whole(written, one.item.unit)} that are written; {_what_tells(capacity)}."
        )


def _what_tells(capacity: CapacityState | None) -> str:
    """Where no set ends by itself, as at a machine, the forecast tells the time and nothing else."""
    if isinstance(capacity, CriticalCapacity):
        return "how long that takes the forecast tells"
    return "nothing tells whether that can be done"


def _beyond_of_late(plan: SessionPlan, chosen: Sequence[Chosen], safety: Safety) -> Iterator[tuple[str, str]]:
    """(work, sentence) for each item that adds to more of a movement than was done in any bout of four weeks."""
    together: dict[UUID, list[Chosen]] = defaultdict(list)
    for one in chosen:
        if one.item.unit == REPETITIONS:
            together[one.entry.movement.id].append(one)
    for movement, parts in together.items():
        more = [one for one in parts if _asks_for_more(one)]
        totals = [total_of(plan, one) for one in parts]
        total = sum(one for one in totals if one is not None)
        eccentric = max(one.entry.variation.eccentric for one in parts)
        day = plan.local_date.toordinal()
        caution = unaccustomed(PlannedWork(movement, day, total, False, eccentric), safety.recent_failure)
        if caution is None:
            continue
        _, most = UNACCUSTOMED[caution.reason]
        told = most.format(most=caution.most_repetitions)
        since = "it was not done" if caution.reason == NOVEL else "after what was done"
        for one in more:
            yield (
                one.named.work,
                f"{one.entry.name}: {total:g} repetitions in the session; {since} in the last four weeks, {told}.",
            )


def _asks_for_more(one: Chosen) -> bool:
    """Whether the override has an amount of its own, above what is written or where nothing is."""
    if one.named.amount is None:
        return False
    return one.item.amount is None or one.named.amount > one.item.amount


def _amount(one: Chosen) -> float | None:
    return one.item.amount if one.named.amount is None else one.named.amount


def _told(one: Chosen, amount: float, probability: float, by: str) -> str:
    return (
        f"{one.entry.name}: at least {whole(amount, one.item.unit)} at a time can be done on {days_said(probability)}"
        f" by {by}."
    )


def days_said(probability: float) -> str:
    """Out of a hundred; never none or all of them, which no estimate knows."""
    share = round(100.0 * probability)
    if share < 1:
        return "less than 1 in 100 such days"
    return "more than 99 in 100 such days" if share > 99 else f"{share} in 100 such days"


def _at_least(one: Chosen, amount: float, capacity: CapacityState | None) -> float | None:
    """Of a fresh set; None where no capacity tells it."""
    kind, load = kind_of(one.entry, one.item), one.option.effective_kg
    if kind == REPEATS and isinstance(capacity, Capacity):
        mixture = repetitions_at(in_variation(capacity, one.entry.variation.key), load).mixture
        return 1.0 - mixture.at_most(amount)
    if kind == HOLDS and isinstance(capacity, HoldCapacity):
        return seconds_at(capacity, load).probability(amount, None)
    return None
