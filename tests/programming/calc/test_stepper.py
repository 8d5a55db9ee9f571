"""The transition of the block rules: every rule by hand, every order against another way of writing it."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programming.calc.revision import Intervals, Ladder
from programming.calc.rule_codes import NO_ITEM, RuleCodes, rule_codes, work_of
from programming.calc.stepper import (
    BY_ATHLETE,
    BY_CLOCK,
    BY_JUDGE,
    deadline,
    earliest_start,
    expire,
    official_amount,
    official_seconds,
    start,
    step,
)
from tests.oracles.naive_player import play_sequence, play_swap, tasks_of
from tests.programming.calc.rule_documents import block_of, item, rules
from tests.support.examples import examples

ENDED_EARLY = {"counts": "set_ended_early", "penalty_s": 20}
TWO = [item("a", repetitions=10), item("b", repetitions=6)]


class Player:
    """Plays sets on a block as the rules ask, and says what happened."""

    def __init__(self, work, written):
        block = block_of(work, written)
        self.codes, self.work = rule_codes(block), work_of(block)
        self.remaining = np.zeros(len(block.items))
        self.place = start(self.codes, self.work, self.remaining)
        self.keys = [one.key for one in block.items]

    def set(self, amount, rest_s=0.0, ended=BY_ATHLETE):
        """(key, counted, broke) of the next set."""
        key, before = self.keys[self.place.item], self.place
        taken = step(self.codes, self.work, self.remaining, before, float(amount), rest_s, ended)
        self.place = taken.place
        return key, taken.counted, taken.broke

    def expire(self):
        """(broke, missed) of the interval that is over."""
        taken = expire(self.codes, self.work, self.remaining, self.place)
        self.place = taken.place
        return taken.broke, taken.missed

    @property
    def is_over(self):
        """Whether the rules ask for nothing more."""
        return self.place.item == NO_ITEM


def played(player, sizes):
    """(round, item, counted, left something) of each set until the work is done."""
    found = []
    for size in sizes:
        if player.is_over:
            break
        place = player.place
        before = player.remaining[place.item]
        _, counted, _ = player.set(size)
        found.append((place.round, place.item, counted, before - counted > 0))
    return found


def test_in_sequence():
    """10 of a, then 6 of b; a set that ends early stays on its item, and what is too much does not count."""
    player = Player(TWO, rules("in_sequence", break_=ENDED_EARLY))

    assert player.set(7) == ("a", 7, True)
    assert player.set(5) == ("a", 3, False)
    assert player.set(6) == ("b", 6, False)
    assert player.is_over


def test_rounds_with_rest_between_them():
    """Two rounds of 10 and 6; the second begins 60 s after the first at the earliest."""
    player = Player(TWO, rules("rounds", rounds=2, rest_between_s=60))
    player.set(10)
    player.set(6)

    assert (player.place.round, player.place.item) == (1, 0)
    assert earliest_start(player.codes, 100.0, 0, player.place, False) == 160.0
    assert player.set(10) == ("a", 10, False)
    assert earliest_start(player.codes, 200.0, 1, player.place, False) == 200.0
    player.set(6)
    assert player.is_over


def test_rounds_without_a_number_go_on():
    """As many rounds as possible: no number of sets ends it."""
    written = rules("rounds", end={"kind": "fixed_time", "time_s": 600}, scored="rounds")
    player = Player(TWO, written)
    for _ in range(100):
        player.set(10)

    assert not player.is_over
    assert player.place.round == 50


def test_a_ladder_multiplies_and_may_go_on():
    """Rungs 2, 4 and then 3 more each: a of 1 repetition is done 2, 4, 7, 10 times."""
    work = [item("a", repetitions=1), item("b", repetitions=2)]
    ladder = {"amounts": [2, 4], "then_step": 3}
    written = rules("ladder", ladder=ladder, end={"kind": "fixed_time", "time_s": 600}, scored="rounds")
    player = Player(work, written)

    assert [player.set(99)[:2] for _ in range(8)] == [
        ("a", 2), ("b", 4), ("a", 4), ("b", 8), ("a", 7), ("b", 14), ("a", 10), ("b", 20)
    ]  # fmt: skip
    assert not player.is_over


def test_a_ladder_ends_with_its_last_rung():
    """5, 3, 1 repetitions: three sets, then it is over."""
    player = Player([item("a", repetitions=1)], rules("ladder", ladder={"amounts": [5, 3, 1]}))

    assert [player.set(9)[1] for _ in range(3)] == [5, 3, 1]
    assert player.is_over


def test_swap_on_break():
    """A break leads to the other item; completing is no break; alone there is no swap (as the rules say it)."""
    player = Player(TWO, rules("swap_on_break", break_=ENDED_EARLY))

    assert player.set(4) == ("a", 4, True)
    assert player.set(6) == ("b", 6, False)
    assert player.set(4) == ("a", 4, True)
    assert player.set(2) == ("a", 2, False)
    assert player.is_over


def test_swapping_among_three_goes_in_written_order():
    """a, b, c, a: the next one with work, wherever the athlete stands."""
    work = [*TWO, item("c", repetitions=4)]
    player = Player(work, rules("swap_on_break", break_=ENDED_EARLY))

    assert [player.set(n)[0] for n in (2, 6, 1, 8, 3)] == ["a", "b", "c", "a", "c"]


def test_intervals_begin_by_the_clock_and_can_be_missed():
    """Each minute 10 of a: done early, the athlete waits; not done, the minute is missed and counts."""
    work = [item("a", repetitions=10)]
    intervals = {"every_s": 60, "count": 3}
    written = rules(
        "intervals", intervals=intervals, break_={"counts": "missed_interval"}, scored="intervals"
    )
    player = Player(work, written)

    assert deadline(player.codes, 0) == 60.0
    player.set(10)
    assert earliest_start(player.codes, 25.0, 0, player.place, False) == 60.0
    player.set(6)
    assert player.expire() == (True, True)
    assert player.place.round == 2
    player.set(10)
    assert player.is_over


def test_the_first_miss_ends_it():
    """One repetition more each minute until a minute is not enough."""
    intervals = {"every_s": 60}
    ladder = {"amounts": [1], "then_step": 1}
    written = rules(
        "intervals", intervals=intervals, ladder=ladder, end={"kind": "first_miss"}, scored="intervals"
    )
    player = Player([item("a", repetitions=1)], written)
    for number in range(1, 6):
        assert player.set(99) == ("a", number, False)
    player.set(5)

    assert player.expire() == (False, True)
    assert player.is_over


def test_open_work_left_is_no_miss():
    """10 of a and then as much of b as the minute allows: who has done the 10 goes on to the next minute."""
    work = [item("a", repetitions=10), item("b", repetitions=None)]
    written = rules(
        "intervals", intervals={"every_s": 60, "count": 5}, end={"kind": "first_miss"}, scored="none"
    )
    player = Player(work, written)
    player.set(10)
    player.set(7)

    assert player.expire() == (False, False)
    assert (player.place.round, player.place.item) == (1, 0)
    player.set(9)
    assert player.expire() == (False, True)
    assert player.is_over


def test_intervals_in_turn_with_open_work():
    """As much as possible of a and b by turns, 20 s of every 30: the end of the time is no miss."""
    work = [item("a", repetitions=None), item("b", repetitions=None)]
    intervals = {"every_s": 30, "work_s": 20, "count": 4, "in_turn": True}
    player = Player(work, rules("intervals", intervals=intervals, scored="smallest_interval"))

    assert [deadline(player.codes, number) for number in range(4)] == [20.0, 50.0, 80.0, 110.0]
    for key in ("a", "b", "a", "b"):
        assert player.set(12, ended=BY_CLOCK) == (key, 12, False)
        assert player.expire() == (False, False)
    assert player.is_over


def test_attempts_succeed_or_not():
    """Each attempt is a set; one that fails is not tried again by itself."""
    written = rules("attempts", attempts=3, scored="load", tie_break="fewest_misses")
    player = Player([item("a", repetitions=1)], written)

    assert [player.set(n)[1] for n in (1, 0, 1)] == [1, 0, 1]
    assert player.is_over


@pytest.mark.parametrize(
    ("counts", "set_", "expected"),
    [
        ({"counts": "none"}, (4, 90.0, BY_ATHLETE), False),
        ({"counts": "set_ended_early"}, (4, 0.0, BY_ATHLETE), True),
        ({"counts": "set_ended_early"}, (4, 0.0, BY_CLOCK), False),  # the clock is nobody's break
        ({"counts": "set_ended_early"}, (7, 0.0, BY_ATHLETE), False),  # done
        ({"counts": "rest_longer_than", "rest_over_s": 10}, (4, 10.0, BY_ATHLETE), False),
        ({"counts": "rest_longer_than", "rest_over_s": 10}, (4, 10.5, BY_ATHLETE), True),
        ({"counts": "rest_longer_than", "rest_over_s": 10}, (4, math.nan, BY_ATHLETE), False),  # unknown
        ({"counts": "no_rep"}, (4, 0.0, BY_JUDGE), True),
        ({"counts": "no_rep"}, (4, 0.0, BY_ATHLETE), False),
    ],
)
def test_what_counts_as_a_break(counts, set_, expected):
    """A second set on ten repetitions of which three are done, by each break rule and at its edge."""
    player = Player(TWO, rules("in_sequence", break_=counts))
    player.set(3)

    assert player.set(*set_)[2] is expected


def test_a_rest_before_an_item_is_begun_is_no_break():
    """Only a pause within the same item counts: going to the next one takes the time it takes."""
    player = Player(TWO, rules("in_sequence", break_={"counts": "rest_longer_than", "rest_over_s": 10}))

    assert player.set(10, 60.0)[2] is False
    assert player.set(3, 60.0)[2] is False
    assert player.set(3, 60.0)[2] is True


def test_served_rest_delays_the_next_set():
    """A break costs 30 s of rest: nobody starts sooner, and nothing is added to the clock."""
    broken = {"counts": "set_ended_early", "penalty": "served_rest", "penalty_s": 30}
    player = Player(TWO, rules("in_sequence", break_=broken))
    player.set(4)

    assert earliest_start(player.codes, 50.0, 0, player.place, True) == 80.0
    assert official_seconds(player.codes, 200.0, 3) == 200.0


def test_served_work_comes_before_the_block_goes_on():
    """A break on a costs 3 of p, in as many sets as it takes; then the block goes on where the rules lead."""
    broken = {"counts": "set_ended_early", "penalty": "served_work", "penalty_work": item("p", repetitions=3)}
    player = Player(TWO, rules("swap_on_break", break_=broken))

    assert player.set(4) == ("a", 4, True)
    assert player.set(2) == ("p", 2, False)
    assert player.set(1) == ("p", 1, False)
    assert player.set(6) == ("b", 6, False)
    assert player.set(6) == ("a", 6, False)
    assert player.is_over


def test_penalties_that_are_added():
    """640 s and 7 breaks of 20 s are 780 s; 50 repetitions less 2 for each of 3 breaks are 44, never below 0."""
    codes = rule_codes(block_of(TWO, rules("in_sequence", break_=ENDED_EARLY)))
    off = rule_codes(
        block_of(
            TWO,
            rules("rounds", break_={"counts": "set_ended_early", "penalty_repetitions": 2},
                  end={"kind": "fixed_time", "time_s": 600}, scored="repetitions"),
        )
    )  # fmt: skip

    assert official_seconds(codes, 640.0, 7) == 780.0
    assert official_amount(off, 50.0, 3) == 44.0
    assert official_amount(off, 5.0, 3) == 0.0


def test_numbers_have_the_types_for_which_the_simulation_is_compiled():
    """Whole seconds and rungs, as a test or a caller may write them, are the floats that they stand for."""
    block = block_of(TWO, rules("rounds", break_=ENDED_EARLY, rounds=3))
    whole = replace(
        block,
        rules=replace(
            block.rules,
            rest_between_s=60,
            break_rule=replace(block.rules.break_rule, penalty_s=20, rest_over_s=5, penalty_repetitions=2),
            end=replace(block.rules.end, cap_s=900),
            intervals=Intervals(every_s=120, count=3, work_s=90),
            ladder=Ladder(amounts=(1, 2), then_step=1),
        ),
    )
    codes, work = rule_codes(whole), work_of(whole)

    assert codes.limit_s == 900.0
    assert [type(value) for value in codes] == list(RuleCodes.__annotations__.values())
    assert work.amounts.dtype == work.rungs.dtype == np.float64
    assert type(work.then_step) is float


SIZES = st.lists(st.integers(0, 15), max_size=60)
AMOUNTS = st.lists(st.integers(1, 20), min_size=1, max_size=4)


def work_items(amounts):
    """Work items of these repetitions."""
    return [item(f"w{index}", repetitions=amount) for index, amount in enumerate(amounts)]


@settings(max_examples=examples(24), deadline=None)
@given(AMOUNTS, st.integers(1, 4), SIZES)
def test_rounds_agree_with_a_list_of_tasks(amounts, rounds, sizes):
    """Rounds are the same as the written-out list of what is to do."""
    player = Player(work_items(amounts), rules("rounds", rounds=rounds))

    assert played(player, sizes) == play_sequence(tasks_of(amounts, rounds), sizes)


@settings(max_examples=examples(24), deadline=None)
@given(AMOUNTS, st.lists(st.integers(1, 5), min_size=1, max_size=5), SIZES)
def test_ladders_agree_with_a_list_of_tasks(amounts, rungs, sizes):
    """So are ladders, each task multiplied by its rung."""
    player = Player(work_items(amounts), rules("ladder", ladder={"amounts": rungs}))
    tasks = tasks_of(amounts, len(rungs), lambda number: rungs[number])

    assert played(player, sizes) == play_sequence(tasks, sizes)


@settings(max_examples=examples(40), deadline=None)
@given(st.lists(st.integers(1, 20), min_size=2, max_size=4), SIZES)
def test_swaps_agree_with_a_queue(amounts, sizes):
    """Swapping on a break is a queue in which whoever is not done goes to the end."""
    player = Player(work_items(amounts), rules("swap_on_break", break_=ENDED_EARLY))

    assert played(player, sizes) == play_swap(amounts, sizes)


@settings(max_examples=examples(24), deadline=None)
@given(AMOUNTS, SIZES)
def test_nothing_is_lost_or_made(amounts, sizes):
    """What counted and what is left add up to what was written; a break leaves something, and only it does."""
    player = Player(work_items(amounts), rules("in_sequence", break_=ENDED_EARLY))
    counted, breaks = 0.0, 0
    for size in sizes:
        if player.is_over:
            break
        place = player.place
        _, done, broke = player.set(size)
        assert broke == (player.remaining[place.item] > 0)
        counted, breaks = counted + done, breaks + broke

    assert counted + player.remaining.sum() == sum(amounts)
