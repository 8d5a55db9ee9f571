"""Unaccustomed work: what is new, what is far more than of late, and what is left alone.

The thresholds are the project's own (see the module); that novel, high-repetition, lowering-heavy work on adjacent
days is the pattern to watch is from the guidance of CHAMP/USUHS 2020 on exertional rhabdomyolysis (from memory).
"""

from __future__ import annotations

from uuid import UUID

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from athletes.calc.caution import (
    FAR_MORE,
    LEAST_LEFT,
    NOVEL,
    PlannedWork,
    RecentWork,
    cautions,
    exposure,
    unaccustomed,
)

SWING, ROW = UUID(int=1), UUID(int=2)
DAY = 1000


def plan(repetitions, *, failure=True, eccentric=0.5, movement=SWING, day=DAY):
    return PlannedWork(movement, day, repetitions, failure, eccentric)


def done(days_ago, repetitions, *, failed=0.0, eccentric=0.5, movement=SWING, doubted=False):
    return RecentWork(movement, DAY - days_ago, repetitions, failed, eccentric, doubted)


def test_new_work_to_failure_is_cautioned_however_little():
    """With the number of repetitions that an introduction may have."""
    found = unaccustomed(plan(15), [done(3, 200, movement=ROW)])
    assert (found.reason, found.movement_id, found.most_repetitions) == (NOVEL, SWING, 30)


def test_little_new_work_short_of_failure_is_left_alone():
    """A few sets of something new are how everything begins; a hundred are not."""
    assert unaccustomed(plan(18, failure=False), []) is None
    assert unaccustomed(plan(30, failure=False), []) is None
    assert unaccustomed(plan(100, failure=False), []).reason == NOVEL


def test_more_than_twice_the_usual_is_far_more():
    """Twice the largest bout of four weeks is the edge; what is over it is named with what would be within."""
    recent = [done(5, 60), done(12, 40)]
    assert unaccustomed(plan(120), recent) is None
    found = unaccustomed(plan(121), recent)
    assert (found.reason, found.most_repetitions) == (FAR_MORE, 120)


def test_the_day_before_and_the_day_itself_are_one_bout():
    """What was done yesterday, and earlier today, is taken off what is left."""
    recent = [done(10, 60), done(1, 50), done(0, 10)]
    assert unaccustomed(plan(60), recent) is None
    assert unaccustomed(plan(61), recent).most_repetitions == 60


def test_a_hundred_and_fifty_to_failure_are_not_done_again_the_next_day_as_if_nothing_had_been():
    """Sam, who had never done so many: far more, and one set of ten is left. Who did as many a week ago may do half
    of it: half as much again as the largest bout. Who does so on two days running is used to it.
    """
    yesterday = done(1, 150, failed=150)
    found = unaccustomed(plan(150), [yesterday])
    assert (found.reason, found.most_repetitions) == (FAR_MORE, 10)
    found = unaccustomed(plan(150), [yesterday, done(8, 150, failed=150)])
    assert (found.reason, found.most_repetitions) == (FAR_MORE, 75)
    assert unaccustomed(plan(150), [yesterday, done(8, 150), done(9, 150)]) is None
    assert unaccustomed(plan(150), [done(1, 150), done(8, 150)]) is None  # not to failure: twice


def test_a_test_of_one_repetition_makes_nobody_less_used_to_it_than_a_beginner():
    """Sten, tested with one repetition twelve days ago: five by five is an ordinary amount, as for who is new."""
    assert unaccustomed(plan(25), [done(12, 1)]) is None
    assert unaccustomed(plan(30), [done(12, 1)]) is None
    found = unaccustomed(plan(31), [done(12, 1)])
    assert (found.reason, found.most_repetitions) == (FAR_MORE, 30)
    assert unaccustomed(plan(31), []).most_repetitions == 30


def test_what_waits_for_a_look_may_have_tired_and_proves_nothing():
    """Yesterday it is part of the bout; a week ago it is nothing that one is used to, nor went to failure."""
    assert unaccustomed(plan(40), [done(7, 40), done(1, 60, doubted=True)]).most_repetitions == 20
    found = unaccustomed(plan(100), [done(7, 5000, failed=5000, doubted=True), done(9, 20, failed=12)])
    assert (found.reason, found.most_repetitions, found.failed) == (FAR_MORE, 40, 12)


@pytest.mark.parametrize(
    ("recent", "eccentric", "failed", "spent"),
    [
        ([done(7, 40, failed=15)], 0.5, 15, 0),
        ([done(7, 40, failed=15), done(8, 20, failed=5), done(12, 18, failed=18)], 0.5, 20, 0),
        ([done(7, 150, failed=150)], 0.5, 30, 0),  # who did so many is held by what was done
        ([done(7, 40, failed=15)], 1.0, 10, 0),
        ([done(1, 22, failed=22)], 0.5, 22, 0),  # a test the day before
        ([done(1, 70, failed=20)], 0.5, 20, 40),
        ([done(1, 70, failed=20)], 1.0, 20 / 1.5, 40 / 1.5),
    ],
)
def test_what_was_done_to_failure_in_one_bout_is_told(recent, eccentric, failed, spent):
    """Repetitions that were done and not thought possible; lowering counts for more."""
    found = unaccustomed(plan(400, eccentric=eccentric), recent)
    assert (found.failed, found.spent) == pytest.approx((failed, spent))


