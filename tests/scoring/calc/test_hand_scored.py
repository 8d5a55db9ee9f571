"""Hand-scored logs of every order, penalty, end, score and tie-break; the sums stand in the comments.

What each rule counts is common practice of the trade, no source.
"""

import pytest

from scoring.calc.attempt import SetEntry, SetLog, Totals
from scoring.calc.ranking import OfficialRow, rank_official
from scoring.calc.score import official_score
from tests.scoring.calc.rule_blocks import block_of, item

EARLY = {"counts": "set_ended_early"}


def log_of(text, elapsed_s=None, unit="repetitions", split_s=None, **every):
    """'a10 b5! a3/20' as a set log: ! the judge refused, ~ failure, > the clock, /20 after 20 s, @3 interval 3."""
    sets = []
    for word in text.split():
        word, _, interval = word.partition("@")
        word, _, rest = word.partition("/")
        ended = {"!": "no_rep", "~": "failure", ">": "clock"}.get(word[-1], "planned")
        amount = float(word[1:].rstrip("!~>"))
        sets.append(
            SetEntry(word[0], amount, ended, float(rest) if rest else None, unit=unit,
                     interval=int(interval) if interval else None, **every)
        )  # fmt: skip
    return SetLog(tuple(sets), elapsed_s, split_s)


def codes(score):
    """The codes of the findings."""
    return [found.code for found in score.findings]


def shown(score):
    """State, value and unit."""
    return score.state, score.value, score.unit


def test_in_sequence_without_penalties():
    """21 then 15, each in two sets: breaks are counted and cost nothing."""
    block = block_of(("a", 21), ("b", 15), scored="time", breaks=EARLY)
    score = official_score(block, log_of("a12 a9 b10 b5", 300))

    assert (shown(score), score.breaks, score.penalty_s) == (("finished", 300.0, "s"), 2, 0.0)
    assert (score.score_s, score.better, codes(score)) == (300.0, "lower", [])


def test_rounds_for_time():
    """Three rounds of 10 and 5; one set of 6 + 4 in round 2: one break, 400 + 15."""
    block = block_of(("a", 10), ("b", 5), scored="time", order="rounds", rounds=3,
                     breaks={**EARLY, "penalty_s": 15})  # fmt: skip
    score = official_score(block, log_of("a10 b5 a6 a4 b5 a10 b5", 400))

    assert (score.score_s, score.breaks, score.rounds_completed, codes(score)) == (415.0, 1, 3, [])


def test_as_many_rounds_as_possible():
    """Rounds of 10 + 5: five rounds and 7 of the sixth are 82 repetitions, told as 5 + 7."""
    block = block_of(("a", 10), ("b", 5), scored="rounds", order="rounds", end=("fixed_time", 600))
    score = official_score(block, log_of("a10 b5 " * 5 + "a7>", 600))

    assert (shown(score), score.better) == (("finished", 82.0, "repetitions"), "higher")
    assert (score.rounds_completed, score.last_round_amount, codes(score)) == (5, 7.0, [])


def test_repetitions_off_for_breaks():
    """82 repetitions, three breaks at 5 repetitions: 67, which are 4 rounds and 7."""
    rule = {**EARLY, "penalty_repetitions": 5}
    block = block_of(
        ("a", 10), ("b", 5), scored="rounds", order="rounds", end=("fixed_time", 600), breaks=rule
    )
    score = official_score(block, log_of("a8 a2 b5 a8 a2 b5 a8 a2 b5 a10 b5 a10 b5 a7>", 600))

    assert (score.value, score.breaks) == (67.0, 3)
    assert (score.rounds_completed, score.last_round_amount) == (4, 7.0)


def test_a_long_set_may_run_on_into_the_next_round():
    """One item, rounds of 10: 25 in one go are two rounds and 5 of the third."""
    block = block_of(("a", 10), scored="rounds", order="rounds", end=("fixed_time", 300))
    score = official_score(block, log_of("a25 a8", 300))

    assert (score.value, score.rounds_completed, score.last_round_amount, codes(score)) == (33.0, 3, 3.0, [])


