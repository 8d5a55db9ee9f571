"""Hand-scored attempts: every branch of the official score of a block with swap on break.

The block: 60 of a and 40 of b, 30 s added per break, cap 1500 s. Sums are worked out in the comments.
"""

import copy

import pytest

from programming.calc.document import parse_revision
from scoring.calc.attempt import SetEntry, SetLog, Totals, totals_from
from scoring.calc.score import official_score
from tests.programming.calc.documents import row_and_squat


def block_with(**rules):
    """The block of these tests with some rules replaced."""
    doc = copy.deepcopy(row_and_squat())
    doc["blocks"][0]["rules"] |= rules
    return parse_revision(doc).blocks[0]


BLOCK = block_with()
NO_CAP = block_with(end={"kind": "work_done", "cap_s": None})


def log(text, elapsed_s, **last):
    """'a20 b15 ...' as a set log; `last` are fields of the last set."""
    entries = [SetEntry(work=word[0], amount=int(word[1:])) for word in text.split()]
    if last:
        final = entries[-1]
        entries[-1] = SetEntry(work=final.work, amount=final.amount, **last)
    return SetLog(tuple(entries), elapsed_s)


def codes(score):
    """The codes of the findings."""
    return [finding.code for finding in score.findings]


FULL = "a20 b15 a18 b13 a12 b12 a10"


def test_a_finished_log():
    """a 20+18+12+10 = 60, b 15+13+12 = 40; breaks: all but the sets that complete b (12) and a (10): 5."""
    score = official_score(BLOCK, log(FULL, 640.0))

    assert (score.state, score.finished, score.breaks, score.penalty_s) == ("finished", True, 5, 150.0)
    assert score.score_s == 790.0  # 640 + 5 x 30
    assert score.repetitions_by_work == (("a", 60), ("b", 40))
    assert score.findings == ()


def test_unbroken_work_has_no_penalty():
    """a60 then b40: completing an item is no break."""
    score = official_score(BLOCK, log("a60 b40", 250.0))

    assert (score.breaks, score.score_s, score.findings) == (0, 250.0, ())


def test_breaks_go_on_when_one_item_is_left():
    """b is done in its second set; then a alone: a20* b20* a10* b20 a10* a10* a10 -> 5 breaks."""
    score = official_score(BLOCK, log("a20 b20 a10 b20 a10 a10 a10", 700.0))

    assert (score.breaks, score.score_s, score.findings) == (5, 850.0, ())


def test_exactly_at_the_cap_is_in_time():
    """The cap is the last moment, not the first one too late: 1500 + 150."""
    assert official_score(BLOCK, log(FULL, 1500.0)).score_s == 1650.0


@pytest.mark.parametrize(
    ("elapsed_s", "last", "breaks"),
    [(1500.0, {}, 3), (None, {"ended_by": "clock"}, 2), (1490.0, {"ended_by": "clock"}, 2)],
)
def test_capped_work_counts_repetitions(elapsed_s, last, breaks):
    """a20 b15 a18: 53 of 100 at the cap, known from the clock or from what ended the last set.

    The set that the clock ended is no break of the athlete's; by version 1 of the rules it was one.
    """
    report = log("a20 b15 a18", elapsed_s, **last)
    score = official_score(BLOCK, report)

    assert (score.state, score.score_s, score.repetitions, score.breaks) == ("capped", None, 53, breaks)
    assert (score.value, score.unit, score.better) == (53.0, "repetitions", "higher")
    assert official_score(BLOCK, report, rules_version=1).breaks == 3
    assert codes(score) == []


def test_missing_work_before_the_cap_waits_for_review():
    """47 repetitions are missing at 600 s of 1500: stopped or forgotten, nobody knows."""
    score = official_score(BLOCK, log("a20 b15 a18", 600.0))

    assert (score.state, score.score_s, codes(score)) == ("unscored", None, ["missing_repetitions"])
    assert "22 of a, 25 of b" in score.findings[0].detail


def test_missing_work_without_a_cap_waits_for_review():
    """Without a cap the clock cannot end the block, not even when the log says so."""
    score = official_score(NO_CAP, log("a20 b15 a18", 1e5, ended_by="clock"))

    assert (score.state, codes(score)) == ("unscored", ["missing_repetitions"])


def test_all_work_past_the_cap_waits_for_review():
    """Done at 1510 s: how many at 1500 s is not known, so neither score nor repetitions can rank it."""
    score = official_score(BLOCK, log(FULL, 1510.0))

    assert (score.state, score.score_s, codes(score)) == ("unscored", None, ["over_cap"])


def test_unfinished_work_past_the_cap_is_capped_and_reviewed():
    """53 repetitions at 1530 s rank as reported until the review says otherwise."""
    score = official_score(BLOCK, log("a20 b15 a18", 1530.0))

    assert (score.state, score.repetitions, codes(score)) == ("capped", 53, ["over_cap"])


def test_a_log_without_the_clock_waits_for_review():
    """Everything done, no time: nothing to score."""
    score = official_score(BLOCK, log(FULL, None))

    assert (score.state, score.breaks, codes(score)) == ("unscored", 5, ["elapsed_missing"])


def test_too_many_repetitions_do_not_count():
    """a 20+18+12+13 = 63 of 60: scored as 60, with a finding; breaks stay 5."""
    score = official_score(BLOCK, log("a20 b15 a18 b13 a12 b12 a13", 640.0))

    assert (score.score_s, score.repetitions, codes(score)) == (790.0, 100, ["too_many_repetitions"])


def test_a_set_after_the_item_was_completed_is_too_many():
    """b done, then b again: no break, no order finding, only repetitions too many."""
    score = official_score(BLOCK, log("a60 b40 b5", 400.0))

    assert (score.breaks, score.score_s, codes(score)) == (0, 400.0, ["too_many_repetitions"])


