"""Weighted means and cumulative sums: worked examples of NIST and Montgomery, tabulated run lengths."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from athletes.calc.charts import beyond, cumulative_sums, weighted_chart, weighted_values
from tests.references.load import CUSUM_RUN_LENGTH, MONTGOMERY_9_1, NIST_CUSUM, NIST_EWMA


def test_nist_weighted_mean():
    chart = weighted_chart(
        np.array(NIST_EWMA["x"]),
        centre=NIST_EWMA["centre"],
        sd=NIST_EWMA["sd"],
        a=NIST_EWMA["a"],
        width=NIST_EWMA["width"],
    )
    assert chart.z == pytest.approx(NIST_EWMA["z"], abs=0.006)
    assert 50.0 + chart.final_distance == pytest.approx(NIST_EWMA["upper"], abs=2e-4)
    assert 50.0 - chart.final_distance == pytest.approx(NIST_EWMA["lower"], abs=2e-4)
    assert not np.any(np.abs(chart.z - 50.0) > chart.distance)
    # First five limits, computed apart from the formula with its bracket.
    assert 50.0 + chart.distance[:5] == pytest.approx([51.8485, 52.2564, 52.4314, 52.5127, 52.5516], abs=5e-5)


def test_nist_sums():
    sums = cumulative_sums(np.array(NIST_CUSUM["x"]), centre=NIST_CUSUM["target"], slack=NIST_CUSUM["slack"])
    assert sums.high[12:] == pytest.approx(NIST_CUSUM["high_from_13"], abs=0.006)
    assert sums.low[:12] == pytest.approx(NIST_CUSUM["low"], abs=0.006)
    assert int(np.argmax(beyond(sums, NIST_CUSUM["limit"]))) + 1 == NIST_CUSUM["first_signal"]


def test_montgomery_sums():
    table = MONTGOMERY_9_1
    sums = cumulative_sums(np.array(table["x"]), centre=table["centre"], slack=table["slack"])
    assert sums.high[28:] == pytest.approx([table["high_29"], table["high_30"]], abs=1e-9)
    assert int(np.argmax(beyond(sums, table["limit"]))) + 1 == table["first_signal"]
    assert int(np.flatnonzero(sums.high == 0.0)[-1]) + 1 == table["last_zero"]


def test_montgomery_weighted_mean():
    """a 0.1, width 2.7: computed apart; outside on days 29 and 30."""
    chart = weighted_chart(np.array(MONTGOMERY_9_1["x"]), centre=10.0, sd=1.0, a=0.1, width=2.7)
    assert chart.z[27:] == pytest.approx([10.5731, 10.6468, 10.6341], abs=5e-5)
    assert (np.flatnonzero(np.abs(chart.z - 10.0) > chart.distance) + 1).tolist() == [29, 30]
    assert 10.0 + chart.distance[:2] == pytest.approx([10.27, 10.3632], abs=5e-5)


@pytest.mark.parametrize("limit", CUSUM_RUN_LENGTH)
def test_run_lengths_of_normal_data(limit):
    """Mean days to a false signal, of 4000 series: the SE of the mean is 1.6 % of it, four of them are allowed."""
    rng, runs, most = np.random.default_rng(5), 4000, 16_384
    length, state = np.full(runs, most), np.zeros((runs, 1))
    for day in range(most):
        x = rng.normal(size=(int((length == most).sum()), 1))
        going = np.flatnonzero(length == most)
        if not going.size:
            break
        sums = cumulative_sums(x + state[going], centre=0.0, slack=0.5)
        state[going] = sums.high
        length[going[sums.high[:, 0] > limit]] = day + 1
    assert length.mean() == pytest.approx(CUSUM_RUN_LENGTH[limit], rel=4 / np.sqrt(runs))


@given(st.lists(st.floats(-50.0, 50.0), min_size=1, max_size=40), st.floats(0.01, 1.0))
def test_each_value_has_its_own_weight(x, a):
    """The recursion as a sum over all values; a weight of 1 is the value itself."""
    z = weighted_values(np.array(x), np.array(3.0), a)
    weights = a * (1.0 - a) ** np.arange(len(x) - 1, -1, -1)
    assert z[-1] == pytest.approx(float(weights @ x) + 3.0 * (1.0 - a) ** len(x), abs=1e-9)
    assert weighted_values(np.array(x), np.array(3.0), 1.0) == pytest.approx(x, abs=1e-9)


@pytest.mark.parametrize("a", [0.0, 1.1, -0.2])
def test_impossible_weights_are_refused(a):
    with pytest.raises(ValueError, match="weight"):
        weighted_values(np.ones(3), np.array(0.0), a)
    with pytest.raises(ValueError, match="at least 0"):
        weighted_chart(np.ones(3), centre=0.0, sd=-1.0, a=0.2, width=3.0)
