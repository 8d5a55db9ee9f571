"""Far more than was done of late is cut, of who is known too; what failed in one bout is a good part of is not."""

from dataclasses import replace

import numpy as np
import pytest

from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.caps import UsedTo
from scoring.calc.prescribe import prescribe
from tests.scoring.calc.athletes import MULTIPLIER
from tests.scoring.calc.orders import item
from tests.scoring.calc.test_check_within_caps import rounds

ONE = Candidate(Option("any", 40.0, None, None, 40.0), np.full(len(MULTIPLIER), 18.5), is_as_written=True)


def asked(amount, used_to, count=1, one=ONE, **options):
    block = rounds(item("a", amount), count=count)
    told = {} if used_to is None else {"a": used_to}
    result = prescribe(block, {"a": [one]}, multiplier=MULTIPLIER, used_to=told, **options)
    done = (count if result.rounds is None else result.rounds) * result.chosen[0].amount
    return done, {one.code for one in result.reasons}


@pytest.mark.parametrize(
    ("written", "used_to", "told"),
    [
        (200.0, None, 200.0),
        (200.0, UsedTo(40.0, 1.0), 40.0),  # nothing of late shows what is possible
        (200.0, UsedTo(40.0, 1.0, 4.0), 40.0),  # nor does what nobody did
        (200.0, UsedTo(40.0, 1.0, 4.0, 15.0), 60.0),  # four times 15 done, whatever is thought possible
        (
            200.0,
            UsedTo(40.0, 1.0, 4.0, 30.0),
            74.0,
        ),  # four times 18.5 where more was done of an easier version
        (200.0, UsedTo(30.0, 1.0, 2.0, 15.0), 30.0),  # of a minor
        (200.0, UsedTo(150.0, 1.0, 4.0, 15.0), 150.0),  # twice what was done of late is more than that
        (200.0, UsedTo(20.0, 0.5, 4.0, 15.0), 30.0),  # half of the movement's work stands elsewhere
        (200.0, UsedTo(10.0, 1.0, 4.0, 15.0, 40.0), 20.0),  # forty done the day before
        (60.0, UsedTo(30.0, 1.0, 4.0, 15.0), 60.0),  # what failed is a quarter of it
    ],
)
def test_the_most_is_what_is_no_great_step_or_a_few_times_what_failed_in_one_bout(written, used_to, told):
    """By hand; what is cut says why, and the rest is as written and says nothing."""
    done, codes = asked(written, used_to)

    assert done == told
    assert codes == ({"far_more_than_of_late"} if told < written else set())


def test_it_holds_over_the_rounds_and_where_nothing_goes_to_failure():
    """Ten rounds of twenty."""
    for to_failure in (True, False):
        done, codes = asked(20.0, UsedTo(40.0, 1.0, 4.0, 18.5), count=10, to_failure=to_failure)

        assert done <= 74.0
        assert "far_more_than_of_late" in codes


def test_a_lower_cap_of_safety_is_the_reason_itself():
    """Thirty after an absence."""
    assert asked(200.0, UsedTo(40.0, 1.0), volume_caps={"a": 30.0}) == (30.0, {"capped_volume"})


@pytest.mark.parametrize(
    ("one", "done_before", "told"),
    [
        (replace(ONE, is_first_time=True), 0.0, 30.0),
        (replace(ONE, is_first_time=True), 12.0, 18.0),  # the check set is part of the introduction
        (
            replace(ONE, is_first_time=True, fresh=np.full(len(MULTIPLIER), 6.2)),
            6.0,
            12.0,
        ),  # three times 6.2 less 6
        (ONE, 12.0, 200.0),
    ],
)
def test_a_check_set_tells_what_is_possible_and_not_what_is_ordinary_for_new_work(one, done_before, told):
    """Two hundred written, thirty an introduction: whoever is known exactly after a check set stays within it."""
    before = {"a": done_before}
    done, codes = asked(200.0, None, one=one, done_before=before, introductions={"a": 30.0})

    assert done == told
    assert codes == ({"capped_volume"} if told < 200.0 else set())