def test_a_ladder_down():
    """21-15-9 of both: 90 repetitions; the clock is the score."""
    block = block_of(("a", 1), ("b", 1), scored="time", order="ladder", ladder={"amounts": [21, 15, 9]})
    score = official_score(block, log_of("a21 b21 a15 b15 a9 b5 b4", 512))

    assert (score.score_s, score.repetitions, score.rounds_completed, codes(score)) == (512.0, 90, 3, [])


def test_a_ladder_up_until_the_end():
    """2 + 2, 4 + 4, 6 + 6, then 3 of the rung of 8: 24 + 3 = 27."""
    block = block_of(("a", 1), ("b", 1), scored="repetitions", order="ladder", end=("fixed_time", 300),
                     ladder={"amounts": [2], "then_step": 2})  # fmt: skip
    score = official_score(block, log_of("a2 b2 a4 b4 a6 b6 a3>", 300))

    assert (score.value, score.rounds_completed, codes(score)) == (27.0, 3, [])


def test_penalty_work_is_served_and_not_scored():
    """a 8 + 12 with one break and its 6 swings: the clock alone is the score."""
    rule = {**EARLY, "penalty": "served_work", "penalty_work": item("p", 6)}
    block = block_of(("a", 20), scored="time", breaks=rule)
    score = official_score(block, log_of("a8 p4 p2 a12", 200))

    assert (score.score_s, score.breaks, score.penalty_s, codes(score)) == (200.0, 1, 0.0, [])
    assert (score.repetitions, score.amounts[1]) == (20, ("p", 6.0, "repetitions"))


def test_rest_is_served():
    """After a break 30 s; 30 were rested; nothing is added to the 180 s."""
    block = block_of(("a", 20), scored="time", breaks={**EARLY, "penalty": "served_rest", "penalty_s": 30})

    assert official_score(block, log_of("a8 a12/30", 180)).score_s == 180.0
    assert codes(official_score(block, log_of("a8 a12/29", 180))) == []  # noted to whole seconds
    short = official_score(block, log_of("a8 a12/28", 180))
    assert (short.score_s, codes(short)) == (180.0, ["penalty_not_served"])


def test_long_rests_are_breaks():
    """Rests of 9, 10 and 11 s inside an item where 10 s are allowed: one break, 240 + 20."""
    rule = {"counts": "rest_longer_than", "rest_over_s": 10, "penalty_s": 20}
    block = block_of(("a", 40), ("b", 10), scored="time", breaks=rule)
    score = official_score(block, log_of("a10 a10/9 a10/10 a10/11 b10/60", 240))

    assert (score.score_s, score.breaks) == (260.0, 1)  # the 60 s lie between two items


def test_what_the_judge_refused_is_a_break():
    """Two sets ended by the judge at 5 s: 100 + 10."""
    block = block_of(("a", 20), scored="time", breaks={"counts": "no_rep", "penalty_s": 5})
    score = official_score(block, log_of("a8! a6! a6", 100))

    assert (score.score_s, score.breaks, codes(score)) == (110.0, 2, [])


def test_intervals_done_and_missed():
    """Six intervals of 10: 8 in the third, none in the fifth: four are done, two missed."""
    block = block_of(("a", 10), scored="intervals", order="intervals", intervals={"every_s": 60, "count": 6},
                     tie_break="fewest_misses")  # fmt: skip
    score = official_score(block, log_of("a10@1 a10@2 a8~@3 a10@4 a10@6"))

    assert (shown(score), score.misses, codes(score)) == (("finished", 4.0, "intervals"), 2, [])


def test_the_smallest_interval():
    """12, 11, 9, 10: the smallest is 9."""
    block = block_of(("a", None), scored="smallest_interval", order="intervals",
                     intervals={"every_s": 30, "count": 4})  # fmt: skip
    score = official_score(block, log_of("a12 a11 a9 a10"))

    assert (shown(score), codes(score)) == (("finished", 9.0, "repetitions"), [])


