"""Lists of sets in words, where a session has several blocks, intervals, or no time left."""

from __future__ import annotations

from dataclasses import replace

import pytest

from programming.calc.revision import Intervals
from programming.plans import SessionPlan
from scoring.calc.forecast import BlockForecast, Spread
from scoring.calc.listed_forecast import DOUBTFUL, FAILS, PROBABLE, SetThere
from scoring.calc.planned_set import ROUND
from scoring.listed import WishedSet, lists_of, where_it_fails
from scoring.names import Names
from scoring.overriding import Named
from services.problems import Invalid
from tests.scoring.test_candidates import plan

NONE = Spread(0.0, 0.0, 0.0)
TWO = Names(
    works={"a": "Row", "b": "Plank"}, blocks={"main": "the first block", "finish": "the second block"}
)


def forecast(*sets: SetThere, p_finish: float = 1.0) -> BlockForecast:
    return BlockForecast((None,) * 19, p_finish, NONE, 0.8, 40.0, (), (), 64, listed=sets)


def there(number: int, likely: str, share: float, *, work: str = "a", unit: str = "repetitions") -> SetThere:
    return SetThere(number, work, 30.0, unit, 1.0, share, Spread(10.0, 12.0, 14.0), likely)


def test_each_block_is_told_for_itself() -> None:
    """One that is done, one that is in doubt, and one without a list, of which nothing is said."""
    found = where_it_fails(
        {
            "main": forecast(there(1, PROBABLE, 0.9)),
            "finish": forecast(there(1, DOUBTFUL, 0.6, work="b", unit="hold_s"), p_finish=0.7),
            "after": forecast(),
            "shut": None,
        },
        TWO,
    )
    assert found == [
        "Every set of the first block is probably there as it is written.",
        "Set 1 of the second block (Plank, 30 s) is in doubt: as it is written in 60 of 100 cases; where it is begun,"
        " 12 are likely. All of it is done in time in 70 of 100 cases.",
    ]


def test_a_set_that_is_never_begun_is_told_so() -> None:
    never = replace(there(2, FAILS, 0.0), done=None, p_begun=0.0)
    (found,) = where_it_fails({"main": forecast(there(1, PROBABLE, 0.9), never)}, Names(works={"a": "Row"}))
    assert found == "Set 2 (Row, 30) is never begun: the time is over before."


@pytest.mark.parametrize(("share", "said"), [(0.8, False), (0.79, True)])
def test_what_is_finished_four_times_in_five_is_not_told(share: float, said: bool) -> None:
    (found,) = where_it_fails({"main": forecast(there(1, PROBABLE, 0.9), p_finish=share)}, TWO)
    assert ("in time" in found) == said


SESSION = plan("squat", "horizontal_row")


def two_blocks() -> SessionPlan:
    """Squats and rows, and in a second block the same as work of its own."""
    block = SESSION.block
    other = replace(block, key="finish", work=tuple(replace(one, key=f"{one.key}2") for one in block.work))
    return replace(SESSION, doc=replace(SESSION.doc, blocks=(block, other)))


def wished(work: str, amount: float = 3.0, rest_s: float = 10.0) -> WishedSet:
    return WishedSet(work, amount, "repetitions", rest_s)


def named(which: SessionPlan) -> list[Named]:
    return [Named(one.key, one.as_written.variation) for block in which.doc.blocks for one in block.work]


def test_sets_go_to_the_block_of_their_work() -> None:
    """Of two blocks only the one with sets has a list, and each has its own."""
    two = two_blocks()
    keys = [one.key for one in two.doc.blocks[1].work]
    found = lists_of(two, named(two), [wished(keys[0])])
    assert list(found) == ["finish"] and found["finish"].written == 1
    both = lists_of(
        two, named(two), [wished(two.doc.blocks[0].work[0].key), wished(keys[0]), wished(keys[1])]
    )
    assert {key: one.written for key, one in both.items()} == {two.doc.blocks[0].key: 1, "finish": 2}


def test_a_fault_points_at_its_place_in_the_whole_list() -> None:
    """The second set of the second block is the third that was sent."""
    two = two_blocks()
    first, second = (block.work[0].key for block in two.doc.blocks)
    with pytest.raises(Invalid) as raised:
        lists_of(two, named(two), [wished(second), wished(first), wished(second, 5000.0)])
    (fault,) = raised.value.errors
    assert (fault.pointer, fault.code) == ("#/plan/2", "more_than_left")


def test_an_interval_is_told_from_one() -> None:
    """The second set of squats is of the third interval, whose squats and rows are done; none is of a fourth."""
    rules = replace(SESSION.block.rules, order="intervals", intervals=Intervals(60.0, 3), rounds=1)
    rules = replace(rules, break_rule=replace(rules.break_rule, counts="none", penalty_s=0.0))
    block = replace(SESSION.block, rules=rules)
    timed = replace(SESSION, doc=replace(SESSION.doc, blocks=(block,)))
    first = block.work[0].key
    sets = [replace(wished(first, 2.0), interval=1), replace(wished(first, 2.0), interval=3)]
    (found,) = lists_of(timed, named(timed), sets).values()
    assert found.rows[: found.written, ROUND].tolist() == [0.0, 2.0]
    with pytest.raises(Invalid) as raised:
        lists_of(timed, named(timed), [*sets, replace(wished(first, 1.0), interval=2)])
    assert [(one.pointer, one.code) for one in raised.value.errors] == [("#/plan/2", "not_its_turn")]