def test_no_swap_after_a_break_is_found_and_scored():
    """a20* a20* b40 a20: 2 breaks, 500 + 60; the second set should have been on b."""
    score = official_score(BLOCK, log("a20 a20 b40 a20", 500.0))

    assert (score.score_s, codes(score)) == (560.0, ["no_swap"])
    assert score.findings[0].detail.startswith("Set 2 stays on a")


def test_starting_with_the_other_item_is_found_and_scored():
    """b first: b40 a60, no break."""
    score = official_score(BLOCK, log("b40 a60", 400.0))

    assert (score.score_s, codes(score)) == (400.0, ["wrong_start"])


def test_unknown_work_is_left_out():
    """c is not in the block: its set neither counts nor is a break."""
    score = official_score(BLOCK, log("a60 c5 b40", 400.0))

    assert (score.breaks, score.score_s, codes(score)) == (0, 400.0, ["unknown_work"])


def test_rests_longer_than_the_clock():
    """Rests of 250 + 200 = 450 s do not fit into 400 s."""
    sets = (
        SetEntry("a", 30, rest_before_s=0),
        SetEntry("b", 40, rest_before_s=250),
        SetEntry("a", 30, rest_before_s=200),
    )
    score = official_score(BLOCK, SetLog(sets, 400.0))

    assert (score.score_s, codes(score)) == (430.0, ["rests_exceed_elapsed"])


@pytest.mark.parametrize(("elapsed_s", "expected"), [(297.0, []), (296.9, ["rests_exceed_elapsed"])])
def test_rests_and_sets_together_may_be_off_by_rounding(elapsed_s, expected):
    """120 + 80 + 100 = 300 s in two sets: a second each and one for the clock, 3 s, are forgiven."""
    sets = (SetEntry("a", 60, duration_s=120.0), SetEntry("b", 40, rest_before_s=100, duration_s=80.0))

    assert codes(official_score(BLOCK, SetLog(sets, elapsed_s))) == expected


@pytest.mark.parametrize(("duration_s", "expected"), [(29.0, []), (28.9, ["impossible_speed"])])
def test_a_set_nobody_can_do(duration_s, expected):
    """60 repetitions need 30 s at two a second; one second of rounding leaves 29."""
    sets = (SetEntry("a", 60, duration_s=duration_s), SetEntry("b", 40))

    assert codes(official_score(BLOCK, SetLog(sets, 300.0))) == expected


@pytest.mark.parametrize(("elapsed_s", "expected"), [(249.0, []), (248.0, ["impossible_speed"])])
def test_an_attempt_nobody_can_do(elapsed_s, expected):
    """100 repetitions need 50 s of work, 49 with rounding, beside 200 s of rest."""
    sets = (SetEntry("a", 60), SetEntry("b", 40, rest_before_s=200))

    assert codes(official_score(BLOCK, SetLog(sets, elapsed_s))) == expected


def test_totals_are_scored():
    """640 + 7 x 30 = 850."""
    score = official_score(BLOCK, Totals(640.0, 7, (("a", 60), ("b", 40))))

    assert (score.state, score.score_s, score.breaks, score.findings) == ("finished", 850.0, 7, ())


@pytest.mark.parametrize(
    ("totals", "state", "expected"),
    [
        (Totals(1500.0, 7, (("a", 50), ("b", 40))), "capped", []),
        (Totals(640.0, 7, (("a", 50), ("b", 40))), "unscored", ["missing_repetitions"]),
        (Totals(640.0, 7, (("a", 60),)), "unscored", ["missing_repetitions"]),
        (Totals(640.0, None, (("a", 60), ("b", 40))), "unscored", ["breaks_missing"]),
        (Totals(None, 7, (("a", 60), ("b", 40))), "unscored", ["elapsed_missing"]),
        (Totals(640.0, 7, (("a", 65), ("b", 40))), "finished", ["too_many_repetitions"]),
        (Totals(640.0, 7, (("a", 60), ("b", 40), ("c", 1))), "finished", ["unknown_work"]),
        (Totals(48.0, 0, (("a", 60), ("b", 40))), "finished", ["impossible_speed"]),
        (Totals(0.0, 0, (("a", 60), ("b", 40))), "finished", ["impossible_speed"]),
        # 100 repetitions in 100 sets of one: the two that complete an item are no breaks
        (Totals(640.0, 98, (("a", 60), ("b", 40))), "finished", []),
        (Totals(640.0, 99, (("a", 60), ("b", 40))), "finished", ["breaks_inconsistent"]),
        (Totals(640.0, -1, (("a", 60), ("b", 40))), "finished", ["breaks_inconsistent"]),
        # both begun, none finished: one was left at least once
        (Totals(1500.0, 0, (("a", 30), ("b", 10))), "capped", ["breaks_inconsistent"]),
        (Totals(1500.0, 1, (("a", 30), ("b", 10))), "capped", []),
    ],
)
def test_totals_that_need_a_second_look(totals, state, expected):
    """State and findings of totals, at the edges of what can be true."""
    score = official_score(BLOCK, totals)

    assert (score.state, codes(score)) == (state, expected)


def test_stored_json_becomes_totals():
    """The stored form of totals is read."""
    totals = {"elapsed_s": 640.0, "breaks": 7, "amounts": {"a": 60, "b": 40}}

    assert official_score(BLOCK, totals_from(totals)).score_s == 850.0


def test_a_log_and_its_totals_agree():
    """The same work reported either way has the same score."""
    by_sets = official_score(BLOCK, log(FULL, 640.0))
    by_totals = official_score(BLOCK, Totals(640.0, by_sets.breaks, by_sets.repetitions_by_work))

    assert by_totals == by_sets