def test_until_the_first_miss():
    """1, 2, 3, 4, then 3 of 5: four intervals."""
    block = block_of(("a", 1), scored="intervals", order="intervals", end=("first_miss", None),
                     intervals={"every_s": 60}, ladder={"amounts": [1], "then_step": 1})  # fmt: skip
    score = official_score(block, log_of("a1 a2 a3 a4 a3~"))

    assert (score.value, score.misses, codes(score)) == (4.0, 1, [])


def test_repetitions_of_all_intervals():
    """10 + 8 + 10: 28 repetitions, one interval missed: 28 - 3 = 25."""
    block = block_of(("a", 10), scored="repetitions", order="intervals", end=("fixed_time", 180),
                     intervals={"every_s": 60, "count": 3},
                     breaks={"counts": "missed_interval", "penalty_repetitions": 3})  # fmt: skip
    score = official_score(block, log_of("a10@1 a8~@2 a10@3"))

    assert (score.value, score.breaks, score.misses) == (25.0, 1, 1)


def attempts(*sets):
    """A set log of attempts (kg, repetitions, ended by)."""
    return SetLog(tuple(SetEntry("a", amount, ended, load_kg=load) for load, amount, ended in sets))


HEAVY = block_of(
    item("a", 1, load_kg=60), scored="load", order="attempts", attempts=4, tie_break="fewest_misses"
)


def test_the_heaviest_load_that_succeeded():
    """100, 105 failed, 105, 110 refused: 105 kg with two misses."""
    score = official_score(
        HEAVY, attempts((100, 1, "planned"), (105, 0, "failure"), (105, 1, "planned"), (110, 1, "no_rep"))
    )

    assert (shown(score), score.misses, codes(score)) == (("finished", 105.0, "kg"), 2, [])


def test_nothing_succeeded():
    """Three failures are no mark, which is a result and not a mistake."""
    score = official_score(HEAVY, attempts((100, 0, "failure"), (100, 0, "failure"), (100, 0, "no_rep")))

    assert (shown(score), score.misses, codes(score)) == (("no_mark", None, None), 3, [])


def test_load_times_repetitions():
    """3 x 5 at 80 kg and 2 of 5 at 90 kg: 1200 + 180 = 1380 kg."""
    block = block_of(item("a", 5, load_kg=80), scored="volume_load", order="rounds", rounds=4)
    sets = [SetEntry("a", 5, load_kg=80.0)] * 3 + [SetEntry("a", 2, "failure", load_kg=90.0)]
    score = official_score(block, SetLog(tuple(sets), 600))

    assert shown(score) == ("finished", 1380.0, "kg_repetitions")
    assert codes(score) == ["missing_repetitions"]


@pytest.mark.parametrize(
    ("unit", "scored", "name", "amount"),
    [
        ("distance_m", "distance", "m", 2150.0),
        ("energy_kcal", "energy", "kcal", 41.0),
        ("hold_s", "held_time", "s", 75.5),
    ],
)
def test_other_units(unit, scored, name, amount):
    """Open work for a fixed time, in two sets: their sum."""
    block = block_of(item("a", None, unit), scored=scored, end=("fixed_time", 600))
    score = official_score(block, log_of(f"a{amount - 20} a20>", 600, unit))

    assert (shown(score), score.score_s, codes(score)) == (("finished", amount, name), None, [])
    assert (score.repetitions, score.better) == (0, "higher")


def test_metres_among_repetitions():
    """Only the metres count where the distance is scored: 3 x 200 m + 150 m = 750 m."""
    block = block_of(item("a", 200, "distance_m"), ("b", 10), scored="distance", order="rounds",
                     end=("fixed_time", 600))  # fmt: skip
    lap, swings = SetEntry("a", 200, unit="distance_m"), SetEntry("b", 10)
    sets = (lap, swings, lap, swings, lap, swings, SetEntry("a", 150, "clock", unit="distance_m"))

    assert official_score(block, SetLog(sets, 600)).value == 750.0


