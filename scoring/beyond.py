"""Whether a named version asks for more than the athlete can probably do of it at all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final
from uuid import UUID

from athletes.calc.capacity import Capacity, in_variation, repetitions_at
from athletes.calc.hold import HoldCapacity, seconds_at
from athletes.states import CapacityState
from programming.calc.revision import Block
from programming.queries import SessionPlan
from scoring.blocks import find_item
from scoring.capacity_kind import HOLDS, REPEATS, kind_of
from scoring.overriding import Chosen

BEYOND_PREFIX: Final = "beyond_capacity:"
LEAST_PROBABILITY: Final = 0.5
"""Ours: below it a miss under the load is to be expected, and whoever plans one should say that they mean it."""


def beyond_capacity(
    plan: SessionPlan, chosen: Sequence[Chosen], capacities: Mapping[UUID, CapacityState]
) -> dict[str, str]:
    """By code to acknowledge, a sentence for each work item of which not even the least that counts is probable.

    The least is one repetition, or one second of a hold; of attempts it is the whole of one, which cannot be split.
    Asked when an override is made, not afterwards: what is learned later takes no override back.
    """
    found: dict[str, str] = {}
    for one in chosen:
        block_and_item = find_item(plan, one.named.work)
        if block_and_item is None:
            continue
        least = _least(block_and_item[0], one)
        probability = _at_least(one, least, capacities.get(one.entry.movement.id))
        if probability is not None and probability < LEAST_PROBABILITY:
            unit = "s" if one.item.unit == "hold_s" else "of it"
            found[f"{BEYOND_PREFIX}{one.named.work}"] = (
                f"{one.entry.variation.key}: at least {least:g} {unit} at a time has a probability of"
                f" {probability:.0%} by what is known of the athlete."
            )
    return found


def _least(block: Block, one: Chosen) -> float:
    if block.rules.order != "attempts":
        return 1.0
    amount = one.item.amount if one.named.amount is None else one.named.amount
    return max(1.0, amount or 1.0)


def _at_least(one: Chosen, least: float, capacity: CapacityState | None) -> float | None:
    """None where no capacity tells it, or where the load is so light that the model counts no more."""
    kind, load = kind_of(one.entry, one.item), one.option.effective_kg
    if kind == REPEATS and isinstance(capacity, Capacity):
        mixture = repetitions_at(in_variation(capacity, one.entry.variation.key), load).mixture
        return 1.0 - mixture.at_most(least)
    if kind == HOLDS and isinstance(capacity, HoldCapacity):
        return seconds_at(capacity, load).probability(least, None)
    return None
