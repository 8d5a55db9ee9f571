"""The share of what was available, held against an aim: by hand, and as the forecast means it."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from programming.calc.revision import Aim, Condition
from scoring.calc.aim import check_aim
from scoring.calc.aim_share import share_range
from scoring.calc.attempt import SetEntry, SetLog
from scoring.calc.forecast import BlockForecast, PlannedSet, make_scenarios, run_policy
from scoring.calc.next_set import Policy
from scoring.calc.pacing import trace_policy
from scoring.calc.replay import play_log
from scoring.calc.score import official_score
from scoring.calc.simulation import SHARE_SETS, SHARE_TOTAL
from scoring.calc.spread import Spread
from scoring.calc.stops import Stops
from tests.scoring.calc.orders import blocks
from tests.scoring.calc.rule_blocks import block_of
from tests.scoring.calc.test_simulation import FRESH, SECONDS, candidates, written_down
from tests.support.examples import examples

BLOCK = block_of(("a", 40), ("b", 5), scored="time", order="in_sequence", end=("work_done", None))
ASKED = Condition("share_of_available", "a", 60, 80)


def log(*sets, work="a"):
    """Sets of (amount, how it ended) with half a minute between them."""
    entries = tuple(
        SetEntry(work, float(amount), ended, 30.0 if place else 0.0, 2.0 * amount)
        for place, (amount, ended) in enumerate(sets)
    )
    return SetLog(entries, 600.0)


def held(attempt, available, condition=ASKED, forecast=None, block=BLOCK):
    """The outcome of one condition."""
    aimed = replace(block, aim=Aim((condition,)))
    score = official_score(aimed, attempt)
    (found,) = check_aim(aimed, attempt, score, forecast, available=available)
    return found


def foreseen(*amounts, by="local_muscle"):
    """A forecast of which the plan, and what stops the athlete, are known."""
    spread = Spread(0.0, 0.0, 0.0)
    return BlockForecast(
        (None,) * 19, 1.0, spread, 0.8, 60.0, (), tuple(PlannedSet("a", float(one), 60) for one in amounts), 64,
        stops=Stops(by, None, 1.0),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("sets", "available", "state", "share", "missed_by"),
    [
        # 10 of 12.5 and 9 of 10: 80 and 90, in the mean 85, within five points of 80.
        ([(10, "planned"), (9, "planned")], {0: 12.5, 1: 10.0}, "met", 85.0, None),
        # 9.5 of 10 twice is 95: fifteen above.
        ([(19, "planned"), (19, "planned")], {0: 20.0, 1: 20.0}, "missed", 95.0, 15.0),
        # 5 of 10 twice: ten below.
        ([(5, "planned"), (5, "planned")], {0: 10.0, 1: 10.0}, "missed", 50.0, -10.0),
        # To failure everything was taken, whatever is thought to have been there: (100 + 70) / 2.
        ([(9, "failure"), (7, "planned")], {0: 9.4, 1: 10.0}, "met", 85.0, None),
        # The last set completes the 40, and 2 of 10 left over say nothing; so does what the clock cut.
        ([(38, "planned"), (2, "planned")], {0: 50.0, 1: 10.0}, "met", 76.0, None),
        ([(20, "planned"), (2, "clock")], {0: 25.0, 1: 10.0}, "met", 80.0, None),
    ],
)  # fmt: skip
def test_the_mean_of_the_sets_is_held_against_the_window(sets, available, state, share, missed_by):
    found = held(log(*sets), available)
    assert (found.state, found.missed_by) == (state, missed_by)
    assert (found.low, found.high) == (pytest.approx(share), pytest.approx(share))


def test_a_set_that_is_meant_to_be_done_in_one_go_asked_for_all_of_it():
    """Twelve a round with a rest between rounds; of ten that were there seven were done, then three and two after
    pauses: twelve were asked of ten, and what comes after a pause has no share.
    """
    rules = replace(BLOCK.rules, order="rounds", rounds=1, rest_between_s=60.0)
    parted = replace(BLOCK, rules=rules, work=(replace(BLOCK.work[0], amount=12.0),))
    found = held(
        log((7, "planned"), (3, "planned"), (2, "planned")), dict.fromkeys(range(3), 10.0), block=parted
    )
    assert (found.low, found.high, found.missed_by) == (100.0, 100.0, 20.0)


def test_one_unknown_set_leaves_the_share_unknown():
    """Half of the sets say nothing about the mean of all."""
    found = held(log((10, "planned"), (9, "planned")), {0: 12.5})
    assert (found.state, found.cause) == ("unknown", "share_not_known")


def test_both_sides_of_the_window_are_held_against_the_item_that_misses_it():
    """Of two items the one is two points low, which is met, the other twenty high, which is not."""
    both = Condition("share_of_available", None, 60, 80)
    entries = (
        SetEntry("a", 29.0, "planned", 0.0, 60.0), SetEntry("a", 11.0, "planned", 30.0, 20.0),
        SetEntry("b", 4.0, "planned", 30.0, 10.0), SetEntry("b", 1.0, "planned", 30.0, 10.0),
    )  # fmt: skip
    found = held(SetLog(entries, 600.0), {0: 50.0, 1: 20.0, 2: 4.0, 3: 4.0}, both)
    assert (found.state, found.missed_by, found.low) == ("missed", 20.0, 58.0)


@pytest.mark.parametrize(
    ("sets", "available", "planned", "cause"),
    [
        ([(19, "planned"), (19, "planned")], 20.0, (12, 12), "sets_too_long"),
        ([(19, "planned"), (19, "planned")], 20.0, (19, 19), "too_hard_version"),
        ([(5, "planned"), (5, "planned")], 10.0, (8, 8), "sets_stopped_early"),
        ([(5, "planned"), (5, "planned")], 10.0, (5, 5), "too_easy_version"),
        ([(5, "pain"), (5, "planned")], 10.0, (8, 8), "ended_by_pain"),
    ],
)  # fmt: skip
def test_a_miss_has_the_cause_that_the_plan_shows(sets, available, planned, cause):
    found = held(log(*sets), dict.fromkeys(range(len(sets)), available), forecast=foreseen(*planned))
    assert (found.state, found.cause) == ("missed", cause)


@pytest.mark.parametrize(("ended", "by", "cause"), [
    ("planned", "breathing", "breathing"),
    ("failure", "breathing", "too_hard_version"),
    ("planned", "local_muscle", "too_hard_version"),
])  # fmt: skip
def test_breathing_is_said_where_it_was_foreseen_and_no_set_failed(ended, by, cause):
    """A time that was missed: what stopped the athlete no log shows, but it can speak against it."""
    timed = block_of(("a", 20), scored="time", order="in_sequence", end=("work_done", None))
    found = held(
        log((10, ended), (10, "planned")),
        {},
        Condition("time", None, None, 300),
        foreseen(10, 10, by=by),
        timed,
    )
    assert (found.state, found.cause) == ("missed", cause)


@given(
    blocks(), FRESH, SECONDS, st.floats(0.1, 1.5), st.sampled_from([0.5, 0.6, 0.75, 0.9]), st.floats(0, 200)
)
@settings(max_examples=examples(60), deadline=None)
def test_forecast_and_aim_mean_the_same_share(block, fresh, seconds, multiplier, share, own_rest_s):
    """A simulated log has the mean shares of its simulation, item by item, under every order."""
    scenarios = make_scenarios(block, candidates(block, fresh, seconds), np.array([multiplier]))
    policy = Policy(share, own_rest_s)
    runs = run_policy(block, scenarios, policy)
    trace, clock, _ = trace_policy(block, scenarios, policy, scenarios.people[0], multiplier, 3000)
    sets, end = written_down(block, trace)
    attempts = block.rules.order == "attempts"
    assume(not attempts or all(row[1] > 0.0 for row in trace))
    played = play_log(block, SetLog(sets, max(end, clock))).sets
    available = {place: float(row[6]) for place, row in enumerate(trace) if row[6] > 0.0}
    for index, item in enumerate(block.work):
        total, count = runs.sizes[0, index, [SHARE_TOTAL, SHARE_SETS]]
        low, high, _ = share_range(block, Condition("share_of_available", item.key, 1, 2), played, available)
        if count:
            assert (low, high) == (pytest.approx(total / count), pytest.approx(total / count))
        else:
            assert high == np.inf


def test_nobody_is_asked_for_more_than_all_that_is_there():
    """Intervals of twenty of somebody with ten: each asks for all of it, not for twice as much."""
    timed = block_of(
        ("a", 20),
        scored="none",
        order="intervals",
        intervals={"every_s": 60, "count": 2},
        end=("work_done", None),
    )
    sets = log((10, "failure"), (10, "failure"))
    aimed = replace(timed, aim=Aim((ASKED,)))
    played = play_log(aimed, sets).sets
    low, high, _ = share_range(aimed, ASKED, played, {0: 10.0, 1: 10.0})
    assert (low, high) == (100.0, 100.0)
    assert share_range(aimed, ASKED, played, {0: 0.0, 1: 0.0})[:2] == (100.0, 100.0)
