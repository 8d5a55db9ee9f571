"""Typical error and minimal detectable change: published values, and a second way to the same residual."""

import math

import numpy as np
import pytest

from athletes.calc.typical_error import (
    minimal_detectable_change,
    typical_error,
    usual_error_of_hold,
    usual_error_of_maximum,
    usual_error_of_repetitions,
)

SHROUT_FLEISS_1979 = np.array(
    [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]], dtype=float
)
"""Shrout & Fleiss 1979, Psychol Bull 86:420-428: six targets, four judges; ICC(3,1) published as .71 (from memory,
sure; .7148 computed with pingouin 0.7.0)."""


@pytest.mark.parametrize(("error", "change"), [(1.69, 4.68), (2.0, 5.543717)])
def test_published_detectable_changes(error: float, change: float) -> None:
    """1.96 sqrt(2) TE: 1.69 gives 4.68, 2 gives 5.543717 (Hopkins 2000's definition; the latter computed)."""
    assert minimal_detectable_change(error) == pytest.approx(change, abs=0.005)


def test_the_error_of_published_ratings() -> None:
    """With the mean square of targets, the residual gives the published ICC(3,1)."""
    ratings = SHROUT_FLEISS_1979
    targets = ratings.shape[1] * float(ratings.mean(axis=1).var(ddof=1))
    residual = typical_error(ratings) ** 2

    assert (targets - residual) / (targets + 3.0 * residual) == pytest.approx(0.7148, abs=5e-5)


def test_two_trials_are_the_spread_of_their_differences() -> None:
    """SD of the differences over the root of 2, which everybody's gain from the first to the second leaves alone."""
    rng = np.random.default_rng(3)
    first = rng.normal(50.0, 10.0, 30)
    second = first + rng.normal(1.0, 2.0, 30)

    expected = float((second - first).std(ddof=1)) / math.sqrt(2.0)
    assert typical_error(np.stack([first, second], axis=1)) == pytest.approx(expected)
    assert typical_error(np.stack([first, second + 7.0], axis=1)) == pytest.approx(expected)


@pytest.mark.parametrize("shape", [(1, 5), (5, 1), (0, 0)])
def test_too_few_trials_tell_no_error(shape: tuple[int, int]) -> None:
    assert typical_error(np.zeros(shape)) is None


@pytest.mark.parametrize(("error", "confidence"), [(-1.0, 0.95), (math.nan, 0.95), (1.0, 1.0), (1.0, 0.0)])
def test_no_change_of_no_error(error: float, confidence: float) -> None:
    with pytest.raises(ValueError, match="no minimal detectable change"):
        minimal_detectable_change(error, confidence)


def test_usual_errors() -> None:
    """The noise that the estimate takes: 0.5 + 0.043 n repetitions, 4 % of a maximum, 15 % of a hold."""
    assert usual_error_of_repetitions(20.0) == pytest.approx(1.36)
    assert usual_error_of_maximum(150.0) == pytest.approx(6.0)
    assert usual_error_of_hold(120.0) == pytest.approx(18.0)
