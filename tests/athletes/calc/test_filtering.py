"""The filter's Gaussian part against statsmodels and published values, compiled code against interpreted."""

import math

import numpy as np
import pytest
from statsmodels.datasets import nile
from statsmodels.tsa.statespace.structural import UnobservedComponents

from athletes.calc import filtering
from athletes.calc.columns import as_history
from athletes.calc.filtering import filter_history
from athletes.calc.observation import AT_LOAD, History
from tests.athletes.calc.histories import BENCH, history, person
from tests.references.strength import DURBIN_KOOPMAN_NILE

K = 0.03


def loads_known_with_error(days: list[int], values: np.ndarray, sd: float) -> History:
    """A history that says only ln L10 = value + error: the loads for one repetition, 9 k above."""
    size = len(days)
    one = np.ones(size)
    return History(
        day=np.array(days),
        form=np.full(size, AT_LOAD),
        log_load=values + 9 * K,
        lower=one,
        upper=one,
        noise_at=one,
        count_sd=np.zeros(size),
        load_sd=np.full(size, sd),
    )


def filtered(days: list[int], values: np.ndarray, sd: float, drift: float, prior: tuple[float, float]):
    """(ln likelihood, mean, variance) at one node of k."""
    seen = loads_known_with_error(days, values, sd)
    result = filter_history(np.array([K]), 0.0, np.array([prior[0]]), prior[1], drift, 1, seen)
    return tuple(float(part[0]) for part in result)


def test_nile_against_statsmodels() -> None:
    """The local level of the Nile flow: likelihood, filtered level and variance as statsmodels has them."""
    flow = nile.load().data["volume"].to_numpy()
    irregular, level = DURBIN_KOOPMAN_NILE["irregular"], DURBIN_KOOPMAN_NILE["level"]
    model = UnobservedComponents(flow, "llevel")
    model.ssm.initialize_known(np.array([1000.0]), np.array([[250_000.0]]))
    model.ssm.loglikelihood_burn = 0
    second = model.filter([irregular, level])

    log_likelihood, mean, variance = filtered(
        list(range(flow.size)), flow, math.sqrt(irregular), level, (1000.0, 250_000.0)
    )

    assert log_likelihood == pytest.approx(second.llf, rel=1e-10)
    assert mean == pytest.approx(second.filtered_state[0, -1], rel=1e-10)
    assert variance == pytest.approx(second.filtered_state_cov[0, 0, -1], rel=1e-10)
    # Steady state of the Riccati equation, P^2 - q P - q s = 0 before an observation (closed form).
    steady = (level + math.sqrt(level**2 + 4 * level * irregular)) / 2 - level
    assert variance == pytest.approx(steady, rel=1e-6)


def test_irregular_days_against_statsmodels() -> None:
    """Four observations at uneven distances equal a daily series with gaps."""
    days, values = [0, 3, 4, 11], np.array([4.3, 4.36, 4.31, 4.42])
    daily = np.full(12, np.nan)
    daily[days] = values
    model = UnobservedComponents(daily, "llevel")
    model.ssm.initialize_known(np.array([4.2]), np.array([[0.04]]))
    model.ssm.loglikelihood_burn = 0
    second = model.filter([0.05**2, 0.02**2])

    result = filtered(days, values, 0.05, 0.02**2, (4.2, 0.04))

    assert result == pytest.approx(
        (second.llf, second.filtered_state[0, -1], second.filtered_state_cov[0, 0, -1]), rel=1e-9
    )


def test_four_irregular_points_by_hand() -> None:
    """Gain, level and variance after each of four tests on days 0, 7, 10 and 28, from 100 with variance 25.

    The recursions are those of the local level with steps of unequal length: predict P + q dt, gain P / (P + R),
    level + gain (y - level), variance (1 - gain) P (Durbin & Koopman, Time Series Analysis by State Space Methods,
    ch. 2; Harvey, Forecasting, Structural Time Series Models and the Kalman Filter, ch. 9: both from memory). R = 4,
    q = 0.05 a day. Worked by hand to six places, for instance the second test: P = 100/29 + 7 * 0.05 = 3.798276,
    gain 3.798276 / 7.798276, level 100 + 4 * 0.487066, variance 4 * 0.487066.
    """
    days, values = [0, 7, 10, 28], np.array([100.0, 104.0, 101.0, 108.0])
    by_hand = [
        (0.862069, 100.0, 3.448276),
        (0.487066, 101.948264, 1.948264),
        (0.344076, 101.621990, 1.376303),
        (0.362682, 103.935180, 1.450728),
    ]
    for seen, (gain, level, variance) in enumerate(by_hand, start=1):
        _, mean, left = filtered(days[:seen], values[:seen], 2.0, 0.05, (100.0, 25.0))
        assert (mean, left) == pytest.approx((level, variance), abs=1e-6)
        assert left / 4.0 == pytest.approx(gain, abs=1e-6)


def test_without_drift_precisions_add_up() -> None:
    """Four tests of one steady thing: the mean is the precision-weighted one (worked by hand)."""
    values = np.array([4.0, 4.2, 4.1, 4.5])

    _, mean, variance = filtered([0, 1, 5, 9], values, 0.1, 0.0, (4.0, 0.01))

    assert variance == pytest.approx(0.01 / 5)
    assert mean == pytest.approx((4.0 + values.sum()) / 5)


@pytest.mark.parametrize("sweeps", [1, 3])
@pytest.mark.parametrize("share", [0.0, 0.3])
def test_compiled_equals_interpreted(sweeps: int, share: float) -> None:
    """The machine code and the Python that it was made from give one result."""
    rng = np.random.default_rng(5)
    seen = as_history(history(rng, person(rng), [60, 70, 80, 100], 12))
    arguments = (
        np.array([0.02, 0.03]),
        share,
        np.full(2, BENCH.log_l10),
        BENCH.log_l10_sd**2,
        2.5e-5,
        sweeps,
        seen,
    )

    interpreted = filter_history.py_func(*arguments)

    assert filtering.filter_history is filter_history
    for quick, slow in zip(filter_history(*arguments), interpreted, strict=True):
        assert quick == pytest.approx(slow, rel=1e-9)