def test_capped_metres():
    """1200 of 2000 m when 300 s were over: no time but 1200 m."""
    block = block_of(item("a", 2000, "distance_m"), scored="time", end=("work_done", 300))
    score = official_score(block, log_of("a1200>", 300, "distance_m"))

    assert (shown(score), score.score_s, codes(score)) == (("capped", 1200.0, "m"), None, [])


def test_the_split_breaks_ties():
    """a in 20 + 10 with 15 s of rest; 40 s and 20 s of work: done at 75 s."""
    block = block_of(("a", 30), ("b", 20), scored="time", tie_break="split_time", split="a")
    first, second = SetEntry("a", 20, duration_s=40.0), SetEntry("a", 10, rest_before_s=15, duration_s=20.0)
    score = official_score(block, SetLog((first, second, SetEntry("b", 20)), 200))

    assert (score.split_s, codes(score)) == (75.0, [])
    read = official_score(block, log_of("a30 b20", 200, split_s=80.0))
    assert (read.split_s, codes(read)) == (80.0, [])
    assert codes(official_score(block, log_of("a30 b20", 200))) == ["split_missing"]


def test_breaks_part_ties():
    """Ten and five in 300 s each: 10 5, 6 4 5 and 4 6 3 2, 10 2 3 and 4 6 3 2: none, one, one and two breaks."""
    block = block_of(("a", 10), ("b", 5), scored="time", tie_break="fewest_breaks", breaks=EARLY)
    logs = {"whole": "a10 b5", "once": "a6 a4 b5", "as often": "a10 b2 b3", "twice": "a4 a6 b3 b2"}
    scores = {name: official_score(block, log_of(text, 300)) for name, text in logs.items()}
    assert [(one.score_s, one.breaks) for one in scores.values()] == [(300, 0), (300, 1), (300, 1), (300, 2)]
    rows = [
        OfficialRow(name, one.state, one.value, one.better, breaks=one.breaks) for name, one in scores.items()
    ]
    places = {row.key: row.rank for row in rank_official(rows, tie_break="fewest_breaks")}
    assert places == {"whole": 1, "once": 2, "as often": 2, "twice": 4}


def test_nothing_is_scored():
    """A warm-up has amounts and no score."""
    score = official_score(block_of(("a", 20), scored="none"), log_of("a20", 90))

    assert (shown(score), score.repetitions, codes(score)) == (("not_scored", None, None), 20, [])


@pytest.mark.parametrize(
    ("block", "totals", "expected"),
    [
        (block_of(("a", 10), ("b", 5), scored="rounds", order="rounds", end=("fixed_time", 600)),
         Totals(600, None, (("a", 57), ("b", 25))), (82.0, 5)),
        (block_of(("a", 10), scored="intervals", order="intervals", intervals={"every_s": 60, "count": 6}),
         Totals(None, None, (("a", 58),), misses=1), (5.0, 5)),
        (block_of(("a", 10), scored="intervals", order="intervals", intervals={"every_s": 60, "count": 6}),
         Totals(None, None, (("a", 60),)), (6.0, 6)),
        (block_of(("a", None), scored="smallest_interval", order="intervals",
                  intervals={"every_s": 30, "count": 4}),
         Totals(None, None, (("a", 42),), misses=0, smallest_interval=9), (9.0, 4)),
        (HEAVY, Totals(None, None, (("a", 2),), misses=2, heaviest_kg=105.0), (105.0, None)),
        (block_of(item("a", None, "distance_m"), scored="distance", end=("fixed_time", 600)),
         Totals(600, None, (("a", 2150.5),)), (2150.5, None)),
    ],
)  # fmt: skip
def test_totals_of_other_orders(block, totals, expected):
    """Totals score where they say enough."""
    score = official_score(block, totals)

    assert (score.value, score.rounds_completed, codes(score)) == (*expected, [])
