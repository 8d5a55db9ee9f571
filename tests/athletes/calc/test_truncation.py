"""Moments of a truncated normal against SciPy, long-double quadrature and limits known in closed form."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from athletes.calc.truncation import standard_normal_cdf, truncated_normal


def by_quadrature(lower: float, upper: float) -> tuple[float, float, float]:
    """(ln P, mean, variance) by the midpoint rule in long double, relative to the highest point."""
    peak = np.longdouble(min(max(0.0, lower), upper))
    reach = 80.0 / (math.sqrt(float(peak) ** 2 + 80.0) + abs(float(peak)))
    left, right = max(lower, float(peak) - reach), min(upper, float(peak) + reach)
    steps = 20_000
    width = (np.longdouble(right) - np.longdouble(left)) / steps
    u = np.longdouble(left) - peak + (np.arange(steps, dtype=np.longdouble) + np.longdouble(0.5)) * width
    density = np.exp(-u * (peak + u / 2))
    mass = density.sum()
    mean = (density * u).sum() / mass
    variance = (density * (u - mean) ** 2).sum() / mass
    log_mass = np.log(mass * width) - peak**2 / 2 - np.log(2 * np.longdouble(math.pi)) / 2
    return float(log_mass), float(peak + mean), float(variance)


INTERVALS = [
    (-0.3, 0.6),
    (-1.0, 1.0),
    (2.0, 2.5),
    (-9.0, 9.5),
    (-2.0, 6.0),
    (4.9, math.inf),
    (5.1, math.inf),
    (20.0, math.inf),
    (-1.5, math.inf),
    (-math.inf, -12.0),
    (-math.inf, 3.0),
    (30.0, 31.0),
    (300.0, 300.001),
    (-40.0, -39.5),
    (0.1, 0.1 + 1e-6),
    (1e4, math.inf),
    (6.0, 20.0),
]


@pytest.mark.parametrize(("lower", "upper"), INTERVALS)
def test_moments_against_quadrature(lower: float, upper: float) -> None:
    """Near, far, narrow, wide and one-sided intervals agree with quadrature to six digits."""
    log_mass, mean, variance = truncated_normal(lower, upper)
    wanted_log_mass, wanted_mean, wanted_variance = by_quadrature(lower, upper)

    assert log_mass == pytest.approx(wanted_log_mass, rel=1e-6, abs=1e-7)
    assert mean == pytest.approx(wanted_mean, rel=1e-6, abs=1e-6)
    assert variance == pytest.approx(wanted_variance, rel=1e-5)


@pytest.mark.parametrize(("lower", "upper"), [(-0.5, 0.7), (1.0, 3.0), (-2.0, 0.5), (-1.0, math.inf)])
def test_moments_against_scipy(lower: float, upper: float) -> None:
    """scipy.stats.truncnorm, where it is dependable."""
    log_mass, mean, variance = truncated_normal(lower, upper)
    truncated = stats.truncnorm(lower, upper)

    assert math.exp(log_mass) == pytest.approx(stats.norm.cdf(upper) - stats.norm.cdf(lower))
    assert mean == pytest.approx(truncated.mean(), rel=1e-6)
    assert variance == pytest.approx(truncated.var(), rel=1e-6)


def test_nothing_cut_off() -> None:
    """The whole line leaves a standard normal."""
    assert truncated_normal(-math.inf, math.inf) == (0.0, 0.0, 1.0)


@given(lower=st.floats(-1e9, 1e9), width=st.floats(1e-9, 1e3))
def test_finite_everywhere(lower: float, width: float) -> None:
    """Every interval, however far, has a finite log mass, a mean inside it and a variance between 0 and 1."""
    upper = lower + width + 1e-9 * abs(lower)
    log_mass, mean, variance = truncated_normal(lower, upper)

    assert math.isfinite(log_mass)
    assert log_mass <= 1e-9
    slack = 1e-12 * (1.0 + abs(lower))
    assert lower - slack <= mean <= upper + slack
    assert 0.0 <= variance <= 1.0 + 1e-12


@given(lower=st.floats(-50, 50), width=st.floats(1e-3, 50))
def test_mirror(lower: float, width: float) -> None:
    """The mirrored interval has the same mass and variance and the opposite mean."""
    log_mass, mean, variance = truncated_normal(lower, lower + width)
    mirrored = truncated_normal(-lower - width, -lower)

    assert mirrored == pytest.approx((log_mass, -mean, variance), rel=1e-7, abs=1e-7)


def test_cumulative_distribution_in_the_tail() -> None:
    """P(Z <= z) keeps its relative precision far left (scipy.stats.norm)."""
    z = [-30.0, -8.0, -1.0, 0.0, 2.0]

    assert [standard_normal_cdf(value) for value in z] == pytest.approx(list(stats.norm.cdf(z)), rel=1e-12)
