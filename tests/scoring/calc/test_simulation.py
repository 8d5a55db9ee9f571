"""The simulation of a block under every order: a second implementation, and the score of what it writes down."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from programming.calc.contradiction_rules import AMOUNTS
from programming.calc.revision import Aim, Block, BlockRules, BreakRule, EndRule, Intervals
from programming.calc.variation import Option
from scoring.calc.attempt import SetEntry, SetLog
from scoring.calc.candidate import Candidate
from scoring.calc.forecast import make_scenarios, run_policy
from scoring.calc.next_set import Policy
from scoring.calc.pacing import scores_of, trace_policy
from scoring.calc.score import official_score
from scoring.calc.simulation import LATER_HIGH, LATER_LOW, SHARE_SETS, SHARE_TOTAL
from tests.oracles.naive_block import NaiveBlock
from tests.scoring.calc.orders import blocks, item
from tests.support.examples import examples

SHARES = st.sampled_from([0.5, 0.6, 0.75, 0.9, 1.0])
POLICIES = st.builds(Policy, SHARES, st.floats(0, 200), st.just(1.0), st.sampled_from([0.0, 0.25, 0.6]))
FRESH = st.lists(st.one_of(st.floats(0.5, 40), st.just(math.inf)), min_size=4, max_size=4)
SECONDS = st.lists(st.sampled_from([1.0, 2.0, 3.5]), min_size=4, max_size=4)
# What the clock of a block that ended by time leaves open: rests after the last set, and intervals without sets.
QUIET = {"missing_intervals", "smallest_interval_missing"}
OPTION = Option("any", 20.0, None, None, 50.0)


def candidates(block, fresh, seconds):
    """A candidate for each item; a movement has one fresh capacity, and where it is infinite nothing limits it."""
    by_movement, made = {}, []
    for one, available, pace in zip(block.items, fresh, seconds, strict=False):
        available = by_movement.setdefault((one.movement, one.unit), available)
        kind = "none" if math.isinf(available) else ("hold" if one.unit == "hold_s" else "load_repetition")
        made.append(Candidate(OPTION, np.array([available]), kind=kind, seconds_per_unit=pace))
    return made


def played(block, made, multiplier, policy, keep):
    """(scenarios, runs of the compiled simulation, what the naive one tells)."""
    scenarios = make_scenarios(block, made, np.array([multiplier]), to_failure=not keep)
    fresh = {one.key: float(each.fresh[0]) for one, each in zip(block.items, made, strict=True)}
    seconds = {
        one.key: 1.0 if one.unit == "hold_s" else each.seconds_per_unit
        for one, each in zip(block.items, made, strict=True)
    }
    naive = NaiveBlock(
        block, fresh, multiplier, seconds, share=policy.share, own_rest_s=policy.own_rest_s, keep=keep,
        worthwhile=policy.worthwhile,
    )  # fmt: skip
    return scenarios, run_policy(block, scenarios, policy), naive.play()


@given(blocks(), FRESH, SECONDS, st.floats(0.1, 1.5), POLICIES, st.booleans())
@settings(max_examples=examples(60), deadline=None)
def test_the_compiled_simulation_agrees_with_a_naive_one(block, fresh, seconds, multiplier, policy, keep):
    """Same sets, clock, breaks, misses, rounds, later sets and shares under every order, break rule and end."""
    made = candidates(block, fresh, seconds)
    scenarios, runs, told = played(block, made, multiplier, policy, keep)
    sets, clock, _ = trace_policy(block, scenarios, policy, scenarios.people[0], multiplier, 3000)

    keys = [one.key for one in block.items]
    assert [(keys[int(row[0])], row[1]) for row in sets] == [(work, size) for work, size, _ in told.sets]
    assert clock == pytest.approx(told.elapsed)
    found = (runs.breaks[0], runs.misses[0], runs.rounds[0], runs.state[0] == 0)
    assert found == (told.breaks, told.misses, told.rounds, told.finished)
    for number, key in enumerate(keys):
        later, shares = told.later.get(key, []), told.shares.get(key, [])
        ends = (min(later), max(later)) if later else (np.inf, -np.inf)
        assert tuple(runs.sizes[0, number, [LATER_LOW, LATER_HIGH]]) == pytest.approx(ends)
        assert tuple(runs.sizes[0, number, [SHARE_TOTAL, SHARE_SETS]]) == pytest.approx(
            (sum(shares), len(shares))
        )


SCORED = [
    "time",
    "repetitions",
    "rounds",
    "held_time",
    "load",
    "volume_load",
    "intervals",
    "smallest_interval",
]


def written_down(block, trace):
    """The log of a simulated athlete, with what a careful judge notes of each set."""
    sets = tuple(
        SetEntry(
            block.items[int(number)].key, float(amount), "clock" if cut else "planned", float(rest), float(seconds),
            load_kg=20.0, unit=block.items[int(number)].unit,
            interval=int(round_) + 1 if block.rules.order == "intervals" else None,
        )
        for number, amount, rest, seconds, round_, cut, _ in trace
    )  # fmt: skip
    return sets, float(sum(trace[:, 2]) + sum(trace[:, 3]))


@given(blocks(), FRESH, SECONDS, st.floats(0.1, 1.5), POLICIES, st.sampled_from(SCORED), st.integers(0, 3))
@settings(max_examples=examples(60), deadline=None)
def test_a_simulated_plan_written_as_a_log_scores_the_same(
    block, fresh, seconds, multiplier, policy, scored, penalty_repetitions
):
    """Simulate, write down, score: the number of the simulation, and no doubt about what was done."""
    by_the_clock = block.rules.order in ("intervals", "attempts") or block.rules.end.kind == "fixed_time"
    assume(scored != "time" or not by_the_clock)  # a time of what the clock ends is no score
    assume("interval" not in scored or block.rules.order == "intervals")
    block = replace(block, rules=replace(block.rules, scored=scored))
    # No document takes repetitions off rounds of several units.
    added = block.rules.break_rule.penalty == "added" and scored in AMOUNTS and not block.by_progress
    broken = replace(block.rules.break_rule, penalty_repetitions=penalty_repetitions if added else 0)
    block = replace(block, rules=replace(block.rules, break_rule=broken))
    made = candidates(block, fresh, seconds)
    scenarios = make_scenarios(block, made, np.array([multiplier]))
    runs = run_policy(block, scenarios, policy)
    trace, clock, _ = trace_policy(block, scenarios, policy, scenarios.people[0], multiplier, 3000)
    sets, end = written_down(block, trace)
    score = official_score(block, SetLog(sets, max(end, clock)))
    simulated = float(scores_of(block, runs)[0])

    silent_end = block.rules.end.kind == "work_done" and block.rules.end.cap_s is None and runs.state[0]
    if not silent_end:  # the simulation gave up after four hours, which no log tells
        by_clock = block.rules.order == "intervals" or runs.elapsed_s[0] == block.rules.end.limit_s
        owed = {"penalty_not_served"} if by_clock else set()  # the clock lets nobody serve it
        assert {one.code for one in score.findings} <= QUIET | owed
    assert score.breaks == runs.breaks[0]
    assert sum(done for _, done, _ in score.amounts[: len(block.work)]) == pytest.approx(runs.moved[0])
    if block.rules.order in ("intervals", "attempts"):
        assert score.misses == runs.misses[0]
    if score.state == "finished":
        assert score.value == pytest.approx(simulated)
    else:
        assert not math.isfinite(simulated) or (scored, simulated) == ("smallest_interval", 0.0)


def test_the_end_of_an_interval_does_not_end_the_rest_that_a_break_costs():
    """By hand: every minute 40 repetitions of a second; 30 of them fresh and one more in vain, all slower for it,
    until 34.3 s; then a break costs 40 s: until 74.3 s, into the second minute, whose first set cannot begin at 60 s.
    """
    work = (item("a", 40.0),)
    broken = BreakRule("set_ended_early", penalty="served_rest", penalty_s=40.0)
    rules = BlockRules(
        "intervals", broken, EndRule("work_done"), "time", "none", intervals=Intervals(60.0, 2)
    )
    block = Block("main", work, rules, Aim(()))
    scenarios = make_scenarios(block, candidates(block, [30.0], [1.0]), np.array([0.3]))
    trace, _, _ = trace_policy(block, scenarios, Policy(1.0, 0.0), scenarios.people[0], 0.3, 10)
    assert trace[0, 3] == pytest.approx(31.0 * math.e**0.1)
    assert trace[0, 3] + trace[1, 2] == pytest.approx(31.0 * math.e**0.1 + 40.0)
