"""Invented athletes and what is seen of them, drawn from the generative story of the capacity model."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from athletes.calc.capacity import FallOff, Kind, Observation, Prior, published_prior

KINDS: tuple[Kind, ...] = ("to_failure", "at_least", "rir", "one_rm", "zero", "at_least_weak")
BENCH: Prior = published_prior(80.0, FallOff.BENCH_LIKE)


@dataclass(frozen=True)
class Person:
    """A curve: ln L10 and k, with A = 0."""

    log_l10: float
    k: float

    def fresh(self, load_kg: float) -> float:
        """n* at a load."""
        return 10.0 + (self.log_l10 - float(np.log(load_kg))) / self.k


def person(rng: np.random.Generator, prior: Prior = BENCH) -> Person:
    """Somebody of the population that the prior describes."""
    log_k = prior.log_k + prior.log_k_sd * rng.normal()
    return Person(prior.log_l10 + prior.log_l10_sd * rng.normal(), float(np.exp(log_k)))


def seen_count(rng: np.random.Generator, fresh: float) -> int:
    """Repetitions to failure on a day: floor of n* and its noise 0.5 + 0.043 n."""
    return max(0, int(np.floor(fresh + rng.normal() * (0.5 + 0.043 * max(fresh, 0.0)))))


def entry(rng: np.random.Generator, who: Person, load_kg: float, kind: Kind, day: int) -> Observation:
    """One observation; a kind that this set cannot have becomes a set to failure."""
    weight = float(rng.choice([1.0, 1.0, 0.5]))
    count = seen_count(rng, who.fresh(load_kg))
    if kind == "one_rm":
        maximum = float(np.exp(who.log_l10 + 9.0 * who.k + 0.04 * rng.normal()))
        return Observation(day, maximum, 1.0, "one_rm", None, weight)
    if kind == "rir":
        left = float(min(rng.integers(0, 4), count))
        return Observation(day, load_kg, count - left, "rir", left, weight)
    if kind in ("at_least", "at_least_weak"):
        return Observation(day, load_kg, float(max(0, count - int(rng.integers(0, 6)))), kind, None, weight)
    if kind == "zero" and count == 0:
        return Observation(day, load_kg, 0.0, "zero", None, weight)
    return Observation(day, load_kg, float(count), "to_failure", None, weight)


def history(
    rng: np.random.Generator,
    who: Person,
    loads: Sequence[float],
    size: int,
    *,
    kinds: Sequence[Kind] = KINDS,
    days: int = 60,
) -> list[Observation]:
    """`size` observations on random days."""
    return [
        entry(rng, who, float(rng.choice(loads)), kinds[rng.integers(len(kinds))], int(rng.integers(days)))
        for _ in range(size)
    ]
