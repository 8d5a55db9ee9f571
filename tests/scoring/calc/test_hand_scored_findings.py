"""Reports that do not add up, under every order: what is found, and what is scored nevertheless."""

import pytest

from scoring.calc.attempt import SetEntry, SetLog, Totals
from scoring.calc.score import official_score
from tests.scoring.calc.rule_blocks import block_of, item
from tests.scoring.calc.test_hand_scored import EARLY, HEAVY, attempts, codes, log_of

ROUNDS = block_of(("a", 10), ("b", 5), scored="time", order="rounds", rounds=3, rest_between_s=30)
SWAP = block_of(("a", 20), ("b", 20), ("c", 20), scored="time", order="swap_on_break", breaks=EARLY)
EVERY = block_of(("a", 10), scored="intervals", order="intervals", intervals={"every_s": 60, "count": 4})
SERVED = block_of(("a", 20), ("b", 10), scored="time",
                  breaks={**EARLY, "penalty": "served_work", "penalty_work": item("p", 6)})  # fmt: skip


@pytest.mark.parametrize(
    ("block", "log", "found", "score_s"),
    [
        # The rounds follow one another; the rest of 30 s between them is kept, a second short is rounding.
        (ROUNDS, "a10 b5 a10/29 b5 a10/30 b5", [], 300.0),
        (ROUNDS, "a10 b5 a10/20 b5 a10/30 b5", ["rest_between_too_short"], 300.0),
        # b before a in round 2: all the work is there, the order is not.
        (ROUNDS, "a10 b5 b5/30 a10 a10/30 b5", ["wrong_order"], 300.0),
        # A set of b is missing: the second a10 is not yet due, and round 3 is not finished.
        (ROUNDS, "a10 a10 b5 a10 b5", ["wrong_round", "missing_repetitions"], None),
        # Every repetition twice: beyond the third round nothing counts.
        (ROUNDS, "a10 b5 " * 4, ["too_many_repetitions", "too_many_repetitions"], 300.0),
        # Three items to swap between: after a break on a it is b's turn, not c's.
        (SWAP, "a10 b10 c20 a10 b10", [], 300.0),
        (SWAP, "a10 c20 a10 b20", ["wrong_order"], 300.0),
        (SWAP, "a10 a10 b20 c20", ["no_swap"], 300.0),
        (SWAP, "b20 a20 c20", ["wrong_start", "wrong_order"], 300.0),
        # The penalty: forgotten, begun and left, done though nothing was broken, too long.
        (SERVED, "a12 p6 a8 b10", [], 300.0),
        (SERVED, "a12 a8 b10", ["penalty_not_served"], 300.0),
        (SERVED, "a12 p4 a8 b10", ["penalty_not_served"], 300.0),
        (SERVED, "a20 p6 b10", ["penalty_not_owed"], 300.0),
        (SERVED, "a12 p9 a8 b10", ["too_many_repetitions"], 300.0),
    ],
)
def test_orders_and_penalties(block, log, found, score_s):
    """The findings, and the score where all the work is there."""
    score = official_score(block, log_of(log, 300))

    assert (codes(score), score.score_s) == (found, score_s)


@pytest.mark.parametrize(
    ("log", "found", "done", "misses"),
    [
        ("a10@1 a10@2 a10@3 a10@4", [], 4.0, 0),
        ("a10 a10 a10 a10", [], 4.0, 0),  # one set for each
        ("a10@1 a10@2 a10@4 a10@3", ["wrong_interval"], 3.0, 1),
        ("a6@1 a4@1 a10@2 a10@3 a10@4", [], 4.0, 0),
        ("a10 a10", ["missing_intervals"], 2.0, 2),
        ("a10 a8~ a10", ["missing_intervals", "intervals_unnamed", "misses_missing"], None, None),
        ("a10@1 a10@1 a10@2 a10@3 a10@4", ["wrong_interval"], 4.0, 0),
        ("a10@1 a10@2 a10@3 a10@4 a10@5", ["after_the_end"], 4.0, 0),
        ("a13@1 a10@2 a10@3 a10@4", ["too_many_repetitions"], 4.0, 0),
    ],
)
def test_intervals(log, found, done, misses):
    """In which interval a set was done is named, known by the clock or by order, or asked for."""
    score = official_score(EVERY, log_of(log))

    assert (sorted(codes(score)), score.value, score.misses) == (sorted(found), done, misses)


