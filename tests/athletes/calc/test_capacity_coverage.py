"""80 % intervals of the next test's count, for people of the model and for people of other published curves.

Counts are whole numbers, so their distribution is randomised within its steps; then an interval that is right holds
80 %. Foreign people: 75 to 85 % pooled, 70 to 90 % in each world. The model's own people, whose n* is held too: 77 to
83 %, here with what months do to them and with their own misfit to the curve, on one day and without a misfit in
test_capacity_published.
"""

import math

import numpy as np
import pytest
from scipy.special import ndtr

from athletes.calc.capacity import (
    Capacity,
    FallOff,
    Observation,
    estimate_capacity,
    published_prior,
    repetitions_at,
)
from athletes.calc.observation import day_noise
from tests.athletes.calc.histories import Person, entry, person, seen_count
from tests.oracles.capacity_quadrature import DRIFT
from tests.oracles.foreign import CURVES, WORLDS, seen_of, stranger, typical_count
from tests.references.strength import NUZZO_2024_BENCH, ONE_RM_EQUATIONS

PEOPLE = 250
"""Of each world: a standard error of 2.5 % in each, 1.1 % of all pooled."""
OWN_PEOPLE = 800
"""A standard error of 1.4 %."""


def walked(rng: np.random.Generator, who: Person, days: int) -> Person:
    """Who they are so many days later: ln L10 has taken a random walk."""
    return Person(who.log_l10 + math.sqrt(DRIFT * days) * rng.normal(), who.k)


def misfit(load_kg: float, tested: list[float], n: float) -> float:
    """SD in repetitions, n (0.04 + max(0.25 (1 - e^(-d / 0.15)), 0.4 d)), d in ln kg to the nearest tested load."""
    apart = min(abs(math.log(load_kg / other)) for other in tested)
    return max(n, 0.0) * (0.04 + max(0.25 * (1.0 - math.exp(-apart / 0.15)), 0.4 * apart))


def test_coverage_of_the_models_own_people_months_later() -> None:
    """80 % intervals hold n* and the next count in 77 to 83 %: strength walks for months between the tests and after
    the last, and at the load that is asked about everybody departs from the curve by a misfit of their own."""
    rng = np.random.default_rng(31)
    prior = published_prior(80.0, FallOff.BENCH_LIKE)
    held_fresh, held_count = [], []
    for _ in range(OWN_PEOPLE):
        who, day, seen = person(rng, prior), 0, []
        for kind in rng.choice(["to_failure", "one_rm"], int(rng.integers(1, 5)), p=[0.8, 0.2]):
            load = math.exp(who.log_l10 + 0.2 * rng.normal())
            one = entry(rng, who, load, kind, day)
            seen.append(Observation(day, one.load_kg, one.repetitions, one.kind))
            gap = int(rng.integers(1, 90))
            who, day = walked(rng, who, gap), day + gap
        capacity = estimate_capacity(prior, seen, day=day)
        asked = math.exp(who.log_l10 + rng.uniform(-0.25, 0.1))
        fresh = who.fresh(asked)
        fresh += misfit(asked, [one.load_kg for one in seen], fresh) * rng.normal()
        mixture = repetitions_at(capacity, asked).mixture
        centre, spread = 10.0 + mixture.ahead / mixture.k_nodes, mixture.spread / mixture.k_nodes
        held_fresh.append(0.1 < mixture.weight @ ndtr((fresh - centre) / spread) < 0.9)
        held_count.append(0.1 < rank_of(capacity, asked, seen_count(rng, fresh), rng) < 0.9)

    assert 0.77 <= np.mean(held_fresh) <= 0.83
    assert 0.77 <= np.mean(held_count) <= 0.83


def rank_of(capacity: Capacity, load_kg: float, count: int, rng: np.random.Generator) -> float:
    """Where the count lies in the distribution of the next count, 0 to 1, uniform if that is right."""
    mixture = repetitions_at(capacity, load_kg).mixture
    fresh = 10.0 + mixture.ahead / mixture.k_nodes
    spread = np.hypot(mixture.spread / mixture.k_nodes, day_noise(np.maximum(fresh, 0.0)))
    low = mixture.weight @ ndtr((count - fresh) / spread) if count > 0 else 0.0
    high = mixture.weight @ ndtr((count + 1 - fresh) / spread)
    return float(low + rng.uniform() * (high - low))


def coverage(curve: str, noise: str) -> float:
    """Share of PEOPLE whose next count lies in the 80 % interval, after two to eight sessions in eight weeks."""
    rng = np.random.default_rng(list(CURVES).index(curve))
    prior = published_prior(80.0, FallOff.BENCH_LIKE)
    held = 0
    for _ in range(PEOPLE):
        who = stranger(rng, curve, noise, 80.0)
        capacity = estimate_capacity(prior, seen_of(rng, who, int(rng.integers(2, 9)), 56), day=60)
        load = who.maximum_kg * float(rng.uniform(0.65, 0.92))
        count = who.count(rng, load, 60, float(rng.normal()))
        held += 0.1 < rank_of(capacity, load, count, rng) < 0.9
    return held / PEOPLE


def test_coverage_of_strangers() -> None:
    """Another curve, another noise, a trend, tired later sets and reports that differ from person to person."""
    found = {curve: coverage(curve, noise) for curve, noise in WORLDS}

    assert 0.75 <= np.mean(list(found.values())) <= 0.85, found
    for curve, share in found.items():
        assert 0.70 <= share <= 0.90, (curve, share)


def test_the_strangers_are_the_published_ones() -> None:
    """Their curves are the published equations solved for the repetitions, and meet the published means.

    Equations at 5, 10 and 15 repetitions (1985 to 1994; tests.references); 14.1 at 70 % (Nuzzo et al. 2024)
    for the one that was set to it; one repetition at the maximum for all.
    """
    names = {
        "epley": "Epley 1985",
        "brzycki": "Brzycki 1993",
        "wathan": "Wathan 1994",
        "mayhew": "Mayhew 1992",
    }
    for curve, name in names.items():
        for r in (5, 10, 15):
            assert CURVES[curve](1.0 / ONE_RM_EQUATIONS[name](r)) == pytest.approx(r, abs=1e-6)
    assert CURVES["critical"](0.70) == pytest.approx(NUZZO_2024_BENCH[70][0], abs=0.01)
    assert all(typical_count(curve, 1.0) == pytest.approx(1.0) for curve in CURVES)
    assert all(typical_count(curve, 0.8) > typical_count(curve, 0.9) > 1.0 for curve in CURVES)
