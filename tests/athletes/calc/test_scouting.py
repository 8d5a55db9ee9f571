"""The first look at k: its filter against the general one, and the grid that it leads to."""

import math

import numpy as np
import pytest

from athletes.calc.columns import as_history
from athletes.calc.constants import DRIFT_VARIANCE_PER_DAY
from athletes.calc.filtering import filter_history
from athletes.calc.scouting import GATHERED, at_first_sight, first_sight, look, scout
from tests.athletes.calc.histories import BENCH, history, person


@pytest.mark.parametrize("asymptote_share", [0.0, 0.2])
@pytest.mark.parametrize("size", [1, 7, 3 * GATHERED + 5])
def test_the_first_look_is_the_general_filter_of_known_counts(asymptote_share: float, size: int) -> None:
    """Loads and counts known with error: the one pass gives what `filter_history` gives."""
    rng = np.random.default_rng(size)
    seen = as_history(history(rng, person(rng), [60, 70, 80, 100], 2 * size))
    told = first_sight(seen, np.zeros(seen.day.size, dtype=np.bool_))
    k_nodes = np.geomspace(0.01, 0.06, 13)
    start, variance = BENCH.log_l10, BENCH.log_l10_sd**2

    wanted = filter_history(
        k_nodes, asymptote_share, np.full(13, start), variance, DRIFT_VARIANCE_PER_DAY, 1, told
    )
    found = at_first_sight(k_nodes, asymptote_share, variance, DRIFT_VARIANCE_PER_DAY, start, told)

    assert told.day.size > 0
    assert found[0] == pytest.approx(wanted[0], rel=1e-11, abs=1e-10)
    assert found[1] == pytest.approx(wanted[2], rel=1e-11)
    for quick, slow in zip(
        found,
        at_first_sight.py_func(k_nodes, asymptote_share, variance, DRIFT_VARIANCE_PER_DAY, start, told),  # type: ignore[attr-defined]
        strict=True,
    ):
        assert quick == pytest.approx(slow, rel=1e-11, abs=1e-10)


def test_a_look_at_a_normal_curve() -> None:
    """Of a normal density its mean and SD; one that is cut off is said to be wide, one between the nodes narrow."""
    log_k = np.linspace(-1.0, 1.0, 13)

    def weights(centre: float, sd: float) -> np.ndarray:
        raw = np.exp(-0.5 * ((log_k - centre) / sd) ** 2)
        return raw / raw.sum()

    centre, sd, resolved = look(log_k, weights(0.05, 0.2))
    assert (centre, sd) == pytest.approx((0.05, 0.2), rel=1e-4)
    assert resolved
    cut_off = look(log_k, weights(0.9, 0.2))
    assert not cut_off[2] and cut_off[1] > 0.2
    narrow = look(log_k, weights(0.0, 0.01))
    assert not narrow[2] and narrow[1] == pytest.approx(1.0 / 12.0)  # half a spacing


def test_of_no_sights_the_prior() -> None:
    """Nothing was seen: where k and x are looked for is where the prior has them."""
    nothing = as_history([])
    found = scout(BENCH.log_k, BENCH.log_k_sd, 0.0, BENCH.log_l10, BENCH.log_l10_sd**2, 1e-5, nothing)
    assert found == pytest.approx((BENCH.log_k, BENCH.log_k_sd, math.sqrt(BENCH.log_l10_sd**2)))
