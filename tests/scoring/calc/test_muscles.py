"""Movements that share muscle groups inside a block: a second implementation, merged groups, facts of the trade."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programming.calc.revision import Aim, Block, BlockRules, BreakRule, EndRule
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.forecast import make_scenarios, run_policy
from scoring.calc.muscles import muscle_weights
from scoring.calc.next_set import Policy
from scoring.calc.pacing import trace_policy
from tests.oracles.naive_groups import NaiveGroups
from tests.scoring.calc.orders import blocks, item
from tests.scoring.calc.test_simulation import FRESH, POLICIES, SECONDS, candidates
from tests.support.examples import examples

WEIGHT = st.one_of(st.just(1.0), st.floats(0.05, 1.0))
GROUPS = st.dictionaries(st.sampled_from("abcde"), WEIGHT, min_size=1, max_size=4)
PER_UNIT = st.floats(0.005, 0.1)


@given(
    blocks(), FRESH, SECONDS, st.floats(0.1, 1.5), POLICIES, st.booleans(),
    st.lists(GROUPS, min_size=4, max_size=4), st.lists(PER_UNIT, min_size=4, max_size=4),
)  # fmt: skip
@settings(max_examples=examples(40), deadline=None)
def test_shared_muscles_agree_with_a_naive_body(
    block, fresh, seconds, multiplier, policy, keep, groups, per_unit
):
    """Same sets and clock, whatever the movements share."""
    made = candidates(block, fresh, seconds)
    taken, units = {}, {}
    for index, one in enumerate(block.items):
        of = groups[index]
        taken.setdefault(one.movement, {name: weight / max(of.values()) for name, weight in of.items()})
        units.setdefault(one.movement, per_unit[index])
    made = [
        replace(one, groups=tuple(taken[of.movement].items()), per_unit=np.array([units[of.movement]]))
        for of, one in zip(block.items, made, strict=True)
    ]
    scenarios = make_scenarios(block, made, np.array([multiplier]), to_failure=not keep)
    sets, clock, _ = trace_policy(block, scenarios, policy, scenarios.people[0], multiplier, 3000)

    keys = [one.key for one in block.items]
    naive = NaiveGroups(
        block,
        {key: float(one.fresh[0]) for key, one in zip(keys, made, strict=True)},
        multiplier,
        {
            key: 1.0 if of.unit == "hold_s" else one.seconds_per_unit
            for key, of, one in zip(keys, block.items, made, strict=True)
        },
        share=policy.share, own_rest_s=policy.own_rest_s, keep=keep, worthwhile=policy.worthwhile,
        groups={key: {**of, f"of {key}": 1.0} for key, of in taken.items()}, per_unit=units,
    ).play()  # fmt: skip
    assert [(keys[int(row[0])], row[1]) for row in sets] == [(work, size) for work, size, _ in naive.sets]
    assert clock == pytest.approx(naive.elapsed)


OPTION = Option("any", 20.0, None, None, 50.0)
ROUNDS = Block(
    "main",
    (item("a", 10.0), item("b", 10.0)),
    BlockRules("rounds", BreakRule("none"), EndRule("work_done"), "time", "none", rounds=3),
    Aim(()),
)


@given(st.lists(GROUPS, min_size=2, max_size=2))
def test_merged_groups_tell_the_same(groups):
    """What work takes of work is the product of their weights, summed over the groups, merged or not."""
    made = [Candidate(OPTION, np.array([12.0]), groups=tuple(one.items())) for one in groups]
    names = sorted({name for one in groups for name in one})
    whole = np.array([[one.get(name, 0.0) / max(one.values()) for name in names] for one in groups])
    whole = np.hstack([whole, np.eye(2)])  # and what each has to itself

    merged = muscle_weights(ROUNDS, made)
    assert merged @ merged.T == pytest.approx(whole @ whole.T, rel=1e-6)
    assert merged.shape[1] <= len(names) + 2


def test_one_movement_has_one_group():
    same = (("lats", 1.0), ("biceps", 0.5), ("grip", 0.25))
    made = [Candidate(OPTION, np.array([12.0]), groups=same)] * 2
    twice = replace(ROUNDS, work=(item("a", 10.0), item("b", 5.0, movement="movement_a")))
    assert muscle_weights(twice, made).shape == (2, 1)
    with pytest.raises(ValueError, match="must be positive"):
        muscle_weights(ROUNDS, [Candidate(OPTION, np.array([12.0]), groups=(("lats", 0.0),))] * 2)


def test_work_that_nothing_limits_takes_no_muscles():
    """Rowing on the machine has no set that fails, so there is nothing of which it could take a share."""
    endless = Candidate(OPTION, np.array([np.inf]), kind="cyclical", groups=(("lats", 1.0),))
    rows = Candidate(OPTION, np.array([12.0]), groups=(("lats", 1.0),))
    found = muscle_weights(ROUNDS, [endless, rows])
    assert not found[0].any()
    assert found[1].any()


def test_pairing_pulls_with_pushes_is_quicker_than_two_pushes():
    """Common practice, no source: work in turns that shares no muscles rests the one while the other works."""
    press = (("chest", 1.0), ("triceps", 0.9), ("front_delts", 0.5))
    pull = (("lats", 1.0), ("biceps", 0.8), ("rear_delts", 0.5))
    many = np.full(64, 12.4)

    def minutes(first):
        made = [
            Candidate(OPTION, many, per_unit=0.03, groups=first),
            Candidate(OPTION, many, per_unit=0.03, groups=press),
        ]
        scenarios = make_scenarios(ROUNDS, made, np.full(64, 0.5))
        return run_policy(ROUNDS, scenarios, Policy(0.9, 20.0)).elapsed_s.mean()

    assert 1.1 < minutes(press) / minutes(pull) < 3.0


def test_heavy_squats_between_many_light_ones_take_minutes_and_not_the_day():
    """Four rounds of three squats of five and a half and forty of sixty without a load: a quarter of an hour, about
    (common practice, no source), and more than if the light ones tired nothing but themselves.
    """
    rounds = replace(ROUNDS, work=(item("a", 3.0), item("b", 40.0)), rules=replace(ROUNDS.rules, rounds=4))
    legs = (("quads", 1.0), ("glutes", 0.7))

    def minutes(of_light):
        made = [
            Candidate(OPTION, np.full(64, 5.5), per_unit=0.03, groups=legs),
            Candidate(OPTION, np.full(64, 60.0), per_unit=0.025, groups=of_light),
        ]
        return (
            run_policy(
                rounds, make_scenarios(rounds, made, np.full(64, 0.5)), Policy(0.9, 20.0)
            ).elapsed_s.mean()
            / 60
        )

    assert 10.0 < minutes(legs) < 25.0
    assert minutes(legs) > minutes((("calves", 1.0),)) + 2.0
