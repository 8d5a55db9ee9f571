"""Why an aim that is hardly met is not refused: each of its reasons where the others do not hold."""

from dataclasses import replace

import pytest

from programming.calc.revision import Condition
from scoring.calc.prescribe import prescribe
from tests.scoring.calc.athletes import MULTIPLIER, Athlete
from tests.scoring.calc.blocks import block, first_set
from tests.scoring.calc.test_check_steps import sets
from tests.scoring.calc.test_volume import attempts

STRONG = Athlete(90.0, 0.1, fall_off_log_sd=0.1)
SHARE = Condition("share_of_available", "a", 60.0, 80.0)


def light(**seen):
    """Versions that a strong athlete does thirty times and more."""
    return [replace(one, **seen) for one in STRONG.candidates(loads=(30.0, 35.0), written=1)]


def told(result):
    assert result.feasible
    return {(one.code, one.work) for one in result.reasons}


@pytest.mark.parametrize("seen", [{"is_unseen": True}, {"is_hardly_seen": True}])
def test_who_is_hardly_seen_has_it_given_up_for_safety_once_the_check_set_was_done(seen):
    """None is asked again, and the step up is still safety's: no load lies on either side of the aim."""
    options = {"a": light(**seen)}
    before = prescribe(sets(3.0, SHARE), options, multiplier=MULTIPLIER)
    after = prescribe(sets(3.0, SHARE), options, multiplier=MULTIPLIER, done_checks=["movement_a"])

    assert ("aim_after_check_set", "a") in told(before)
    assert after.check_sets == ()
    assert told(after) == {("aim_given_up_for_safety", "a")}


def test_what_a_cap_takes_no_check_set_gives_back():
    """Less than the five sets written: the check set is asked for, and yet the aim is given up for the cap."""
    result = prescribe(
        sets(3.0, SHARE), {"a": light(is_unseen=True)}, multiplier=MULTIPLIER, volume_caps={"a": 10.0}
    )

    assert len(result.check_sets) == 1
    assert ("aim_given_up_for_safety", "a") in told(result)
    assert not [one for one in result.reasons if one.code == "aim_after_check_set"]


def test_a_first_set_that_is_too_easy_is_told_of_whoever_was_never_seen():
    """Three to five are aimed at with a load for thirty: given all the same, with why, of that work."""
    result = prescribe(sets(3.0, first_set(3, 5)), {"a": light(is_unseen=True)}, multiplier=MULTIPLIER)

    assert result.conditions[0].probability < 0.05
    assert ("aim_after_check_set", "a") in told(result)


def test_no_ramp_where_other_work_of_the_block_cannot_be_done():
    """Attempts at a maximum beside work without an option: refused for both, and no way up to half of it."""
    alone = attempts("load")
    both = replace(alone, work=(*alone.work, block().work[1]))
    lifts = [
        replace(one, option=replace(one.option, variation_key="press"))
        for one in Athlete(90.0).candidates(written=11)
    ]
    one = prescribe(alone, {"a": lifts}, multiplier=MULTIPLIER)
    two = prescribe(both, {"a": lifts, "b": []}, multiplier=MULTIPLIER)

    assert one.warm_up
    assert [(reason.code, reason.work) for reason in two.reasons] == [
        ("maximal_attempt_needs_coach", "a"),
        ("no_options", "b"),
    ]
    assert two.warm_up == ()
