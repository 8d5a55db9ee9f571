"""An unseen movement takes from seen ones what goes together between movements."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from athletes.calc.borrowing import Told, Traits, borrowed, correlation, told_by
from athletes.calc.capacity import Observation, estimate_capacity, published_prior
from programming.calc.prior import Prior

PRESS = Traits("vertical_push", {"front_shoulder": 1.0, "triceps": 0.8})
BENCH = Traits("horizontal_push", {"chest": 1.0, "triceps": 0.8, "front_shoulder": 0.6})
DIP = Traits("vertical_push", {"chest": 1.0, "triceps": 1.0, "front_shoulder": 0.4})
SQUAT = Traits("squat", {"quadriceps": 1.0, "glutes": 0.8})
PRIOR = published_prior(60.0)


def test_strong_in_presses_is_not_average_in_dips() -> None:
    """Far above people in two presses: above average in dips by most of it, and surer; less so in squats."""
    strong = [(PRESS, Told(1.5, 0.05)), (BENCH, Told(1.5, 0.05))]

    dip, squat = borrowed(PRIOR, DIP, strong), borrowed(PRIOR, SQUAT, strong)

    z = [(one.log_l10 - PRIOR.log_l10) / PRIOR.log_l10_sd for one in (dip, squat)]
    assert 0.9 < z[0] < 1.5
    assert 0.2 < z[1] < 0.8
    assert dip.log_l10_sd < 0.75 * PRIOR.log_l10_sd
    assert dip.log_l10_sd < squat.log_l10_sd < PRIOR.log_l10_sd
    assert (dip.log_k, dip.log_k_sd) == (PRIOR.log_k, PRIOR.log_k_sd)


def test_against_the_whole_joint_normal() -> None:
    """The conditional normal, from the covariance of unseen and seen together inverted at once."""
    seen = [(PRESS, Told(0.7, 0.1)), (BENCH, Told(-0.4, 0.6)), (SQUAT, Told(1.2, 0.02))]
    all_of = [DIP, *(traits for traits, _ in seen)]
    whole = np.array([[1.0 if a is b else correlation(a, b) for b in all_of] for a in all_of])
    whole[1:, 1:] += np.diag([told.error for _, told in seen])
    precision = np.linalg.inv(whole)
    z = -precision[0, 1:] @ np.array([told.z for _, told in seen]) / precision[0, 0]

    found = borrowed(PRIOR, DIP, seen)

    assert found.log_l10 == pytest.approx(PRIOR.log_l10 + PRIOR.log_l10_sd * z)
    assert found.log_l10_sd == pytest.approx(PRIOR.log_l10_sd / math.sqrt(precision[0, 0]))


def test_what_sights_alone_tell() -> None:
    """Precisions subtract: the prior and what is told make the estimate again (worked through for one test)."""
    capacity = dataclasses.replace(
        estimate_capacity(
            Prior(PRIOR.log_l10, 0.45, PRIOR.log_k, 1e-3), [Observation(0, 60.0, 20.0, "to_failure")], day=0
        ),
        start=(PRIOR.log_l10, PRIOR.log_l10, 0.45),
    )
    told = told_by(capacity)
    mean = float(capacity.weight @ capacity.mean)

    assert told is not None
    assert (told.z / told.error) / (1.0 + 1.0 / told.error) == pytest.approx((mean - PRIOR.log_l10) / 0.45)
    # Twenty repetitions, the middle 20.5, are 10.5 k above ten.
    assert told.z == pytest.approx(10.5 * math.exp(PRIOR.log_k) / 0.45, abs=0.01)


def test_what_tells_nothing() -> None:
    """No start, no observation, or an easy set: nothing to lend; without lenders the prior stays."""
    start = (PRIOR.log_l10, PRIOR.log_l10, PRIOR.log_l10_sd)
    unseen = estimate_capacity(PRIOR, [], day=0)
    easy = estimate_capacity(PRIOR, [Observation(0, 20.0, 3.0, "at_least")], day=0)
    tested = estimate_capacity(PRIOR, [Observation(0, 60.0, 9.0, "to_failure")], day=0)

    assert told_by(dataclasses.replace(unseen, start=start)) is None
    assert told_by(dataclasses.replace(easy, start=start)) is None
    assert told_by(tested) is None
    assert told_by(dataclasses.replace(tested, start=start)) is not None
    assert borrowed(PRIOR, DIP, []) is PRIOR


traits = st.builds(
    Traits,
    st.sampled_from(["vertical_push", "horizontal_push", "squat", "hinge", "vertical_pull"]),
    st.dictionaries(st.sampled_from("abcdef"), st.floats(0.1, 1.0), max_size=4),
)


@given(many=st.lists(traits, min_size=2, max_size=8))
def test_any_movements_have_a_proper_correlation(many: list[Traits]) -> None:
    """Positive definite with the movements' own part, each between 0.3 and 0.8, symmetric."""
    matrix = np.array([[correlation(a, b) for b in many] for a in many])
    np.fill_diagonal(matrix, 1.0)

    off = matrix[~np.eye(len(many), dtype=bool)]
    assert (matrix == matrix.T).all()
    assert ((off >= 0.3 - 1e-9) & (off <= 0.8 + 1e-9)).all()
    assert np.linalg.eigvalsh(matrix).min() > 0.15


def test_the_order_of_muscle_groups_changes_no_bit() -> None:
    """A mapping read back in another order is the same movement, to the last bit."""
    draw = np.random.default_rng(3)
    for _ in range(200):
        one, other = (dict(zip("abcdef", draw.uniform(0.1, 1.0, 6).tolist(), strict=True)) for _ in range(2))
        turned = dict(reversed(one.items()))
        found = correlation(Traits("squat", one), Traits("hinge", other))
        assert correlation(Traits("squat", turned), Traits("hinge", other)) == found
        assert correlation(Traits("hinge", other), Traits("squat", turned)) == found
