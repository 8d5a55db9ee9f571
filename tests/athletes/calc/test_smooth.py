"""The history of a capacity against statsmodels, dense conditioning and the filter itself."""

import math

import numpy as np
import pytest
from statsmodels.tsa.statespace.structural import UnobservedComponents

from athletes.calc.capacity import Absence, Observation, Prior, estimate_capacity
from athletes.calc.columns import as_history
from athletes.calc.smooth import capacity_history
from tests.athletes.calc.histories import BENCH, history, person
from tests.oracles.capacity_quadrature import Story, posterior

KNOWN_K = Prior(math.log(80.0), 0.3, math.log(0.0265), 1e-3)
"""Somebody whose k is all but known: maxima then make the history normal."""


def maxima(days: list[int], loads: list[float]) -> list[Observation]:
    return [Observation(day, load, 1.0, "one_rm") for day, load in zip(days, loads, strict=True)]


def test_level_against_statsmodels() -> None:
    """Smoothed mean and SD of a local level with gaps, seen through maxima alone (second implementation)."""
    days, loads = [0, 3, 40, 41, 90], [100.0, 103.0, 108.0, 104.0, 112.0]
    asked = [0, 3, 20, 40, 41, 90]
    daily = np.full(91, np.nan)
    daily[days] = np.log(loads) + (1.0 - 10.0) * 0.0265  # ln L10 of the maximum: nine repetitions below
    model = UnobservedComponents(daily, "llevel")
    model.ssm.initialize_known(np.array([KNOWN_K.log_l10]), np.array([[KNOWN_K.log_l10_sd**2]]))
    second = model.smooth([0.04**2, 2.5e-5])

    found = capacity_history(KNOWN_K, maxima(days, loads), asked)

    assert found.mean == pytest.approx(second.smoothed_state[0, asked], abs=2e-4)
    assert found.sd == pytest.approx(np.sqrt(second.smoothed_state_cov[0, 0, asked]), rel=0.01)


def test_joint_covariance_against_dense_conditioning() -> None:
    """The whole covariance of ln L10 over the days: a normal vector conditioned on its sights at once."""
    days, loads, asked = [0, 10, 30, 80], [100.0, 98.0, 108.0, 104.0], [0, 5, 30, 60, 100]
    points = np.array(sorted({*days, *asked}), dtype=float)
    prior = KNOWN_K.log_l10_sd**2 + 2.5e-5 * np.minimum.outer(points, points)
    pick = np.array([[float(point == day) for point in points] for day in days])
    seen = pick @ prior @ pick.T + 0.04**2 * np.eye(len(days))
    posterior_cov = prior - prior @ pick.T @ np.linalg.solve(seen, pick @ prior)
    at = [int(np.flatnonzero(points == day)[0]) for day in asked]

    found = capacity_history(KNOWN_K, maxima(days, loads), asked)

    # k is known to 0.1 %, which all days share: 9 k 0.001 in ln L10.
    assert found.covariance == pytest.approx(posterior_cov[np.ix_(at, at)], abs=1e-6)
    mean, sd = found.change(0, 2)
    assert mean == pytest.approx(found.mean[2] - found.mean[0])
    expected = posterior_cov[at[0], at[0]] + posterior_cov[at[2], at[2]] - 2 * posterior_cov[at[0], at[2]]
    assert sd == pytest.approx(math.sqrt(expected), rel=1e-3)


@pytest.mark.parametrize("seed", range(4))
def test_the_last_day_is_the_estimate(seed: int) -> None:
    """After the last sight the past has nothing to add: mean and SD are the filter's, whatever was seen."""
    rng = np.random.default_rng(seed)
    who = person(rng)
    seen = history(rng, who, [60, 70, 80, 100], 12)
    if seed == 3:
        seen = [
            Observation(o.day, o.load_kg, o.repetitions, o.kind, o.rir, o.weight, "ab"[n % 2])
            for n, o in enumerate(seen)
        ]
    away = [Absence(20, 45), Absence(62, 90)]
    capacity = estimate_capacity(BENCH, seen, day=100, absences=away)
    first = int(as_history(seen).day[0])

    found = capacity_history(BENCH, seen, [first, 30, 100] if first < 30 else [first, 100], absences=away)

    mean = float(capacity.weight @ capacity.mean)
    sd = math.sqrt(float(capacity.weight @ (capacity.var + (capacity.mean - mean) ** 2)))
    assert found.mean[-1] == pytest.approx(mean, abs=1e-6)
    assert found.sd[-1] == pytest.approx(sd, rel=1e-6)


def test_an_earlier_day_against_brute_force() -> None:
    """The day of the first of two tests, told by both: the grid that walks backwards from a later test to it."""
    seen = [Observation(0, 70.0, 12.0, "to_failure"), Observation(60, 70.0, 17.0, "to_failure")]
    # Without drift in one direction only: told backwards in time the story is the same, with the prior widened.
    mirrored = [Observation(0, 70.0, 17.0, "to_failure"), Observation(60, 70.0, 12.0, "to_failure")]
    wide = Prior(BENCH.log_l10, 3.0, BENCH.log_k, BENCH.log_k_sd)
    brute = posterior(wide, mirrored, 60, (BENCH.log_l10 - 2.0, BENCH.log_l10 + 2.0), Story())
    of_x = brute.p.sum(axis=1)
    mean = float(of_x @ brute.x)
    sd = math.sqrt(float(of_x @ (brute.x - mean) ** 2))

    found = capacity_history(wide, seen, [0, 60])

    assert found.mean[0] == pytest.approx(mean, abs=0.05 * sd)
    assert found.sd[0] == pytest.approx(sd, rel=0.05)
    assert found.mean[1] > found.mean[0]


def test_absence_shows_in_the_history() -> None:
    """The mean falls over the absence and is not smoothed away before it."""
    seen = [Observation(0, 70.0, 12.0, "to_failure"), Observation(2, 70.0, 12.0, "to_failure")]
    found = capacity_history(BENCH, seen, [2, 9, 60], absences=[Absence(3, 60)])

    assert found.mean[1] == pytest.approx(found.mean[0], abs=1e-3)
    assert found.mean[2] - found.mean[0] == pytest.approx(-0.3 * (1 - math.exp(-50 / 100)), abs=1e-3)
    low, high = found.interval()
    assert (low < found.mean).all()
    assert (high > found.mean).all()


@pytest.mark.parametrize(
    ("seen", "days"),
    [
        ([], [3]),
        ([Observation(5, 70.0, 0.0, "at_least")], [6]),
        ([Observation(5, 70.0, 9.0, "to_failure")], []),
        ([Observation(5, 70.0, 9.0, "to_failure")], [4, 6]),
        ([Observation(5, 70.0, 9.0, "to_failure")], [7, 7]),
    ],
)
def test_what_has_no_history(seen: list[Observation], days: list[int]) -> None:
    """Nothing seen, or days out of order or before the first sight."""
    with pytest.raises(ValueError, match=r"must|nothing"):
        capacity_history(BENCH, seen, days)
