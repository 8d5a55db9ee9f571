"""Invented bodies in rounds of riding and lifting; the other half of `services.demo.generator`.

On the bike a body holds what lasts, and a little more while its reserve is there; the arms refill meanwhile, never
quite to what they were. The numbers are invented, like the bodies.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from services.demo.generator import Body

MOUNT_S: Final = (5.0, 12.0)
# A rider who means to press afterwards spreads the reserve over the rounds, and keeps some of it.
RESERVE_SPENT: Final = 0.8
SHORT_REST_S: Final = 12.0
# Of the arms' fresh repetitions, that one round takes for good.
SINK_OF_A_ROUND: Final = 0.05


@dataclass(frozen=True)
class RoundWork:
    """What one round asks for: work on the bike, repetitions of a lift of which so many are there fresh."""

    ride_j: float
    repetitions: int
    fresh: float


@dataclass(frozen=True)
class RoundSet:
    """One set; repetitions None: the ride of the round."""

    repetitions: int | None
    rest_before_s: int
    duration_s: float
    ended_by: str


def do_rounds(body: Body, work: RoundWork, rounds: int, *, rng: np.random.Generator) -> tuple[RoundSet, ...]:
    """All rounds, unhurried by any cap; the seconds on the clock are the sum of rests and durations."""
    form = math.exp(rng.normal(0.0, 0.04))
    fresh = max(work.fresh * form, 1.0)
    held = fresh
    sets: list[RoundSet] = []
    for number in range(rounds):
        ride_s = _ride_s(body, work.ride_j, rounds, form)
        sets.append(RoundSet(None, 0 if not sets else _walk(rng), round(ride_s, 1), "planned"))
        ceiling = fresh * (1.0 - SINK_OF_A_ROUND * number)
        held = min(ceiling, held + fresh / body.refill_s * ride_s)
        left, rest = work.repetitions, _walk(rng)
        while left:
            there = max(1, math.floor(held))
            size = min(left, there)
            ended = "failure" if size == there < left else "planned"
            sets.append(RoundSet(size, rest, round(size * body.pace_s, 1), ended))
            left, rest = left - size, round(SHORT_REST_S + rng.uniform(0.0, 8.0))
            held = max(0.0, held - size) + fresh / body.refill_s * rest
    return tuple(sets)


def seconds_of(sets: tuple[RoundSet, ...]) -> float:
    """What the clock shows, in whole seconds."""
    return float(math.ceil(sum(one.rest_before_s + one.duration_s for one in sets)))


def _ride_s(body: Body, ride_j: float, rounds: int, form: float) -> float:
    """Seconds for the round's ride, with its part of the reserve."""
    share = min(RESERVE_SPENT * body.reserve_j / rounds, 0.5 * ride_j)
    return (ride_j - share) / (body.critical_w * form)


def _walk(rng: np.random.Generator) -> int:
    return round(rng.uniform(*MOUNT_S))
