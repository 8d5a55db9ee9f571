"""A check set is part of what may be done: it stops within its part of a cap, the work after it is less by it, and a
movement is checked once in a session.
"""

from dataclasses import replace

import pytest

from programming.calc.revision import Aim, Block, BlockRules, BreakRule, EndRule
from scoring.calc.check_plan import Checks, counting_checks, within_cap
from scoring.calc.prescribe import prescribe
from scoring.calc.prescription import CheckSet
from tests.scoring.calc.athletes import MULTIPLIER, Athlete
from tests.scoring.calc.blocks import first_set
from tests.scoring.calc.orders import item

UNKNOWN = Athlete(70.0, 0.3, fall_off_log_sd=0.2)
ASKED = CheckSet("a", UNKNOWN.candidates()[0].option, 12, 2, 9, 600, None, UNKNOWN.candidates()[1].option,
                 able_at_least=14, able_at_most=21)  # fmt: skip


def rounds(*work, conditions=(), count=3):
    made = BlockRules(
        "rounds", BreakRule("none"), EndRule("work_done"), "none", "none", rounds=count, rest_between_s=60.0
    )
    return Block("main", tuple(work), made, Aim(tuple(conditions)))


def unseen(loads=(30.0, 40.0, 50.0, 60.0)):
    return [replace(one, is_unseen=True) for one in UNKNOWN.candidates(loads=loads, written=1)]


def asked_in_all(block, result, check):
    """What is done of the checked work: the set, and every round after it."""
    count = block.rules.rounds if result.rounds is None else result.rounds
    return check.stop_at + count * next(one.amount for one in result.chosen if one.work == check.work)


@pytest.mark.parametrize("cap", [4.0, 5.0, 9.0, 16.0, 31.0, 44.0])
@pytest.mark.parametrize("amount", [4.0, 10.0, 15.0])
def test_the_set_and_the_work_after_it_stay_within_the_cap(cap, amount):
    """Three rounds; a cap of 4 leaves a set of two, and two rounds of one after it."""
    block = rounds(item("a", amount))
    result = prescribe(block, {"a": unseen()}, multiplier=MULTIPLIER, volume_caps={"a": cap})
    (check,) = result.check_sets

    assert result.feasible
    assert 2 <= check.stop_at <= cap / 2
    assert asked_in_all(block, result, check) <= cap


@pytest.mark.parametrize("cap", [1.0, 2.0, 3.0])
def test_a_cap_of_a_few_repetitions_leaves_no_set_to_check_with(cap):
    """The work is then as short as a check set could be, and nobody is asked for one repetition to check three."""
    result = prescribe(rounds(item("a", 4.0)), {"a": unseen()}, multiplier=MULTIPLIER, volume_caps={"a": cap})

    assert result.feasible
    assert result.check_sets == ()
    assert "uncertain_capacity" not in {one.code for one in result.reasons}
    assert (result.rounds or 3) * result.chosen[0].amount <= cap


def test_who_is_hardly_known_to_do_one_is_not_asked_for_one_to_check_it():
    """About one repetition is thought possible of what is new: three in all at most, and no set before them."""
    weak = Athlete(31.2, 0.3, fall_off_log_sd=0.2).candidates(loads=(31.0,), written=0)
    new = [replace(one, is_unseen=True, is_novel=True) for one in weak]
    result = prescribe(rounds(item("a", 2.0), count=4), {"a": new}, multiplier=MULTIPLIER)

    assert result.check_sets == ()


def test_without_a_cap_the_work_is_as_written():
    """Few repetitions of what is new are not capped: the check set comes on top."""
    result = prescribe(rounds(item("a", 4.0)), {"a": unseen()}, multiplier=MULTIPLIER)

    assert len(result.check_sets) == 1
    assert result.chosen[0].amount_as_written


def test_much_new_work_counts_its_check_set():
    """Nobody set a cap: that of new work holds for the set and the rounds together."""
    block = rounds(item("a", 30.0), count=6)
    result = prescribe(block, {"a": unseen()}, multiplier=MULTIPLIER)
    (check,) = result.check_sets
    (told,) = [one for one in result.candidates if one.option == check.option]

    assert asked_in_all(block, result, check) <= 3.0 * told.fresh.p50 + 1e-9
    assert "capped_volume" in {one.code for one in result.reasons}


def test_what_was_done_to_check_is_gone_from_the_cap_afterwards():
    """Twelve of 44 done: 32 are left, fifteen in each of two rounds."""
    block = rounds(item("a", 15.0))
    seen = [replace(one, is_unseen=False) for one in unseen()]
    result = prescribe(
        block, {"a": seen}, multiplier=MULTIPLIER, volume_caps={"a": 44.0}, done_before={"a": 12.0}
    )

    assert (result.rounds, result.chosen[0].amount) == (2, 15.0)


def test_a_movement_in_two_places_is_checked_once():
    """Where its first set is aimed at, else where it comes first; the other place says by what it is settled."""
    twice = (item("a", 5.0, movement="squat"), item("b", 12.0, movement="squat"))
    for conditions, checked, other in (((), "a", "b"), ((first_set(8, 20, "b"),), "b", "a")):
        block = rounds(*twice, conditions=conditions)
        result = prescribe(block, {"a": unseen(), "b": unseen()}, multiplier=MULTIPLIER)

        assert [one.work for one in result.check_sets] == [checked]
        assert ("checked_with_other_work", other) in {(one.code, one.work) for one in result.reasons}
    before = prescribe(block, {"a": unseen(), "b": unseen()}, multiplier=MULTIPLIER, checked={"squat"})
    assert before.check_sets == ()
    assert {one.work for one in before.reasons if one.code == "checked_with_other_work"} == {"a", "b"}


@pytest.mark.parametrize(
    ("cap", "stop_at", "able"),
    [(None, 12, (14, 21)), (24.0, 12, (14, 21)), (23.0, 11, (14, None)), (6.0, 3, (13, None)), (4.0, 2, (12, None))],
)  # fmt: skip
def test_a_short_set_asks_only_what_it_can_tell(cap, stop_at, able):
    """By hand: ten left is the most that is told, so eleven done tell up to 21 able, and not whether 22 are."""
    check = within_cap(ASKED, cap)

    assert (check.stop_at, (check.able_at_least, check.able_at_most)) == (stop_at, able)
    assert (check.harder is None) == (able[1] is None)
    assert check.reserve_at_most == (None if able[1] is None else able[1] - stop_at)


def test_no_part_of_a_cap_is_no_set():
    """Half of three repetitions is one, which tells nothing; where more is allowed a single one may be enough."""
    single = replace(ASKED, stop_at=1)

    assert within_cap(ASKED, 3.9) is None
    assert within_cap(single, 3.9) is None
    assert within_cap(single, 4.0) == single


@pytest.mark.parametrize(("hard", "sets", "settled"), [({"a"}, (), ("c",)), (set(), (ASKED,), ("b", "c"))])
def test_a_set_that_is_not_asked_settles_nothing(hard, sets, settled):
    """No room beside it under a hard cap: the other squats wait for no set, the row for that of an earlier block."""
    block = rounds(
        item("a", 5.0, movement="squat"), item("b", 12.0, movement="squat"), item("c", 9.0, movement="row")
    )
    asked = Checks((ASKED,), ("b", "c"))
    less, checks = counting_checks(block, {"a": float(ASKED.stop_at)}, hard, asked)

    assert (checks.sets, checks.settled_by_others) == (sets, settled)
    assert less == block
