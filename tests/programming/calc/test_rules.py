"""The transition function of the block rules, by hand and by properties."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programming.calc.document import parse_revision
from programming.calc.rules import NO_ITEM, Step, first_item, official_seconds, play, rule_codes, step
from tests.programming.calc.documents import row_and_squat

CODES = rule_codes(parse_revision(row_and_squat()).blocks[0].rules)


@pytest.mark.parametrize(
    ("remaining", "item", "repetitions", "expected"),
    [
        ([60, 40], 0, 14, Step(14, 46, True, 1)),  # a break on a: swap
        ([46, 40], 1, 10, Step(10, 30, True, 0)),  # a break on b: swap back
        ([14, 30], 0, 14, Step(14, 0, False, 1)),  # a completed: no break, on to b
        ([0, 30], 1, 10, Step(10, 20, True, 1)),  # one item left: a break, no swap
        ([0, 20], 1, 20, Step(20, 0, False, NO_ITEM)),  # all done
        ([5, 20], 0, 8, Step(5, 0, False, 1)),  # repetitions too many do not count
        ([5, 20], 0, 0, Step(0, 5, True, 1)),  # a set without a repetition is a break
    ],
)
def test_swap_on_break_step_by_step(remaining, item, repetitions, expected):
    """Each branch of the order and of the break rule; the remaining work passed in is not changed."""
    before = list(remaining)

    assert step(CODES, remaining, item, repetitions) == expected
    assert remaining == before


def test_the_codes_carry_the_numbers_of_the_document():
    """Penalty and cap arrive; no cap is infinite; the first item written starts."""
    doc = row_and_squat()
    doc["blocks"][0]["rules"]["end"]["cap_s"] = None
    open_end = rule_codes(parse_revision(doc).blocks[0].rules)

    assert (CODES.penalty_s, CODES.cap_s, open_end.cap_s) == (30.0, 1500.0, float("inf"))
    assert first_item(CODES) == 0


def test_a_rule_without_a_code_is_refused():
    """An order that the transition does not know cannot be played by mistake."""
    with pytest.raises(ValueError, match="does not know"):
        step(CODES._replace(order=7), [5, 5], 0, 3)


def test_the_score_is_the_clock_plus_the_penalties():
    """640 s and 7 breaks at 30 s: 640 + 210 = 850 s."""
    assert official_seconds(CODES, 640.0, 7) == 850.0


@given(
    work=st.tuples(st.integers(1, 60), st.integers(1, 60)),
    sizes=st.lists(st.integers(0, 40), max_size=60),
)
@settings(deadline=None)
def test_following_the_rules_conserves_work_and_swaps(work, sizes):
    """Played as the rules ask: work done plus work left is the work; a break with both items open swaps."""
    remaining, item, breaks, sets = list(work), first_item(CODES), 0, []
    for size in sizes:
        if item == NO_ITEM:
            break
        sets.append((item, size))
        taken = step(CODES, remaining, item, size)
        remaining[item] -= taken.counted
        breaks += taken.broke
        both_open = min(remaining) > 0
        assert not (both_open and taken.next_item == item)
        item = taken.next_item

    played = play(CODES, work, sets)
    assert sum(one.counted for one in played) + sum(remaining) == sum(work)
    assert sum(one.broke for one in played) == breaks
    assert (item == NO_ITEM) == (sum(remaining) == 0)
    # Every set that is no break completed an item, and an item is completed once.
    assert len(sets) - breaks == sum(left == 0 for left in remaining)
