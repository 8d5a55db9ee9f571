"""The loss of missing a window: by hand, and what a repetition costs on either side."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.calc.loss import Window, bounds_and_costs, in_all, in_window, window_loss


def loss(value, window):
    """Of one scenario."""
    return float(window_loss(np.array([float(value)]), np.array([float(value)]), window)[0])


@pytest.mark.parametrize(
    ("value", "window", "expected"),
    [
        (8, Window(10, 15, True), 3 * 2 / 12.5),
        (17, Window(10, 15, True), 2 / 12.5),
        (0, Window(10, 15, True), 2.4),
        (12, Window(10, 15, True), 0.0),
        (4, Window(8, None, True), 1.5),
        (900, Window(300, 600, False), 3 * 300 / 450),
        (210, Window(300, 600, False), 90 / 450),
        (3, Window(0, 2, True), 0.5),  # a floor of nothing is none
    ],
)
def test_by_hand(value, window, expected):
    """Too hard costs three times what too easy costs, in parts of the middle of the window."""
    assert loss(value, window) == pytest.approx(expected)


@given(st.integers(1, 100), st.integers(0, 100), st.integers(1, 50), st.booleans())
def test_the_same_distance_costs_three_times_as_much_on_the_hard_side(lower, wide, off, low_is_hard):
    """Whatever the window: so many too few, against as many too many."""
    window = Window(lower, lower + wide, low_is_hard)
    below, above = loss(lower - off, window), loss(lower + wide + off, window)

    assert (below if low_is_hard else above) == pytest.approx(3 * (above if low_is_hard else below))


BOUND = st.one_of(st.none(), st.sampled_from([-1.0, 0.0, 3.0, 8.0, 12.5, 20.0]))


@given(
    st.lists(st.floats(0.0, 30.0), min_size=1, max_size=30),
    st.lists(st.builds(Window, BOUND, BOUND, st.booleans()), max_size=3),
)
def test_all_windows_at_once(values, windows):
    """Beside one window after the other."""
    drawn, holds = np.array(values), np.ones(len(values))
    for window in windows:
        holds = holds * in_window(drawn, drawn, window)
    expected = sum(window_loss(drawn, drawn, window).mean() for window in windows)
    found = in_all(drawn, bounds_and_costs(windows))
    assert found == pytest.approx((expected, holds.mean()))
