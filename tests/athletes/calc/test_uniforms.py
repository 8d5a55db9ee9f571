"""Quantiles of uniforms are kept for arrays that stay what they are, and for no others."""

from statistics import NormalDist

import numpy as np
import pytest

from athletes.calc import uniforms as module
from athletes.calc.uniforms import MOST_KEPT, normal_quantiles
from programming.calc.arrays import FloatArray

# Standard normal, one-sided: a table's values.
TABLE = {0.5: 0.0, 0.8413447: 1.0, 0.9: 1.2815516, 0.975: 1.9599640}


def uniforms(*second: float, fixed: bool) -> FloatArray:
    u = np.array([(0.3, one) for one in second])
    u.flags.writeable = not fixed
    return u


@pytest.mark.parametrize("fixed", [False, True])
def test_they_are_those_of_the_second_column(fixed: bool) -> None:
    u = uniforms(*TABLE, fixed=fixed)
    assert normal_quantiles(u) == pytest.approx(list(TABLE.values()), abs=1e-6)
    assert normal_quantiles(u) == pytest.approx(list(TABLE.values()), abs=1e-6)


def test_what_can_be_written_to_is_looked_at_every_time() -> None:
    """So is a view of it, which is no array of its own."""
    u = uniforms(0.5, 0.9, fixed=False)
    view = u[:]
    view.flags.writeable = False
    assert normal_quantiles(u)[0] == normal_quantiles(view)[0] == 0.0
    u[0, 1] = 0.975
    assert normal_quantiles(u)[0] == normal_quantiles(view)[0] == pytest.approx(1.96, abs=1e-4)
    u[0, 1] = 1.0
    with pytest.raises(ValueError, match="inside 0 to 1"):
        normal_quantiles(u)


def test_what_cannot_is_worked_out_once() -> None:
    u = uniforms(0.5, 0.9, fixed=True)
    assert normal_quantiles(u) is normal_quantiles(u)


def test_many_arrays_take_no_more_room() -> None:
    """And each still has its own, also one that was dropped for others."""
    values = [0.25 + number / 1000.0 for number in range(3 * MOST_KEPT)]
    expected = pytest.approx([NormalDist().inv_cdf(one) for one in values], abs=1e-9)
    listed = [uniforms(one, fixed=True) for one in values]
    for _ in range(2):
        assert [normal_quantiles(one)[0] for one in listed] == expected
        assert len(module._kept) <= MOST_KEPT


def test_what_comes_in_the_place_of_an_array_that_is_gone_has_its_own() -> None:
    """Its id may be that of the one before it, which nobody holds any more."""
    values = [0.25 + number / 1000.0 for number in range(3 * MOST_KEPT)]
    found = [normal_quantiles(uniforms(one, fixed=True))[0] for one in values]
    assert found == pytest.approx([NormalDist().inv_cdf(one) for one in values], abs=1e-9)


@pytest.mark.parametrize("u", [np.zeros((3, 2)), np.full((3, 3), 0.5), np.full(4, 0.5)])
def test_others_are_refused(u: FloatArray) -> None:
    u.flags.writeable = False
    for _ in range(2):
        with pytest.raises(ValueError, match="u must be"):
            normal_quantiles(u)
