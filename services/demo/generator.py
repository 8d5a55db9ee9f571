"""Invented bodies that train: where the demo's tests and logs come from.

On purpose another picture of people than the one that the service estimates with, so that the demo shows an
estimate at work and not a model that meets itself. Here the fresh repetitions at a load follow a hyperbola,
n = span (maximum / load - 1), as in Epley's rule with a span of one's own (1985; from memory), while rest
refills repetitions linearly up to a ceiling that sinks with the work done. The numbers below are invented.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

# Median maximum in effective kilograms per kilogram of body mass.
MAXIMUM_PER_MASS: Final = {"push_up": 0.88, "squat": 1.80, "hip_thrust": 1.55, "sit_up": 0.78}
LIFTS_PER_MASS: Final = {"dumbbell_press": 0.44, "bench_press": 0.80, "back_squat": 1.15}
LOWER_BODY: Final = frozenset({"squat", "hip_thrust", "back_squat"})
# Of somebody who rides now and then: watts that last and joules above them, for each kilogram.
CRITICAL_W_PER_KG, RESERVE_J_PER_KG = 2.5, 190.0
MEDIAN_SPAN: Final = 29.0
TRANSITION_S: Final = (4.0, 9.0)
SHORTEST_SET: Final = 4
# Of what a muscle can hold at that moment; below this an athlete waits, breaks are dear.
WORTH_A_SET: Final = 0.45
MOST_SETS: Final = 120


@dataclass(frozen=True)
class Body:
    """The truth about an invented athlete.

    maxima: effective kg by movement, today; span: repetitions of the hyperbola; pace_s: seconds a repetition;
    refill_s: seconds in which rest refills everything; sink: share of the ceiling lost over a whole item;
    gain: share by which the maxima grow in a week of training. critical_w: power on the bike that lasts;
    reserve_j: work above it that does not come back while riding harder.
    """

    maxima: Mapping[str, float]
    span: float
    pace_s: float
    refill_s: float
    sink: float
    gain: float
    critical_w: float
    reserve_j: float

    def trial_s(self, work_j: float) -> float:
        """Seconds that work on the bike takes at best: work = critical power * seconds + reserve."""
        return max((work_j - self.reserve_j) / self.critical_w, work_j / (4.0 * self.critical_w))

    def fresh(self, movement: str, load_kg: float, *, weeks_ago: float = 0.0) -> float:
        """Repetitions to failure when fresh, 0 above the maximum."""
        maximum = self.maxima[movement] * (1.0 - self.gain * weeks_ago)
        return max(0.0, self.span * (maximum / load_kg - 1.0))


@dataclass(frozen=True)
class Task:
    """One work item as an athlete does it: repetitions to do, fresh repetitions today, planned sets.

    plan: (repetitions, seconds of rest before) of each planned set.
    """

    work: str
    repetitions: int
    fresh: float
    plan: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True)
class DoneSet:
    """One set: what a log says of it, and how long it took."""

    work: str
    repetitions: int
    rest_before_s: int
    duration_s: float
    ended_by: str
    rir: int | None


@dataclass(frozen=True)
class Done:
    """A whole block: sets in order, seconds on the clock, breaks."""

    sets: tuple[DoneSet, ...]
    elapsed_s: float
    breaks: int
    finished: bool

    def total(self, work: str) -> int:
        return sum(one.repetitions for one in self.sets if one.work == work)


def make_body(
    body_mass_kg: float, *, upper: float, lower: float, engine: float, gain: float, rng: np.random.Generator
) -> Body:
    """A body around the median, `upper`, `lower` and `engine` times as strong in its halves and on the bike."""

    def maximum(movement: str, share: float) -> float:
        half = lower if movement in LOWER_BODY else upper
        return body_mass_kg * share * half * math.exp(rng.normal(0.0, 0.06))

    maxima = {movement: maximum(movement, share) for movement, share in MAXIMUM_PER_MASS.items()}
    span = MEDIAN_SPAN * math.exp(rng.normal(0.0, 0.12))
    pace_s, refill_s = float(rng.uniform(1.7, 2.5)), float(rng.uniform(100.0, 190.0))
    sink = float(rng.uniform(0.25, 0.5))
    maxima |= {movement: maximum(movement, share) for movement, share in LIFTS_PER_MASS.items()}
    return Body(
        maxima=maxima,
        span=span,
        pace_s=pace_s,
        refill_s=refill_s,
        sink=sink,
        gain=gain,
        critical_w=body_mass_kg * CRITICAL_W_PER_KG * engine * math.exp(rng.normal(0.0, 0.06)),
        reserve_j=body_mass_kg * RESERVE_J_PER_KG * math.exp(rng.normal(0.0, 0.1)),
    )


def repetitions_in_test(fresh: float, rng: np.random.Generator) -> int:
    """A test to failure on a day that is a little better or worse than usual."""
    return max(0, math.floor(fresh * math.exp(rng.normal(0.0, 0.06))))


def do_block(body: Body, tasks: Sequence[Task], *, cap_s: float, rng: np.random.Generator) -> Done:
    """Two items, turn about at every break, until done or until the cap."""
    form = math.exp(rng.normal(0.0, 0.05))
    stores = [_Store(task, task.fresh * form, body) for task in tasks]
    clock, breaks, item = 0.0, 0, 0
    sets: list[DoneSet] = []
    while any(store.left for store in stores) and len(sets) < MOST_SETS:
        store = stores[item]
        start = clock if not sets else clock + max(rng.uniform(*TRANSITION_S), store.planned_rest)
        start = store.wait(start, cap_s)
        size, ended_by = store.next_set(rng)
        fits = max(0, math.floor((cap_s - start) / body.pace_s))
        if fits == 0:
            return Done(tuple(sets), cap_s, breaks, False)
        if fits < size:
            size, ended_by = fits, "clock"
        seconds = min(size * body.pace_s * math.exp(rng.normal(0.0, 0.04)), cap_s - start)
        rest, clock = round(start - clock), start + seconds
        store.take(size, clock)
        sets.append(
            DoneSet(store.task.work, size, rest, round(seconds, 1), ended_by, store.reserve(ended_by, rng))
        )
        breaks += store.left > 0
        other = 1 - item
        item = other if stores[other].left else item
    return Done(tuple(sets), float(math.ceil(clock)), breaks, not any(store.left for store in stores))


class _Store:
    """What is left of one item: repetitions to do, and repetitions that the muscles still hold."""

    def __init__(self, task: Task, fresh: float, body: Body) -> None:
        self.task, self.left = task, task.repetitions
        self._plan = list(task.plan)
        self._body, self._fresh, self._held, self._since = body, max(fresh, 1.0), max(fresh, 1.0), 0.0

    @property
    def _ceiling(self) -> float:
        share = 1.0 - self.left / self.task.repetitions
        return self._fresh * (1.0 - self._body.sink * share)

    @property
    def planned_rest(self) -> int:
        return self._plan[0][1] if self._plan else 0

    def wait(self, start: float, cap_s: float) -> float:
        """Refill up to `start`, and beyond it until a set is worth starting."""
        rate = self._fresh / self._body.refill_s
        held = min(self._ceiling, self._held + rate * (start - self._since))
        wanted = min(max(SHORTEST_SET, WORTH_A_SET * self._ceiling), self.left, 0.9 * self._ceiling)
        if held < wanted:
            start = min(cap_s, start + (wanted - held) / rate)
            held = wanted
        self._held, self._since = held, start
        return start

    def next_set(self, rng: np.random.Generator) -> tuple[int, str]:
        """(repetitions, how it ends): as planned, else about three quarters of what is there."""
        there = max(1, math.floor(self._held))
        wanted = self._plan.pop(0)[0] if self._plan else max(1, round(there * rng.uniform(0.6, 0.9)))
        wanted = min(wanted, self.left)
        if there >= self.left and (not self._plan or wanted == self.left):
            return self.left, "planned"
        return (there, "failure") if there < wanted else (wanted, "planned")

    def take(self, size: int, clock: float) -> None:
        self.left -= size
        self._held = max(0.0, self._held - size)
        self._since = clock

    def reserve(self, ended_by: str, rng: np.random.Generator) -> int | None:
        """What the athlete says was left: rarely asked, a little off, never above six."""
        said = round(self._held + rng.normal(0.0, 0.7))
        if ended_by != "planned" or self.left == 0 or not 0 <= said <= 6 or rng.random() > 0.6:
            return None
        return said
