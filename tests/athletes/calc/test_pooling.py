"""The refitted prior against direct optimisation, and what it must never do."""

import math

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from athletes.calc.pooling import FEWEST_PEOPLE, Fit, Member, pooled


def people(seed: int, size: int, *, shift: float = 0.2, by_sex: float = 0.4, sd: float = 0.3) -> list[Member]:
    rng = np.random.default_rng(seed)
    found = []
    for n in range(size):
        sex, age = ("male", "female", "")[n % 3], (None if n % 4 == 0 else float(rng.uniform(18, 60)))
        side = {"male": 0.5, "female": -0.5, "": 0.0}[sex]
        decades = 0.0 if age is None else (age - 30.0) / 10.0
        error = float(rng.uniform(0.001, 0.05))
        y = shift + by_sex * side - 0.05 * decades + sd * rng.normal() + math.sqrt(error) * rng.normal()
        found.append(Member(float(y), error, sex, age))
    return found


@pytest.mark.parametrize(("seed", "size"), [(0, 20), (1, 60), (2, 200)])
def test_against_the_whole_density(seed: int, size: int) -> None:
    """tau from the joint normal of all y, coefficients by conditioning: written with dense matrices (scipy)."""
    members = people(seed, size)
    y = np.array([m.y for m in members])
    design = np.array(
        [
            [
                1.0,
                {"male": 0.5, "female": -0.5}.get(m.sex, 0.0),
                0.0 if m.age is None else (m.age - 30.0) / 10.0,
            ]
            for m in members
        ]
    )
    spread = np.diag([0.15**2, 0.30**2, 0.05**2])

    def covariance(log_ratio: float) -> np.ndarray:
        own = (0.45 * math.exp(log_ratio)) ** 2 + np.array([m.error for m in members])
        return design @ spread @ design.T + np.diag(own)

    def loss(log_ratio: float) -> float:
        # The normal density written out: scipy's own takes eigenvalues, seconds of a busy machine each time.
        spread_of_y = covariance(log_ratio)
        log_density = -0.5 * (np.linalg.slogdet(spread_of_y)[1] + y @ np.linalg.solve(spread_of_y, y))
        return float(0.5 * (log_ratio / 0.25) ** 2 - log_density)

    best = float(minimize_scalar(loss, bracket=(-0.5, 0.5), method="brent").x)
    coefficients = spread @ design.T @ np.linalg.solve(covariance(best), y)
    left = spread - spread @ design.T @ np.linalg.solve(covariance(best), design @ spread)

    fit = pooled(members, 0.45)

    assert fit is not None
    assert (fit.shift, fit.by_sex, fit.per_decade) == pytest.approx(tuple(coefficients), abs=2e-3)
    tau = 0.45 * math.exp(best)
    assert fit.sd == pytest.approx(math.sqrt(tau**2 + left[0, 0]), rel=2e-3)
    assert fit.people == size


def test_many_people_are_believed_and_few_little() -> None:
    """With 3 000 people the numbers that made them come out; with twenty they lie between those and the catalogue."""
    many, few = pooled(people(3, 3000), 0.45), pooled(people(3, 20), 0.45)

    assert many is not None
    assert few is not None
    assert (many.shift, many.by_sex, many.per_decade) == pytest.approx((0.2, 0.4, -0.05), abs=0.03)
    assert many.sd == pytest.approx(0.3, rel=0.05)
    assert 0.3 < few.sd < 0.45


def test_too_few_people_change_nothing() -> None:
    """Nineteen are not enough, twenty are."""
    assert pooled(people(0, FEWEST_PEOPLE - 1), 0.45) is None
    assert pooled(people(0, FEWEST_PEOPLE), 0.45) is not None


def test_order_does_not_matter() -> None:
    """The same athletes in any order give the same numbers, bit for bit."""
    members = people(5, 40)
    assert pooled(members, 0.45) == pooled(members[::-1], 0.45)


def test_when_a_fit_has_moved() -> None:
    """More than the tolerance in one number; a first fit always."""
    fit = Fit(0.10, 0.30, -0.05, 0.30, 40)

    assert fit.moved_from(None)
    assert not fit.moved_from(Fit(0.115, 0.33, -0.04, 0.31, 55))
    for other in (
        Fit(0.13, 0.30, -0.05, 0.30, 40),
        Fit(0.10, 0.36, -0.05, 0.30, 40),
        Fit(0.10, 0.30, -0.08, 0.30, 40),
        Fit(0.10, 0.30, -0.05, 0.34, 40),
    ):
        assert fit.moved_from(other)
    assert fit.at("male", 40.0) == pytest.approx(0.10 + 0.15 - 0.05)
    assert fit.at("female", None) == pytest.approx(0.10 - 0.15)
    assert fit.at("", None) == pytest.approx(0.10)
