"""Points over the scenarios against numpy's own."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.calc.spread import lower_points, median, spread, spread_and_points

LEVELS = (0.0, 0.02, 0.1, 0.25, 0.5, 0.9, 0.98, 1.0)
finite = st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=40)
some_infinite = st.lists(st.floats(allow_nan=False), min_size=1, max_size=40)


@given(some_infinite)
def test_the_median_is_that_of_numpy(values: list[float]) -> None:
    """To the last bit; what has no middle, between minus infinite and infinite, is no number there either."""
    with np.errstate(invalid="ignore", over="ignore"):
        assert np.array_equal(median(np.array(values)), np.median(values), equal_nan=True)


@given(finite, st.integers(0, 40))
def test_of_numbers_with_one_that_is_none_there_is_no_median(values: list[float], place: int) -> None:
    assert np.isnan(median(np.array([*values[:place], np.nan, *values[place:]])))


@given(st.lists(st.integers(-9, 9), min_size=1, max_size=20))
def test_the_median_of_whole_numbers(values: list[int]) -> None:
    assert median(np.array(values)) == np.median(values)


@given(some_infinite)
def test_the_lower_of_two_neighbours_is_taken_as_numpy_does(values: list[float]) -> None:
    assert lower_points(np.array(values), LEVELS) == np.quantile(values, LEVELS, method="lower").tolist()


@given(finite)
def test_spread_and_points_tell_the_same(values: list[float]) -> None:
    """Between neighbours in proportion, the usual way of numpy, rounded to hundredths."""
    told, points = spread_and_points(np.array(values), LEVELS)
    assert told == spread(np.array(values))
    assert (told.p10, told.p50, told.p90) == (points[2], points[4], points[5])
    assert points == pytest.approx(np.quantile(values, LEVELS), abs=0.0051)
