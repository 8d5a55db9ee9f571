"""Lists of sets: a second implementation, what a policy writes down, and what nobody can follow."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from programming.calc.revision import Aim, Block, BlockRules, BreakRule, EndRule, Intervals
from scoring.calc.explicit import FAULTS, ListedSet, ListError, play_list, read_list, run_list
from scoring.calc.forecast import make_scenarios, run_policy
from scoring.calc.next_set import Policy
from scoring.calc.pacing import trace_policy
from scoring.calc.planned_set import AS_LISTED, CUT_SHORT, FELL_SHORT, NOT_BEGUN, ROUND
from scoring.calc.simulation import LATER_HIGH, LATER_LOW, SHARE_SETS, SHARE_TOTAL
from tests.oracles.naive_list import ListMaker, NaiveListBlock, NaiveListEngineBlock
from tests.scoring.calc.orders import blocks, item
from tests.scoring.calc.rule_blocks import block_of
from tests.scoring.calc.rule_blocks import item as work_item
from tests.scoring.calc.test_breath_and_pace import KILOGRAMS, TEMPOS, cast, mixed_blocks
from tests.scoring.calc.test_simulation import FRESH, SECONDS, candidates
from tests.support.examples import examples

SIZES = st.lists(st.integers(1, 20).map(float), min_size=1, max_size=5)
RESTS = st.lists(st.sampled_from([0.0, 7.0, 24.0, 63.0]), min_size=1, max_size=4)
ENDED = {"as listed": AS_LISTED, "short": FELL_SHORT, "cut": CUT_SHORT}


def made_list(block, sizes, rests, most, whole=()):
    """A list that can be followed: [(work, amount, rest, round)]; in intervals of short rests, so that all fit."""
    if block.rules.intervals is not None:
        rests = [min(rest, 1.0) for rest in rests]
    maker = ListMaker(block, sizes, rests, most, whole)
    maker.play()
    return maker.made


def check(block, scenarios, listed, naive):
    """Hold a list against the naive athlete who follows it: the whole, the sizes of the sets, and each set."""
    told = naive.follow(listed).play()
    read = read_list(block, as_sets(block, listed), getattr(naive, "pace", 1.0))
    runs, ended, done = play_list(block, scenarios, read)

    assert read.rows[: read.written, ROUND].tolist() == [number for *_, number in listed]
    assert runs.elapsed_s[0] == pytest.approx(told.elapsed)
    found = (runs.breaks[0], runs.misses[0], runs.rounds[0], runs.state[0] == 0, runs.sets[0])
    assert found == (told.breaks, told.misses, told.rounds, told.finished, len(told.sets))
    for number, key in enumerate(one.key for one in block.items):
        later, shares = told.later.get(key, []), told.shares.get(key, [])
        ends = (min(later), max(later)) if later else (np.inf, -np.inf)
        assert tuple(runs.sizes[0, number, [LATER_LOW, LATER_HIGH]]) == pytest.approx(ends)
        added_up = (sum(shares), len(shares))
        assert tuple(runs.sizes[0, number, [SHARE_TOTAL, SHARE_SETS]]) == pytest.approx(added_up)
    became = [(NOT_BEGUN, 0.0) if one is None else (ENDED[one[0]], one[1]) for one in naive.became]
    assert list(zip(ended[0], done[0], strict=True)) == became


def in_limits(block, listed):
    """Whether the rests alone leave the block unfinished."""
    return sum(rest for _, _, rest, _ in listed) < (block.rules.end.limit_s or 14_400)


def as_sets(block, listed):
    """The same for the compiled simulation."""
    return [
        ListedSet(block.index_of(key), amount, rest, number if block.rules.intervals is not None else None)
        for key, amount, rest, number in listed
    ]


@given(
    blocks(), FRESH, SECONDS, st.floats(0.1, 1.5), SIZES, RESTS, st.integers(1, 60), st.booleans(),
)  # fmt: skip
@settings(max_examples=examples(60), deadline=None)
def test_a_list_is_followed_as_by_a_naive_athlete(
    block, fresh, seconds, multiplier, sizes, rests, most, keep
):
    """Same clock, breaks, misses, sizes and shares, and the same of each set, under every order and break rule."""
    listed = made_list(block, sizes, rests, most)
    assume(in_limits(block, listed))
    made = candidates(block, fresh, seconds)
    scenarios = make_scenarios(block, made, np.array([multiplier]), to_failure=not keep)
    naive = NaiveListBlock(
        block,
        {one.key: float(each.fresh[0]) for one, each in zip(block.items, made, strict=True)},
        multiplier,
        {one.key: 1.0 if one.unit == "hold_s" else each.seconds_per_unit
         for one, each in zip(block.items, made, strict=True)},
        share=1.0, own_rest_s=0.0, keep=keep,
    )  # fmt: skip
    check(block, scenarios, listed, naive)


@given(
    mixed_blocks(), FRESH, KILOGRAMS, SECONDS, TEMPOS, st.floats(0.1, 1.5), SIZES, RESTS, st.integers(1, 60),
    st.booleans(), st.sampled_from([0.8, 1.0, 1.5]),
)  # fmt: skip
@settings(max_examples=examples(60), deadline=None)
def test_beside_machines_a_list_is_followed_with_the_breath_that_is_there(
    made, fresh, kilograms, seconds, tempos, multiplier, sizes, rests, most, keep, pace
):
    """The same of a list of what is lifted and held, the machines ridden in one go."""
    block, found = made
    listed = made_list(block, sizes, rests, most, set(found))
    assume(listed and in_limits(block, listed))
    people, told = cast(block, found, fresh, kilograms, seconds, tempos)
    scenarios = make_scenarios(block, people, np.array([multiplier]), to_failure=not keep)
    naive = NaiveListEngineBlock(
        block, told["fresh"], multiplier, told["seconds"], share=1.0, own_rest_s=0.0, keep=keep,
        machines=told["machines"], watts=told["watts"], pace=pace,
    )  # fmt: skip
    check(block, scenarios, listed, naive)


@pytest.mark.parametrize(
    ("unit", "fresh", "cap_s", "done", "seconds"),
    [
        ("repetitions", 7.4, None, 7.0, 8 * 5.0 * math.e**0.1),  # one of them in vain
        ("repetitions", 12.0, None, 12.0, 12 * 5.0),  # all that is asked: nothing is tried in vain
        ("repetitions", 7.4, 37.0, 7.0, 37.0),  # the clock ends the eighth,
        ("repetitions", 7.4, 33.0, 6.0, 6 * 5.0),  # or the set before there is a failure
        ("hold_s", 7.4, None, 7.0, 7.0),
    ],
)
def test_who_fails_has_tried_one_more_and_is_slower(unit, fresh, cap_s, done, seconds):
    """Twelve are asked, at five seconds a repetition: the first set by hand, as a list and by a policy of share 1."""
    end = None if cap_s is None else ("work_done", cap_s)
    block = block_of(work_item("a", 12, unit), scored="time", end=end)
    scenarios = make_scenarios(block, candidates(block, [fresh], [5.0]), np.array([0.5]))
    for way in (read_list(block, [ListedSet(0, 12.0, 0.0)]), Policy(1.0, 60.0)):
        trace, _, _ = trace_policy(block, scenarios, way, scenarios.people[0], 0.5, 100)
        assert trace[0, 1] == done
        assert trace[0, 3] == pytest.approx(seconds)


@given(
    blocks(), FRESH, SECONDS, st.floats(0.1, 1.5), st.floats(0.3, 0.95), st.floats(0, 200),
    st.sampled_from([0.0, 0.25]),
)  # fmt: skip
@settings(max_examples=examples(60), deadline=None)
def test_what_a_policy_writes_down_comes_out_the_same_as_a_list(
    block, fresh, seconds, multiplier, share, own_rest_s, worthwhile
):
    """A policy that never goes to failure, traced in the one scenario there is."""
    policy = Policy(share, own_rest_s, 1.0, worthwhile)
    scenarios = make_scenarios(block, candidates(block, fresh, seconds), np.array([multiplier]))
    trace, _, _ = trace_policy(block, scenarios, policy, scenarios.people[0], multiplier, 3000)
    by_policy = run_policy(block, scenarios, policy)
    # What the clock or the policy leaves open is made up by who follows a list.
    assume(0 < len(trace) <= 400 and by_policy.state[0] == 0 and block.rules.end.kind == "work_done")
    sets = [ListedSet(int(row[0]), row[1], row[2], int(row[4])) for row in trace]
    by_list = run_list(block, scenarios, sets)

    for name in ("breaks", "done", "moved", "rounds", "misses", "smallest", "heaviest", "state", "sets"):
        assert getattr(by_list, name) == pytest.approx(getattr(by_policy, name)), name
    assert by_list.elapsed_s == pytest.approx(by_policy.elapsed_s)
    assert by_list.sizes == pytest.approx(by_policy.sizes)


@given(blocks(), FRESH, SECONDS, st.floats(0.1, 1.5), SIZES, RESTS, st.integers(1, 60))
@settings(max_examples=examples(40), deadline=None)
def test_nothing_is_lost_or_won(block, fresh, seconds, multiplier, sizes, rests, most):
    """Who finishes has done all that is asked; no set is larger than the list says, and none is told to be."""
    listed = made_list(block, sizes, rests, most)
    assume(in_limits(block, listed))
    scenarios = make_scenarios(block, candidates(block, fresh, seconds), np.full(2, multiplier)[:1])
    read = read_list(block, as_sets(block, listed))
    runs, ended, done = play_list(block, scenarios, read)

    amounts = np.array([amount for _, amount, _, _ in listed])
    assert (done[0] <= amounts).all()
    assert (done[0][ended[0] == AS_LISTED] == amounts[ended[0] == AS_LISTED]).all()
    assert (done[0][ended[0] == NOT_BEGUN] == 0).all()
    done_for_itself = block.rules.end.kind == "work_done" and block.rules.order not in (
        "intervals",
        "attempts",
    )
    if done_for_itself and runs.state[0] == 0:
        asked = sum(one.amount for one in block.work) * sum(
            1.0 if block.rules.ladder is None else rung(block, n) for n in range(block.rules.repeats)
        )
        assert runs.moved[0] == pytest.approx(asked)


def rung(block, number):
    """What the amounts of a round are multiplied by."""
    ladder = block.rules.ladder
    beyond = number - len(ladder.amounts) + 1
    return ladder.amounts[number] if beyond <= 0 else ladder.amounts[-1] + beyond * (ladder.then_step or 0)


def sequence(*items, **fields):
    """A block of items in sequence without a cap."""
    end = fields.pop("end", EndRule("work_done"))
    rules = BlockRules(fields.pop("order", "in_sequence"), BreakRule("none"), end, "time", "none", 1)
    return Block("main", items, replace(rules, **fields), Aim(()))


def test_a_set_that_is_not_there_goes_to_failure_and_is_made_up():
    """By hand: 12 fresh; 15 planned gives 12, and 18 left are made up in sets of at most 15."""
    block = sequence(item("a", 30.0))
    scenarios = make_scenarios(block, candidates(block, [12.0], [2.0]), np.array([0.5]))
    runs, ended, done = play_list(
        block, scenarios, read_list(block, [ListedSet(0, 15.0, 0.0), ListedSet(0, 15.0, 600.0)])
    )
    assert ended[0].tolist() == [FELL_SHORT, FELL_SHORT]
    assert done[0, 0] == 12.0 and 8.0 <= done[0, 1] < 12.0
    assert runs.state[0] == 0 and runs.moved[0] == 30.0 and runs.sets[0] > 2


def test_who_has_it_all_does_the_list_to_the_second():
    """By hand: 20 at 2 s, 30 s of rest, 20 at 2 s: 110 s; then nothing is left."""
    block = sequence(item("a", 40.0))
    scenarios = make_scenarios(block, candidates(block, [math.inf], [2.0]), np.array([0.5]))
    runs = run_list(block, scenarios, [ListedSet(0, 20.0, 0.0), ListedSet(0, 20.0, 30.0)])
    assert (runs.elapsed_s[0], runs.sets[0], runs.state[0]) == (110.0, 2, 0)


def test_open_work_goes_on_with_the_last_set_and_rest():
    """By hand: sets of 5 (10 s) after 10 s until 100 s: 5 at 0, 20, 40, 60, 80 s: 25."""
    block = sequence(item("a", None), end=EndRule("fixed_time", time_s=100.0))
    scenarios = make_scenarios(block, candidates(block, [math.inf], [2.0]), np.array([0.5]))
    runs = run_list(block, scenarios, [ListedSet(0, 5.0, 0.0), ListedSet(0, 5.0, 10.0)])
    assert (runs.moved[0], runs.sets[0]) == (25.0, 5)


ROUNDS = sequence(item("a", 10.0), item("b", 5.0), order="rounds", rounds=3)
SWAP = sequence(
    item("a", 10.0), item("b", 10.0), order="swap_on_break", break_rule=BreakRule("set_ended_early")
)
SHORT = sequence(item("a", 10.0), end=EndRule("work_done", cap_s=60.0))
TIMED = sequence(item("a", 10.0), item("b", 5.0), order="intervals", intervals=Intervals(60.0, 2, None))


@pytest.mark.parametrize(
    ("block", "sets", "code", "number"),
    [
        (ROUNDS, [], "no_sets", 0),
        (ROUNDS, [(0, 1.0, 0.0)] * 501, "too_many_sets", 501),
        (ROUNDS, [(0, 10.0, 0.0), (1, 0.0, 5.0)], "amount_not_positive", 2),
        (ROUNDS, [(0, math.nan, 0.0)], "amount_not_positive", 1),
        (ROUNDS, [(0, math.inf, 0.0)], "amount_not_positive", 1),
        (ROUNDS, [(0, 5.0, 0.0), (0, 5.0, -1.0)], "rest_is_none", 2),
        (ROUNDS, [(0, 5.0, math.nan)], "rest_is_none", 1),
        (ROUNDS, [(0, 10.0, 0.0), (0, 10.0, 5.0), (1, 5.0, 5.0)], "not_its_turn", 2),
        (ROUNDS, [(0, 11.0, 0.0)], "more_than_left", 1),
        (ROUNDS, [(0, 10.0, 0.0), (1, 5.0, 0.0)] * 3 + [(0, 10.0, 0.0)], "after_the_end", 7),
        (SWAP, [(0, 5.0, 0.0), (0, 5.0, 0.0), (1, 5.0, 0.0)], "not_its_turn", 2),
        (SHORT, [(0, 5.0, 0.0), (0, 5.0, 61.0)], "rests_too_long", 2),
        (TIMED, [(0, 10.0, 0.0, 1), (1, 5.0, 0.0, 0)], "not_its_turn", 2),
        (TIMED, [(0, 10.0, 0.0), (1, 5.0, 0.0)] * 3, "after_the_end", 5),
    ],
)  # fmt: skip
def test_a_list_that_nobody_can_follow_is_refused_with_its_set(block, sets, code, number):
    """Each with its code and the number of the set."""
    with pytest.raises(ListError) as raised:
        read_list(block, [ListedSet(*one) for one in sets])
    assert (raised.value.code, raised.value.number) == (code, number)
    assert code in FAULTS


def test_what_the_last_round_does_is_repeated_behind_it():
    """A list of one round of three: 4 and 6 in each, every set as wished by who has it all."""
    scenarios = make_scenarios(ROUNDS, candidates(ROUNDS, [math.inf] * 2, [1.0, 1.0]), np.array([0.5]))
    listed = [ListedSet(0, 4.0, 0.0), ListedSet(0, 6.0, 20.0), ListedSet(1, 5.0, 10.0)]
    runs = run_list(ROUNDS, scenarios, listed)
    # 15 s of work and 30 s of rests a round, and five seconds between rounds, where the list has no rest.
    assert (runs.sets[0], runs.elapsed_s[0]) == (9, 3 * 45.0 + 2 * 5.0)