def test_adjacent_days_make_one_usual_bout():
    """Two days running of 40 are a bout of 80."""
    assert unaccustomed(plan(160), [done(10, 40), done(11, 40)]) is None
    assert unaccustomed(plan(160), [done(10, 40), done(12, 40)]).reason == FAR_MORE


def test_what_is_older_than_four_weeks_is_new_again():
    """On the 28th day it still counts."""
    assert unaccustomed(plan(100), [done(28, 100)]) is None
    assert unaccustomed(plan(100), [done(29, 100)]).reason == NOVEL


def test_lowering_counts_for_more_than_lifting():
    """Jumping down or lowering slowly uses up what pedalling would not."""
    assert exposure(10, 0.5) == 10.0
    assert exposure(10, 1.0) == 15.0
    assert exposure(10, 0.0) == 5.0
    recent = [done(7, 50)]
    assert unaccustomed(plan(70, eccentric=1.0), recent).most_repetitions == 66
    assert unaccustomed(plan(200, eccentric=0.0), recent) is None


def test_a_movement_in_two_places_of_a_session_is_added_up():
    """Each half would pass; both together do not, and are one caution."""
    halves = [plan(70, failure=False), plan(70)]
    recent = [done(7, 60)]
    assert [unaccustomed(half, recent) for half in halves] == [None, None]
    assert [one.reason for one in cautions(halves, recent)] == [FAR_MORE]


def test_failure_in_doubt_yesterday_still_makes_it_the_second_day():
    """It may have tired: half as much again, not twice, of the 60 of ten days ago, with ten of it gone."""
    recent = [done(10, 60), done(1, 10, failed=10, doubted=True)]
    assert unaccustomed(plan(80), recent) is None
    assert unaccustomed(plan(81), recent).most_repetitions == 80


def test_what_comes_later_is_no_part_of_the_bout():
    assert unaccustomed(plan(100), [done(10, 60), done(-1, 40)]) is None


def test_one_set_of_ten_is_left_and_no_more_than_is_asked():
    assert unaccustomed(plan(5), [done(1, 200, failed=200)]).most_repetitions == 5


def test_two_places_together_go_to_failure_where_one_of_them_does():
    """And lower as their repetitions do: 90 without and 10 with nothing but lowering are exposure 60 of 100."""
    places = [plan(15, failure=False), plan(10)]
    assert [one.reason for one in cautions(places, [])] == [NOVEL]
    assert [one.reason for one in cautions(places[::-1], [])] == [NOVEL]
    (found,) = cautions([plan(90, eccentric=0.0), plan(10, eccentric=1.0)], [])
    assert found.most_repetitions == 50


amounts = st.floats(0, 500, allow_nan=False)
history = st.lists(
    st.builds(
        done,
        st.integers(-3, 40),
        amounts,
        failed=st.sampled_from([0.0, 12.0]),
        eccentric=st.floats(0, 1),
        doubted=st.booleans(),
    ),
    max_size=12,
)


@given(amounts, st.booleans(), st.floats(0, 1), history)
@example(59.0, True, 2.2e-16, [done(1, 1, eccentric=0.0)])  # 59 halves, a half and a little more than 30
def test_what_is_named_as_within_is_within(repetitions, failure, eccentric, recent):
    """The cap never exceeds the plan, and work of that size is not cautioned as far more again."""
    found = unaccustomed(plan(repetitions, failure=failure, eccentric=eccentric), recent)
    if found is None:
        return
    if found.reason == FAR_MORE and found.most_repetitions > LEAST_LEFT / (0.5 + eccentric):
        assert found.most_repetitions <= repetitions
        within = plan(found.most_repetitions, failure=failure, eccentric=eccentric)
        assert unaccustomed(within, recent) is None


def test_what_is_named_as_within_is_within_however_it_is_rounded():
    """A share of braking next to nothing makes of 59 repetitions a hair more than what is left of 30."""
    eccentric = 2.220446049250313e-16
    recent = [done(0, 1.0, eccentric=0.0)]
    found = unaccustomed(plan(100, failure=False, eccentric=eccentric), recent)
    assert found.most_repetitions == 59
    assert unaccustomed(plan(59, failure=False, eccentric=eccentric), recent) is None
    assert unaccustomed(plan(60, failure=False, eccentric=eccentric), recent).reason == FAR_MORE


@given(amounts, amounts, st.booleans(), history)
def test_more_is_never_safer(less, more, failure, recent):
    """A smaller amount is cautioned only where the larger one is."""
    less, more = sorted((less, more))
    if unaccustomed(plan(less, failure=failure), recent) is not None:
        assert unaccustomed(plan(more, failure=failure), recent) is not None


@pytest.mark.parametrize("bad", [plan(-1), plan(float("nan")), plan(5, eccentric=1.5)])
def test_no_amount_of_work_is_refused(bad):
    """Neither a negative number nor a share beyond one."""
    with pytest.raises(ValueError, match="must"):
        unaccustomed(bad, [])
