"""Totals that cannot have been: every number is possible alone, and together they are not."""

import pytest

from scoring.calc.attempt import Totals
from scoring.calc.score import official_score
from tests.scoring.calc.rule_blocks import block_of, item
from tests.scoring.calc.test_hand_scored import EARLY, HEAVY, codes
from tests.scoring.calc.test_hand_scored_findings import EVERY, ROUNDS

OPEN = block_of(
    ("a", None), scored="smallest_interval", order="intervals", intervals={"every_s": 30, "count": 4}
)
UNTIL_MISS = block_of(("a", 1), scored="intervals", order="intervals", end=("first_miss", None),
                      intervals={"every_s": 60}, ladder={"amounts": [1], "then_step": 1})  # fmt: skip
COSTLY = block_of(("a", 10), scored="repetitions", order="intervals", end=("fixed_time", 180),
                  intervals={"every_s": 60, "count": 3},
                  breaks={"counts": "missed_interval", "penalty_repetitions": 3})  # fmt: skip
SPLIT = block_of(("a", 30), ("b", 20), scored="time", tie_break="split_time", split="a")
RESTED = block_of(("a", 20), scored="time", breaks={**EARLY, "penalty": "served_rest", "penalty_s": 30})
LONG_RESTS = block_of(
    ("a", 10), ("b", 5), scored="time", order="rounds", rounds=3,
    breaks={"counts": "rest_longer_than", "rest_over_s": 10, "penalty_s": 5},
)  # fmt: skip
ROWED = block_of(
    item("a", 250, "distance_m"), ("b", 10), scored="rounds", order="rounds", end=("fixed_time", 600)
)


def of(elapsed_s=None, breaks=None, misses=None, *, a=None, b=None, **more):
    """Totals of the items a and b."""
    amounts = tuple((key, float(value)) for key, value in (("a", a), ("b", b)) if value is not None)
    return Totals(elapsed_s, breaks, amounts, misses=misses, **more)


@pytest.mark.parametrize(
    ("block", "totals", "found"),
    [
        # Four intervals of 10.
        (EVERY, of(misses=4, a=0), []),
        (EVERY, of(misses=5, a=0), ["misses_inconsistent"]),
        (EVERY, of(misses=1, a=39), []),
        (EVERY, of(misses=1, a=30), []),
        (EVERY, of(misses=1, a=29), ["misses_inconsistent"]),  # three whole ones are 30
        (EVERY, of(misses=2, a=39), ["misses_inconsistent"]),  # two that lack one each leave 38
        (EVERY, of(misses=0, a=39), ["misses_inconsistent"]),
        (EVERY, of(misses=1, a=40), ["misses_inconsistent"]),
        (EVERY, of(misses=1), []),  # no amounts told
        (EVERY, of(misses=5), ["misses_inconsistent"]),
        (UNTIL_MISS, of(misses=1, a=10), []),
        (UNTIL_MISS, of(misses=2, a=10), ["misses_inconsistent"]),
        (COSTLY, of(misses=1, breaks=1, a=25), []),
        (COSTLY, of(misses=1, breaks=2, a=25), ["breaks_inconsistent"]),
        (ROUNDS, of(600, 0, 2, a=30, b=15), ["misses_inconsistent"]),
        (ROUNDS, of(600, 0, 0, a=30, b=15), []),
        # Four attempts at one.
        (HEAVY, of(misses=2, a=2, heaviest_kg=105.0), []),
        (HEAVY, of(misses=5, a=0, heaviest_kg=105.0), ["misses_inconsistent"]),
        (HEAVY, of(misses=2, a=3, heaviest_kg=105.0), ["misses_inconsistent"]),
        (HEAVY, of(misses=4, a=0, heaviest_kg=105.0), ["load_inconsistent"]),
        # Four intervals of as much as possible.
        (OPEN, of(misses=0, a=42, smallest_interval=10), []),
        (OPEN, of(misses=0, a=42, smallest_interval=11), ["smallest_interval_inconsistent"]),
        # Four intervals begin at 0, 60, 120 and 180 s.
        (EVERY, of(180, misses=0, a=40), []),
        (EVERY, of(150, misses=0, a=40), ["impossible_speed"]),
        (SPLIT, of(200, a=30, b=20, split_s=200.0), []),
        (SPLIT, of(200, a=30, b=20, split_s=201.0), ["split_after_end"]),
        # Two breaks at 30 s leave 10 s for 20 repetitions, three leave none.
        (RESTED, of(70, 2, a=20), []),
        (RESTED, of(70, 3, a=20), ["impossible_speed"]),
        (LONG_RESTS, of(300, 45, a=30, b=15), []),
        (LONG_RESTS, of(300, 46, a=30, b=15), ["breaks_inconsistent"]),
        # 250 m before 10 repetitions, round by round.
        (ROWED, of(600, a=1000, b=40), []),
        (ROWED, of(600, a=1100, b=40), []),
        (ROWED, of(600, a=1250, b=45), []),
        (ROWED, of(600, a=1100, b=41), ["wrong_order"]),
        (ROWED, of(600, a=1300, b=40), ["wrong_order"]),
    ],
)
def test_each_contradiction_opens_a_review(block, totals, found):
    """A finding where no order of events explains the numbers, and none where one does."""
    assert codes(official_score(block, totals)) == found


def test_impossible_misses_give_no_score():
    """Nine of four intervals missed is not a score of none."""
    score = official_score(EVERY, of(misses=9, a=20))

    assert (score.state, score.value, score.misses) == ("unscored", None, None)
