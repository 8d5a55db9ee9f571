"""Conditions on whole blocks, and aims under every order and unit: met, missed or unknown, and never a crash."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programming.calc.revision import Aim, Condition
from scoring.calc.aim import CAUSES, check_aim
from scoring.calc.attempt import SetEntry, SetLog, Totals
from scoring.calc.score import official_score
from tests.oracles.naive_score import lawful
from tests.scoring.calc.rule_blocks import block_of, item
from tests.scoring.calc.test_hand_scored import log_of
from tests.scoring.calc.test_score_lawful import BLOCKS, chooser
from tests.support.examples import examples

ROUNDS = block_of(("a", 10), ("b", 5), scored="rounds", order="rounds", end=("fixed_time", 600))


def outcome(block, condition, attempt, effort=None):
    """The outcome of one condition."""
    aimed = replace(block, aim=Aim((condition,)))
    (found,) = check_aim(aimed, attempt, official_score(aimed, attempt), None, effort=effort)
    return found


@pytest.mark.parametrize(
    ("lower", "upper", "state", "missed_by", "cause"),
    [
        (60, 90, "met", None, None),
        (90, None, "missed", -8.0, "too_hard_version"),  # 82 repetitions
        (None, 75, "missed", 7.0, "too_easy_version"),
    ],
)
def test_the_score_of_an_amount(lower, upper, state, missed_by, cause):
    """5 rounds and 7: 82 repetitions, of which more is better."""
    log = log_of("a10 b5 " * 5 + "a7>", 600)
    found = outcome(ROUNDS, Condition("score", None, lower, upper), log)

    assert (found.state, found.missed_by, found.cause) == (state, missed_by, cause)


@pytest.mark.parametrize(
    ("effort", "state", "missed_by", "cause"),
    [
        (None, "unknown", None, "effort_not_reported"),
        (7.0, "met", None, None),
        (3.0, "missed", -2.0, "too_easy_version"),
        (10.0, "missed", 2.0, "too_hard_version"),
    ],
)
def test_effort_as_reported(effort, state, missed_by, cause):
    """5 to 8 of 10 wanted."""
    found = outcome(ROUNDS, Condition("effort", None, 5, 8), log_of("a10 b5", 600), effort)

    assert (found.state, found.missed_by, found.cause) == (state, missed_by, cause)


@pytest.mark.parametrize(
    ("log", "by", "state"),
    [
        ("a10 b5 a9~", "local_muscle", "met"),
        ("a10 b5 a5~", "local_muscle", "met"),  # only fatigue has made it short: ten were possible
        ("a10 b5 a5~", "strength", "missed"),
        ("a5~ b5 a4~", "strength", "met"),  # five to failure, fresh, are a matter of strength
        ("a10 b5 a5!", "skill", "met"),
        ("a10 b5 a9", "local_muscle", "unknown"),
        ("a10 b5 a9~", "breathing", "missed"),
        ("a9~ b5~", "local_muscle", "unknown"),  # two reasons
    ],
)
def test_what_stopped_the_athlete_where_the_sets_tell(log, by, state):
    """From what ended the sets, else unknown."""
    found = outcome(ROUNDS, Condition("stopped_by", None, None, None, by), log_of(log, 600))

    assert (found.state, found.missed_by) == (state, None)
    assert (found.cause is None) == (state == "met")


def test_the_share_of_what_was_available_is_not_guessed():
    """Unknown, with the reason."""
    found = outcome(ROUNDS, Condition("share_of_available", None, 60, 90), log_of("a10 b5", 600))

    assert (found.state, found.cause) == ("unknown", "share_not_known")


def test_the_time_of_work_that_is_scored_by_load():
    """All done at 240 s: within 300; 4 of 10 left: at least 240 and nobody knows."""
    block = block_of(item("a", 5, load_kg=80), scored="volume_load", order="rounds", rounds=2)
    within = Condition("time", None, None, 300)

    assert outcome(block, within, log_of("a5 a5", 240, load_kg=80.0)).state == "met"
    assert outcome(block, within, log_of("a5 a1", 240, load_kg=80.0)).state == "unknown"


def test_later_sets_of_several_rounds():
    """Of 10 in 6 + 4 and 7 + 3: the sets that complete a round do not count; 7 does."""
    log = log_of("a6 a4 b5 a7 a3 b5 a2>", 600)
    found = outcome(ROUNDS, Condition("later_sets", "a", 8, None), log)

    assert (found.state, found.low, found.high, found.missed_by) == ("missed", 7.0, 7.0, -1.0)


def test_a_hold_shows_seconds():
    """A hold to failure after 45 s: 45 s were available; a reserve in repetitions says nothing of it."""
    block = block_of(item("a", None, "hold_s"), scored="held_time", end=("fixed_time", 120))
    window = Condition("first_set", "a", 40, 60)
    to_failure = SetLog((SetEntry("a", 45.0, "failure", unit="hold_s"),), 120)
    in_reserve = SetLog((SetEntry("a", 45.0, rir=2, unit="hold_s"),), 120)

    assert (outcome(block, window, to_failure).state, outcome(block, window, to_failure).low) == ("met", 45.0)
    assert outcome(block, window, in_reserve).state == "unknown"


CONDITIONS = (
    Condition("first_set", "a", 5, 20), Condition("later_sets", "a", 3, None), Condition("time", None, 60, 600),
    Condition("score", None, 10, 100), Condition("share_of_available", None, 50, 90),
    Condition("stopped_by", None, None, None, "breathing"), Condition("effort", None, 4, 8),
)  # fmt: skip


@pytest.mark.parametrize("name", BLOCKS)
@given(seed=st.integers(0, 2**32), keep=st.integers(0, 5), effort=st.one_of(st.none(), st.floats(0, 10)))
@settings(deadline=None, max_examples=examples(6))
def test_every_block_has_an_answer_to_every_condition(name, seed, keep, effort):
    """Logs, whole or cut short, and totals: a state, and a reason unless it is met."""
    block = replace(BLOCKS[name], aim=Aim(CONDITIONS))
    log, _ = lawful(block, chooser(seed), 12)
    for attempt in (log, SetLog(log.sets[:keep], None), Totals(300.0, 2, (("a", 12.0),))):
        outcomes = check_aim(block, attempt, official_score(block, attempt), None, effort=effort)

        assert [one.kind for one in outcomes] == [one.kind for one in CONDITIONS]
        assert all(one.state in {"met", "missed", "unknown"} for one in outcomes)
        assert all(one.state == "met" or one.cause in CAUSES for one in outcomes)
