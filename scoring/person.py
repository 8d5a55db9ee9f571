"""Who a session is worked out for: what is known of the athlete, and the scenarios of everybody."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final
from uuid import UUID

import numpy as np
from scipy.special import ndtri
from scipy.stats import qmc

from athletes.calc.fatigue import MULTIPLIER_LOG_SD, MULTIPLIER_MEDIAN, MULTIPLIER_MEDIANS, slow_multipliers
from athletes.queries import AthleteInputs
from athletes.states import CapacityState
from programming.calc.arrays import FloatArray
from programming.calc.revision import REPETITIONS, WorkItem
from programming.plans import SessionPlan
from scoring.blocks import items_of

SCENARIOS: Final = 512


@dataclass(frozen=True, eq=False)
class Draws:
    """Common uniforms: (N, 2) for each movement, the fatigue multiplier (N,) of an unknown athlete, and how quickly
    they work (N,), standard normal: one for all movements, since most of it is the person's and the day's.
    """

    movements: tuple[FloatArray, ...]
    multiplier: FloatArray
    tempo: FloatArray


@lru_cache(maxsize=16)
def common_draws(movements: int, scenarios: int = SCENARIOS) -> Draws:
    """The same scenarios for every athlete, option and run: a scrambled Sobol sequence with a fixed seed.

    The last dimension is scrambled by itself, which a sequence allows for each of them, so that the others are what
    they were before there was one.
    """
    u = _sequence(2 * movements + 1, scenarios, seed=20_260_101)
    tempo = ndtri(_sequence(2 * movements + 2, scenarios, seed=20_261_130)[:, -1])
    multiplier = slow_multipliers(u[:, -1])
    pairs = tuple(u[:, 2 * index : 2 * index + 2].copy() for index in range(movements))
    for pair in pairs:
        pair.flags.writeable = False  # so that what follows from them is kept (athletes.calc.uniforms)
    return Draws(pairs, multiplier, tempo)


def _sequence(dimensions: int, scenarios: int, *, seed: int) -> FloatArray:
    sequence = qmc.Sobol(d=dimensions, scramble=True, rng=np.random.default_rng(seed))
    return np.asarray(np.clip(sequence.random(scenarios), 1e-9, 1.0 - 1e-9))


@dataclass(frozen=True, eq=False)
class Person:
    """What is known of the athlete: capacity by movement, the variations done before, and the scenarios.

    below_failure: movements of which no set is planned to failure. only_checked: movements and variations that were
    seen in check sets alone. heaviest: load [kg] that was done, by variation, of those done with one. checked: keys
    of the movements of which a check set was done for this session.
    """

    inputs: AthleteInputs
    capacities: Mapping[UUID, CapacityState]
    known_variations: frozenset[UUID] = frozenset()
    scenarios: int = SCENARIOS
    below_failure: frozenset[UUID] = frozenset()
    only_checked: frozenset[UUID] = frozenset()
    heaviest: Mapping[UUID, float] = field(default_factory=dict)
    checked: frozenset[str] = frozenset()


def draws_of(plan: SessionPlan, person: Person) -> tuple[Draws, Mapping[str, int]]:
    """The scenarios of a session, and the number of each movement in them: of one movement, one person."""
    movements = list(dict.fromkeys(item.movement for _, item in items_of(plan)))
    numbers = {movement: number for number, movement in enumerate(movements)}
    return common_draws(len(movements), person.scenarios), numbers


def multiplier_of(person: Person, draws: Draws) -> FloatArray:
    """Slow fatigue (N,) of the athlete, as learned from logged sets, else as known of their sex where it is given."""
    told = person.inputs.tiring
    if told is not None:
        return np.asarray(
            told.median * (draws.multiplier / MULTIPLIER_MEDIAN) ** (told.log_sd / MULTIPLIER_LOG_SD)
        )
    return median_of(person.inputs.sex) / MULTIPLIER_MEDIAN * draws.multiplier


def tempo_of(person: Person, item: WorkItem, movement: UUID, draws: Draws) -> FloatArray | float:
    """Factor (N,) of the usual seconds of a repetition; what is counted otherwise takes the time it takes."""
    if item.unit != REPETITIONS:
        return 1.0
    told = person.inputs.tempo.of(str(movement))
    return np.asarray(np.exp(told.mean + told.sd * draws.tempo))


def median_of(sex: str) -> float:
    """What is thought of the multiplier before any set was logged."""
    return MULTIPLIER_MEDIANS.get(sex, MULTIPLIER_MEDIAN)
