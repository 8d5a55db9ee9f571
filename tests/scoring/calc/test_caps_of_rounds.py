"""Caps of a whole block under every order: rounds, rungs, intervals and attempts end where the amounts cannot."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programming.calc.revision import Aim, Condition, Intervals, Ladder
from scoring.calc.prescribe import prescribe
from scoring.calc.rounds import portions
from scoring.calc.volume import capped, rounds_within, shortened
from tests.scoring.calc.athletes import MULTIPLIER, Athlete
from tests.scoring.calc.rule_blocks import block_of
from tests.support.examples import examples

LADDER_UP = {"amounts": [2], "then_step": 2}
BLOCKS = {
    "rounds without an end": block_of(
        ("a", 10), ("b", 5), scored="rounds", order="rounds", end=("fixed_time", 600)
    ),
    "many rounds of one": block_of(("a", 1), ("b", 5), scored="time", order="rounds", rounds=50),
    "a ladder up": block_of(
        ("a", 1), ("b", 1), scored="repetitions", order="ladder", end=("fixed_time", 900), ladder=LADDER_UP
    ),
    "a written ladder": block_of(
        ("a", 1), ("b", 1), scored="time", order="ladder", ladder={"amounts": list(range(1, 16))}
    ),
    "intervals": block_of(
        ("a", 8), scored="intervals", order="intervals", intervals={"every_s": 60}, end=("fixed_time", 600)
    ),
    "twelve minutes": block_of(
        ("a", 12), scored="intervals", order="intervals", intervals={"every_s": 60, "count": 12}
    ),
    "minutes of two": block_of(
        ("a", 12), ("b", 5), scored="intervals", order="intervals", intervals={"every_s": 60, "count": 10}
    ),
    "straight sets": block_of(("a", 8), scored="time", order="rounds", rounds=4),
    "rounds of two": block_of(("a", 8), ("b", 5), scored="time", order="rounds", rounds=4),
    "by turns": block_of(
        ("b", 6), ("a", 8), scored="intervals", order="intervals", end=("fixed_time", 600),
        intervals={"every_s": 60, "in_turn": True},
    ),
    "until the first miss": block_of(
        ("a", 1), scored="intervals", order="intervals", end=("first_miss", None), intervals={"every_s": 60},
        ladder={"amounts": [1], "then_step": 1},
    ),
    "open work": block_of(("a", None), scored="repetitions", end=("fixed_time", 600)),
    "attempts": block_of(("a", 1), scored="load", order="attempts", attempts=20),
    "swapping": block_of(
        ("a", 20), ("b", 20), scored="time", order="swap_on_break", breaks={"counts": "set_ended_early"}
    ),
}  # fmt: skip


def asked(block, key="a"):
    """All that a block asks of an item, round by round."""
    index, repeats = block.index_of(key), block.rules.repeats
    return sum(portions(block, number)[index] for number in range(repeats))


@pytest.mark.parametrize("name", BLOCKS)
@given(most=st.integers(1, 300))
@settings(deadline=None, max_examples=examples(24))
def test_a_cap_binds_under_every_order(name, most):
    """The block ends, asks for no more than the cap, and for something; what is within it already stays."""
    within, too_much = capped(BLOCKS[name], {"a": float(most)})
    item = within.work[within.index_of("a")]

    assert too_much is None or most < 2
    if too_much is None:
        assert within.rules.repeats is not None
        assert 0 < asked(within) <= most
        assert item.amount == round(item.amount)
    again, _ = capped(within, {"a": float(most)})
    assert again == within


@pytest.mark.parametrize(
    ("name", "most", "repeats", "amount"),
    [
        ("rounds without an end", 34, 3, 10.0),  # 30 of 34
        ("rounds without an end", 7, 1, 7.0),
        ("many rounds of one", 20, 20, 1.0),
        ("a ladder up", 60, 7, 1.0),  # 2 + 4 + ... + 14 = 56, and 72 with 16
        ("a written ladder", 60, 10, 1.0),  # 1 + ... + 10 = 55
        ("a written ladder", 240, 15, 2.0),  # of a rung of 1 two: 2 x 120
        ("intervals", 25, 3, 8.0),
        ("twelve minutes", 143, 11, 12.0),  # never one swing a minute
        ("twelve minutes", 30, 2, 12.0),
        ("twelve minutes", 12, 1, 12.0),
        ("twelve minutes", 7, 1, 7.0),
        ("minutes of two", 100, 10, 10.0),  # nearly as written, and the other work is left alone
        ("minutes of two", 80, 10, 8.0),  # two thirds of a minute's work are still that work
        ("minutes of two", 79, 6, 12.0),
        ("straight sets", 31, 3, 8.0),
        ("straight sets", 9, 1, 8.0),
        ("straight sets", 7, 1, 7.0),
        ("rounds of two", 30, 4, 7.0),  # the other work keeps its rounds
        ("rounds of two", 20, 4, 5.0),  # also below two thirds
        ("by turns", 25, 7, 8.0),  # b a b a b a b: 24 of a, and the next of a would be 32
        ("until the first miss", 10, 4, 1.0),  # 1 + 2 + 3 + 4
        ("open work", 45, 1, 45.0),
        ("attempts", 5, 5, 1.0),
        ("swapping", 12, 1, 12.0),
    ],
)
def test_caps_by_hand(name, most, repeats, amount):
    """As many rounds as fit, each as written; amounts are lowered where the number of rounds is written, unless all
    of the round is cut, or what is left of it would hardly be the work that was written.
    """
    block = BLOCKS[name]
    if amount == 2.0:
        block = replace(block, work=tuple(replace(one, amount=3.0) for one in block.work))
    within, too_much = capped(block, {"a": float(most)})

    assert too_much is None
    assert (within.rules.repeats, within.work[within.index_of("a")].amount) == (repeats, amount)


def test_shortened_blocks_keep_their_rungs_and_turns():
    """Three rungs of 2, 4, 6; intervals by their count; what is shorter already stays."""
    ladder = shortened(BLOCKS["a ladder up"], 3)
    intervals = shortened(BLOCKS["intervals"], 4)

    assert ladder.rules.ladder == Ladder((2.0, 4.0, 6.0))
    assert intervals.rules.intervals == Intervals(60.0, 4)
    assert shortened(ladder, 5) is ladder
    assert rounds_within(BLOCKS["by turns"], 1, 7.0) == 0


UNSURE = Athlete(60.0, 0.45)


def given_to(block, *, caps=None, unseen=False, aim=()):
    """The prescription of a block, its items at one load, for somebody who does about 13 at 40 kg."""
    found = {
        item.key: [
            replace(one, is_unseen=unseen) for one in UNSURE.candidates(item=number, loads=(40.0,), written=0)
        ]
        for number, item in enumerate(block.items)
    }
    asked_for = replace(block, aim=Aim(tuple(aim)))
    return prescribe(asked_for, found, multiplier=MULTIPLIER, volume_caps=caps)


@pytest.mark.parametrize("name", ["rounds without an end", "a ladder up", "a written ladder", "intervals"])
def test_unseen_and_unsure_work_ends_at_three_times_what_is_thought_available(name):
    """However the block is written; the plan too, and the reason says so. Who has been seen does all of it."""
    block = BLOCKS[name]
    seen, unseen = given_to(block), given_to(block, unseen=True)
    fresh = {one.work: one.fresh.p50 for one in unseen.candidates}
    done = {item.key: 0.0 for item in block.work}
    for one in unseen.forecast.plan:
        done[one.work] += one.amount

    assert (seen.rounds, seen.reasons) == (None, ())
    assert unseen.feasible and unseen.rounds is not None
    assert all(done[key] <= 3.0 * fresh[key] for key in done)
    # Of a rung of twelve and more a single repetition, which is what nine in ten can, tells nothing: no check set.
    told = {"capped_volume"} if name == "a written ladder" else {"capped_volume", "uncertain_capacity"}
    assert {one.code for one in unseen.reasons} == told


def test_what_is_given_up_for_safety_is_said():
    """20 repetitions are no score of 100 or more: the floor does not stand, and that it is missed is told."""
    floor = [Condition("score", None, 100.0, None)]
    result = given_to(BLOCKS["rounds without an end"], caps={"a": 20.0}, aim=floor)

    assert (result.feasible, result.rounds) == (True, 2)
    assert [(one.code, one.work) for one in result.reasons] == [
        ("capped_volume", "a"),
        ("aim_given_up_for_safety", None),
    ]
    assert result.conditions[0].probability == 0.0