def timed(*sets):
    """A set log of (amount, rest before, duration)."""
    return SetLog(tuple(SetEntry("a", n, "planned", rest, duration_s=took) for n, rest, took in sets))


@pytest.mark.parametrize(
    ("sets", "found", "done"),
    [
        # Begun at 0, 60, 180, 240 s: the third interval was left out.
        ([(10, 0, 20), (10, 40, 20), (10, 100, 20)], [], 3.0),
        # 6 and 4 in one interval.
        ([(6, 0, 12), (4, 10, 8), (10, 30, 20), (10, 40, 20), (10, 40, 20)], [], 4.0),
        # Begun at 59 s: rounded, that is the second interval, for the first was done.
        ([(10, 0, 20), (10, 39, 20), (10, 41, 20), (10, 40, 20)], [], 4.0),
        # The first set took 70 s: its interval was over.
        ([(10, 0, 70), (10, 50, 20), (10, 40, 20)], ["past_interval_end"], 3.0),
    ],
)
def test_intervals_by_the_clock(sets, found, done):
    """Rests and durations tell the interval where nobody has named it."""
    score = official_score(EVERY, timed(*sets))

    assert ([code for code in codes(score) if code != "missing_intervals"], score.value) == (found, done)


def test_an_attempt_too_many():
    """The fifth of four does not count, although it is the heaviest."""
    score = official_score(HEAVY, attempts(*[(100 + step, 1, "planned") for step in range(5)]))

    assert (score.value, codes(score)) == (103.0, ["after_the_end"])


@pytest.mark.parametrize(
    ("log", "elapsed_s", "found"),
    [
        ("a12", 300, ["missing_repetitions", "penalty_not_served"]),
        ("a12", 600, []),  # the cap came before the penalty
        ("a12 p3>", 590, []),
    ],
)
def test_a_penalty_that_the_clock_forgives(log, elapsed_s, found):
    """Owed at the end: only when there was time left for it."""
    rule = {**EARLY, "penalty": "served_work", "penalty_work": item("p", 6)}
    block = block_of(("a", 20), ("b", 10), scored="time", end=("work_done", 600), breaks=rule)

    assert sorted(codes(official_score(block, log_of(log, elapsed_s)))) == found


def test_rests_that_decide_are_asked_for():
    """Whether a pause was a break cannot be told without its length; then there is no score."""
    rule = {"counts": "rest_longer_than", "rest_over_s": 10, "penalty_s": 20}
    block = block_of(("a", 40), scored="time", breaks=rule)
    score = official_score(block, log_of("a10 a30", 240))

    assert (score.state, score.breaks, codes(score)) == ("unscored", None, ["rests_missing"])


@pytest.mark.parametrize(
    ("unit", "amount", "took_s", "found"),
    [
        ("repetitions", 60, 29.0, []),  # two a second, a second of rounding
        ("repetitions", 60, 28.9, ["impossible_speed"]),
        ("distance_m", 400, 33.0, []),  # 12 m/s take 33.3 s
        ("distance_m", 400, 32.0, ["impossible_speed"]),
        ("energy_kcal", 50, 24.0, []),  # 2 kcal/s
        ("energy_kcal", 50, 23.9, ["impossible_speed"]),
        ("hold_s", 60, 59.0, []),
        ("hold_s", 60, 58.9, ["impossible_speed"]),
    ],
)
def test_nobody_is_that_fast(unit, amount, took_s, found):
    """Each unit has a speed that nobody reaches."""
    block = block_of(item("a", amount, unit), scored="time")
    log = SetLog((SetEntry("a", amount, duration_s=took_s, unit=unit),), took_s + 5)

    assert codes(official_score(block, log)) == found


