"""Hand-scored logs of work by turns, of intervals worked in part of their time, of misses and of served rest."""

import pytest

from scoring.calc.attempt import SetEntry, SetLog, Totals
from scoring.calc.score import official_score
from tests.scoring.calc.rule_blocks import block_of
from tests.scoring.calc.test_hand_scored import EARLY, codes, log_of, shown

TURNS = block_of(("a", 10), ("b", 5), scored="intervals", order="intervals", tie_break="fewest_misses",
                 intervals={"every_s": 60, "count": 6, "in_turn": True})  # fmt: skip
TURNS_OF_ALL = block_of(("a", 10), ("b", 5), scored="repetitions", order="intervals", end=("fixed_time", 300),
                        intervals={"every_s": 60, "count": 5, "in_turn": True})  # fmt: skip
SHORT = block_of(("a", None), scored="smallest_interval", order="intervals",
                 intervals={"every_s": 60, "count": 3, "work_s": 20})  # fmt: skip


@pytest.mark.parametrize("log", ["a10@1 b5@2 a10@3 b3~@4 a10@5 b5@6", "a10 b5 a10 b3~ a10 b5"])
def test_by_turns(log):
    """a in intervals 1, 3, 5 and b in 2, 4, 6; of the fourth 3 of 5: five done, one missed.

    The order tells the interval where there is one set in each.
    """
    score = official_score(TURNS, log_of(log))

    assert (shown(score), score.misses, codes(score)) == (("finished", 5.0, "intervals"), 1, [])
    assert score.amounts == (("a", 30.0, "repetitions"), ("b", 13.0, "repetitions"))


def test_a_turn_that_is_left_out():
    """Nothing in interval 3, where it was a's turn: five done; the sixth is b's all the same."""
    score = official_score(TURNS, log_of("a10@1 b5@2 b5@4 a10@5 b5@6"))

    assert (score.value, score.misses, codes(score)) == (5.0, 1, [])


def test_the_item_of_another_turn():
    """b in the third interval, which is a's: it counts nothing, and somebody asks; a's interval is missed."""
    score = official_score(TURNS, log_of("a10@1 b5@2 b5@3 b5@4 a10@5 b5@6"))

    assert (score.value, score.misses, codes(score)) == (5.0, 1, ["wrong_interval"])


def test_repetitions_by_turns():
    """a three times and b twice: 10 + 5 + 8 + 5 + 10 = 38."""
    score = official_score(TURNS_OF_ALL, log_of("a10@1 b5@2 a8~@3 b5@4 a10@5", 300))

    assert (shown(score), score.misses, codes(score)) == (("finished", 38.0, "repetitions"), 1, [])
    told = official_score(TURNS_OF_ALL, Totals(300, None, (("a", 28), ("b", 10)), misses=1))
    assert (told.value, codes(told)) == (38.0, [])


def timed(*sets):
    """A log of (repetitions, rest before, working time)."""
    return SetLog(tuple(SetEntry("a", n, "clock", rest, duration_s=took) for n, rest, took in sets))


@pytest.mark.parametrize(
    ("sets", "smallest", "found"),
    [
        # 20 s of work, 40 s of rest: begun at 0, 60 and 120 s.
        ([(12, 0, 20), (11, 40, 20), (9, 40, 20)], 9.0, []),
        # The second ends at 83 s, three after the work of its interval: three times were noted to a second.
        ([(12, 0, 20), (11, 40, 23), (9, 37, 20)], 9.0, []),
        # It ends at 84 s: some of it was not in time.
        ([(12, 0, 20), (11, 40, 24), (9, 36, 20)], 9.0, ["past_interval_end"]),
        # Begun at 0 and 120 s: nothing in the second interval, which is the smallest then.
        ([(12, 0, 20), (9, 100, 20)], 0.0, []),
    ],
)
def test_work_in_the_first_part_of_an_interval(sets, smallest, found):
    """Work ends 20 s after each interval begins; the rest of it is rest."""
    score = official_score(SHORT, timed(*sets))

    assert (score.value, [code for code in codes(score) if code != "missing_intervals"]) == (smallest, found)


def test_a_missed_interval_costs_repetitions():
    """10 + 10 + 7 + 10 = 37 of four intervals, one missed at 4 repetitions: 33."""
    block = block_of(("a", 10), scored="repetitions", order="intervals", end=("fixed_time", 240),
                     intervals={"every_s": 60, "count": 4},
                     breaks={"counts": "missed_interval", "penalty_repetitions": 4})  # fmt: skip
    score = official_score(block, log_of("a10@1 a10@2 a7~@3 a10@4", 240))

    assert (score.value, score.breaks, score.misses, codes(score)) == (33.0, 1, 1, [])


@pytest.mark.parametrize(
    ("log", "breaks", "found"),
    [
        ("a12 a8/30 b6/5 b4/31", 2, []),  # after b's 6, which left 4, half a minute again
        ("a12 a8/30 b6/5 b4/20", 2, ["penalty_not_served"]),
        ("a20 b10/5", 0, []),  # the rest between two items is free
    ],
)
def test_rest_is_served_after_each_break(log, breaks, found):
    """20 and 10, 30 s of rest for each set that ended early; the clock alone is the score."""
    block = block_of(
        ("a", 20), ("b", 10), scored="time", breaks={**EARLY, "penalty": "served_rest", "penalty_s": 30}
    )
    score = official_score(block, log_of(log, 240))

    assert (score.score_s, score.penalty_s, score.breaks, codes(score)) == (240.0, 0.0, breaks, found)


RESTED = block_of(("a", 10), scored="intervals", order="intervals",
                  intervals={"every_s": 60, "count": 4},
                  breaks={"counts": "missed_interval", "penalty": "served_rest", "penalty_s": 20})  # fmt: skip


@pytest.mark.parametrize(
    ("sets", "found"),
    [
        # The second interval is missed, its work ends at 120 s: 20 s of rest end at 140 s, where the third begins.
        ([(10, 0, 30), (7, 30, 40), (10, 40, 30), (10, 10, 30)], []),
        # It begins at 120 s, with no rest served though 20 s have passed since the last set.
        ([(10, 0, 30), (7, 30, 40), (10, 20, 30), (10, 30, 30)], ["penalty_not_served"]),
        # Begun at 137 s: three seconds short, and four times were noted to a second each.
        ([(10, 0, 30), (7, 30, 40), (10, 37, 30), (10, 13, 30)], []),
        # All done: no rest is owed.
        ([(10, 0, 30), (10, 30, 40), (10, 20, 30), (10, 30, 30)], []),
    ],
)
def test_rest_is_served_after_a_missed_interval(sets, found):
    """Four intervals of a minute, 20 s of rest after a miss, from the end of the missed interval on."""
    score = official_score(RESTED, timed(*sets))

    assert (codes(score), score.state) == (found, "finished")
    assert score.misses == sum(done < 10 for done, _, _ in sets)


@pytest.mark.parametrize(
    ("log", "found"),
    [
        ("a10@1 a7~@2 a10/19@3 a10@4", []),
        ("a10@1 a7~@2 a10/15@3 a10@4", ["penalty_not_served"]),
        ("a10/70@2 a10@3 a10@4", ["penalty_not_served"]),  # at 70 s, the first interval over at 60
        ("a10/80@2 a10@3 a10@4", []),
        ("a10@1 a7~@2 a10@3 a10@4", []),  # nobody noted a rest
    ],
)
def test_rest_after_a_missed_interval_without_a_clock(log, found):
    """What was rested since the last set is the most that was rested since the missed interval."""
    assert codes(official_score(RESTED, log_of(log))) == found
