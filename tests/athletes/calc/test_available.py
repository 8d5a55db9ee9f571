"""What was available before each logged set: by the plain body of the multiplier's tests, and by what must hold."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from athletes.calc.available import available_before
from athletes.calc.multiplier import CHOICE, FAILURE, OTHERWISE
from tests.athletes.calc.test_multiplier import PlainBody, able, done


def test_one_known_person_has_what_the_plain_body_has() -> None:
    """Everything is known of one person, so that all levels are one number: fresh less what is spent."""
    log = done([12, 8, 8, 6], [0.0, 84.0, 160.0, 216.0], [CHOICE] * 4)
    body, wanted = PlainBody(20.0, 0.5), []
    for start, seconds, amount in zip(log.start, log.seconds, log.amount, strict=True):
        wanted.append(max(body.there(start), amount))
        body.work(amount, seconds, False)

    found = available_before(log, able([[20.0]]), 0.5)

    assert found[0] == pytest.approx([20.0] * 3)
    for levels, there in zip(found, wanted, strict=True):
        assert levels == pytest.approx([there] * 3, rel=1e-9)


def test_who_failed_had_no_more() -> None:
    """Of people with 10 to 40 fresh: failing at 20 says 20; another set before it narrows who they are."""
    people = able([[float(fresh)] for fresh in range(10, 41)])
    assert available_before(done([20], [0.0], [FAILURE]), people, 0.5)[0].tolist() == [20.0] * 3
    unsaid = available_before(done([5], [0.0], [OTHERWISE]), people, 0.5)[0]
    assert unsaid[1] == 25.0
    # After failing at 20 a planned set of 5 two minutes later is told of those with about 20 fresh.
    known = available_before(done([20, 5], [0.0, 160.0], [FAILURE, CHOICE]), people, 0.5)[1]
    vague = available_before(done([20, 5], [0.0, 160.0], [OTHERWISE, CHOICE]), people, 0.5)[1]
    assert known[1] < vague[1]


def test_of_too_few_who_fit_all_count_alike() -> None:
    """Nobody of the capacity could do 60 as three people can: no interval of no width is told of the set after it."""
    people = able([[float(fresh)] for fresh in [*range(10, 38), 61, 62, 63]])
    _, later = available_before(done([60, 3], [0.0, 600.0], [FAILURE, CHOICE]), people, 0.5)
    assert later[2] - later[0] > 5.0


@pytest.mark.parametrize(("fitting", "alike"), [(7, True), (9, False)])
def test_eight_who_fit_are_enough(fitting: int, alike: bool) -> None:
    """Of people alike, so that each of them weighs the same: seven tell no interval of their own, nine do."""
    people = able([[float(fresh)] for fresh in [*range(10, 38), *[62] * fitting]])
    _, later = available_before(done([60, 3], [0.0, 600.0], [FAILURE, CHOICE]), people, 0.5)
    assert (later[2] - later[0] > 5.0) == alike


@settings(deadline=None)
@given(
    st.lists(st.integers(1, 15), min_size=1, max_size=6),
    st.floats(10.0, 200.0),
    st.lists(st.floats(5.0, 40.0), min_size=2, max_size=8),
)
def test_levels_ascend_and_hold_what_was_done(amounts: list[int], rest_s: float, fresh: list[float]) -> None:
    starts = np.concatenate(([0.0], np.cumsum(2.0 * np.array(amounts[:-1]) + rest_s)))
    log = done(amounts, starts, [CHOICE] * len(amounts))
    found = available_before(log, able([[one] for one in fresh]), 0.5)
    assert np.isfinite(found).all()
    assert (np.diff(found, axis=1) >= 0.0).all()
    assert (found >= np.array(amounts)[:, None]).all()


def test_sets_that_overlap_are_refused() -> None:
    with pytest.raises(ValueError, match="follow"):
        available_before(done([10, 10], [0.0, 5.0], [CHOICE] * 2), able([[20.0]]), 0.5)