@pytest.mark.parametrize(
    ("block", "totals", "found", "state"),
    [
        (EVERY, Totals(None, None, (("a", 35),)), ["misses_missing"], "unscored"),
        (HEAVY, Totals(None, None, (("a", 3),), misses=1), ["load_missing"], "unscored"),
        (SERVED, Totals(300, 2, (("a", 20), ("b", 10), ("p", 6))), ["penalty_not_served"], "finished"),
        (SERVED, Totals(300, None, (("a", 20), ("b", 10))), [], "finished"),  # served: breaks cost no seconds
        (block_of(item("a", 5, load_kg=80), scored="volume_load", order="rounds", rounds=4),
         Totals(600, None, (("a", 20),)), ["set_log_missing"], "unscored"),
        (block_of(item("a", 2000, "distance_m"), scored="time"),
         Totals(500, None, (("a", 1500.0),)), ["missing_work"], "unscored"),
        (block_of(item("a", None, "distance_m"), scored="distance", end=("fixed_time", 600)),
         Totals(640, None, (("a", 2100.0),)), ["over_cap"], "finished"),
    ],
)  # fmt: skip
def test_totals_that_do_not_say_enough(block, totals, found, state):
    """What is missing is asked for."""
    score = official_score(block, totals)

    assert (codes(score), score.state) == (found, state)


FIRST, OTHER, PENALTY = "x1key", "x2key", "x3key"
NAMES = {FIRST: "Row", OTHER: "Goblet squat", PENALTY: "Plank"}


def named(order="in_sequence", **rules):
    """Twenty and ten of two items that have keys like no word."""
    return block_of((FIRST, 20), (OTHER, 10), scored="time", order=order, **rules)


def log(*sets):
    """Of (work, amount)."""
    return SetLog(tuple(SetEntry(work, amount, "planned") for work, amount in sets), 300)


PAYS = {"breaks": {**EARLY, "penalty": "served_work", "penalty_work": item(PENALTY, 6)}}
TIES = {"tie_break": "split_time", "split": FIRST}


@pytest.mark.parametrize(
    ("block", "report", "code", "said"),
    [
        (named(), log((OTHER, 10)), "wrong_start", "Row"),
        (named(), log((FIRST, 12), (OTHER, 10), (FIRST, 8)), "wrong_order", "Goblet squat"),
        (named(), log((FIRST, 12)), "missing_repetitions", "(8 of Row, 10 of Goblet squat)"),
        (named(), log((FIRST, 25), (OTHER, 10)), "too_many_repetitions", "25 repetitions of Row"),
        (named("swap_on_break", breaks=EARLY), log((FIRST, 12), (FIRST, 8), (OTHER, 10)), "no_swap", "on Row"),
        (named("rounds", rounds=2), log((FIRST, 20), (FIRST, 20)), "wrong_round", "Row"),
        (named(**PAYS), log((FIRST, 12), (FIRST, 8), (OTHER, 10)), "penalty_not_served", "Plank"),
        (named(**PAYS), log((FIRST, 20), (OTHER, 8)), "penalty_not_served", "Plank"),
        (named(**PAYS), Totals(300, 2, ((FIRST, 20), (OTHER, 10))), "penalty_not_served", "12 of Plank"),
        (named(), Totals(300, 0, ((FIRST, 5), (OTHER, 8))), "wrong_order", "Goblet squat is further than Row"),
        (named(**TIES), Totals(300, 0, ((FIRST, 20), (OTHER, 10))), "split_missing", "when Row was done"),
        (named(**TIES), Totals(300, 0, ((FIRST, 20), (OTHER, 10)), split_s=310), "split_after_end", "Row is"),
    ],
)  # fmt: skip
def test_findings_call_work_by_its_name(block, report, code, said):
    """Whoever reviews a result never sees the keys of a document."""
    found = {one.code: one for one in official_score(block, report).findings}

    assert said in found[code].said(NAMES)
    assert "key" not in " ".join(one.said(NAMES) for one in found.values())
    assert "key" in found[code].detail, "without names by the key"
