"""Rising loads of attempts: opener, expected heaviest success, who was never seen, what increments force."""

from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.effort import Budget
from scoring.calc.first_set import judge
from scoring.calc.prescribe import prescribe
from scoring.calc.rising import LEAST_TRIED, rising_loads
from scoring.calc.rising_block import foresee_attempts, heaviest_of, may_rise, one_by_one
from tests.scoring.calc.athletes import MULTIPLIER, Athlete
from tests.scoring.calc.rule_blocks import block_of, item
from tests.support.examples import examples

BAR = tuple(float(kg) for kg in np.arange(40.0, 140.0, 2.5))


def day(count=3, amount=1, **fields):
    """Attempts at a load, three minutes apart."""
    return block_of(
        item("a", amount, load_kg=60),
        scored="load",
        order="attempts",
        attempts=count,
        rest_between_s=180,
        **fields,
    )


def lifter(best_kg, log_sd=0.04, *, loads=BAR, **fields):
    """Options of somebody whose median maximum is best_kg: of one version, loads as external ones."""
    able = Athlete(best_kg * np.exp(0.03), log_sd)
    return [
        Candidate(Option("bar", kg, None, None, kg), able.fresh(kg), is_as_written=kg == 60.0, **fields)
        for kg in loads
    ]


def chosen(candidates, block=None):
    """(loads, probabilities, light?)."""
    found = rising_loads(block or day(), judge(candidates, []), MULTIPLIER)
    return (
        [one.option.load_kg for one in found.attempts],
        [one.probability for one in found.attempts],
        found.is_light,
    )


def test_three_singles_of_somebody_who_is_known():
    """A maximum of 100 kg known to 4 %: 90 % is nearly sure, the second safe, the third about even."""
    loads, made, light = chosen(lifter(100.0))
    assert loads[0] == 90.0
    assert loads[0] < loads[1] < loads[2]
    assert 97.5 <= loads[2] <= 105.0
    assert made[0] >= 0.95
    assert made[0] > made[1] > made[2] >= 0.2
    assert not light


@given(st.floats(50.0, 120.0), st.floats(0.02, 0.15), st.integers(1, 3), st.integers(2, 4))
@settings(deadline=None, max_examples=examples(5))
def test_no_other_loads_above_the_opener_are_expected_to_lead_higher(best_kg, log_sd, amount, count):
    """Against all combinations, each simulated: within a thousandth of the best of them."""
    block, options = day(count, amount), lifter(best_kg, log_sd)
    loads, made, _ = chosen(options, block)
    assert all(before < after for before, after in pairwise(loads))
    by_kg = {one.option.load_kg: one for one in options}
    near = [kg for kg in BAR if loads[0] < kg and (by_kg[kg].fresh >= amount).mean() >= LEAST_TRIED][-9:]
    mine = heaviest_of(block, [by_kg[kg] for kg in loads], MULTIPLIER)
    others = [
        heaviest_of(block, [by_kg[kg] for kg in (loads[0], *later)], MULTIPLIER)
        for later in combinations(near, count - 1)
    ]
    assert mine >= max(others, default=0.0) * 0.999
    assert made == sorted(made, reverse=True)


def test_the_expected_heaviest_success_by_hand():
    """Two people, two attempts: one makes both (80 kg), the other the first only (60 kg): 70 kg; nobody: 0."""
    two, block = np.array([0.3, 0.3]), day(2)
    light = Candidate(Option("bar", 60.0, None, None, 60.0), np.array([9.0, 4.0]))
    heavy = Candidate(Option("bar", 80.0, None, None, 80.0), np.array([3.0, 0.5]))
    assert heaviest_of(block, [light, heavy], two) == 70.0
    seen = foresee_attempts(block, [light, heavy], multiplier=two)
    assert seen.probabilities == (1.0, 0.5)
    assert heaviest_of(block, [heavy, heavy], two) == 40.0
    hopeless = replace(heavy, fresh=np.array([0.2, 0.1]))
    assert heaviest_of(block, [hopeless, hopeless], two) == 0.0


def test_attempts_tire():
    """1.2 possible fresh: after a single and no rest worth the name the second is missed, after ten minutes made."""
    one = Candidate(Option("bar", 60.0, None, None, 60.0), np.array([1.2]))
    for rest_s, expected in ((5, (1.0, 0.0)), (600, (1.0, 1.0))):
        block = replace(day(2), rules=replace(day(2).rules, rest_between_s=rest_s))
        assert foresee_attempts(block, [one, one], multiplier=np.array([0.3])).probabilities == expected


def test_the_forecast_is_told_as_the_block_is_written():
    """One item under its own key, each attempt planned as what is attempted."""
    block = day(3)
    options = {one.option.load_kg: one for one in lifter(100.0)}
    seen = foresee_attempts(block, [options[kg] for kg in (90.0, 97.5, 110.0)], multiplier=MULTIPLIER).seen
    assert [(one.work, one.amount, one.interval) for one in seen.forecast.plan] == [("a", 1.0, None)] * 3
    assert [one.rest_before_s for one in seen.forecast.plan] == [0, 180, 180]
    assert [one.work for one in seen.forecast.work] == ["a"]
    assert (seen.forecast.p50, seen.forecast.unit) == (97.5, "kg")
    assert seen.forecast.misses.p50 == 1.0
    assert seen.forecast.stops.work in (None, "a")


def test_somebody_unseen_works_up():
    """Never seen, or not used to it: every load is one that nine in ten make, the first four fifths of the last."""
    loads, made, light = chosen(lifter(100.0, 0.35, is_unseen=True, starts_light=True))
    assert light
    assert loads == sorted(set(loads))
    assert loads[0] == pytest.approx(0.8 * loads[-1], abs=1.25)
    assert (
        chosen(lifter(42.0, 0.35, is_unseen=True))[0] == [BAR[0]] * 3
    )  # none is light enough: the lightest there is
    assert len(chosen(lifter(100.0, is_unseen=True), day(1))[0]) == 1
    assert min(made) >= 0.89  # of fresh ones nine in ten; the attempts before tire
    assert loads[-1] < chosen(lifter(100.0, 0.35))[0][-1]


@pytest.mark.parametrize("amount", [1, 3])
def test_who_must_not_go_to_failure_keeps_three_in_reserve(amount):
    """A maximum of 100 kg known to 3 %, at which nine in ten make 95 kg: three repetitions more than asked must be
    there for nine in ten with the heaviest load, and with no heavier one."""
    options = lifter(100.0, 0.03, below_failure=True)
    loads, made, light = chosen(options, day(3, amount))
    sure = {one.option.load_kg: (one.fresh >= amount + 3).mean() for one in options}
    assert light
    assert loads == sorted(set(loads))
    assert loads[-1] == max(kg for kg, share in sure.items() if share >= 0.9) < 92.5
    assert min(made) >= 0.99


@pytest.mark.parametrize(("best_kg", "offered"), [(30.0, False), (39.0, False), (41.0, True)])
@pytest.mark.parametrize("seen", [{}, {"below_failure": True}, {"is_unseen": True}])
def test_where_a_miss_is_to_be_expected_with_the_lightest_nothing_is_offered(best_kg, offered, seen):
    """The lightest bar is 40 kg."""
    result = prescribe(day(), {"a": lifter(best_kg, 0.04, **seen)}, multiplier=MULTIPLIER)
    codes = [one.code for one in result.reasons]
    assert not result.feasible
    assert bool(result.attempts) is offered
    if not offered:
        assert (codes, result.alternatives) == (["too_hard_at_easiest"], ("choose_easier_movement",))
    else:
        assert codes[0] == "maximal_attempt_needs_coach"


def test_a_load_comes_twice_only_where_increments_force_it():
    """Plates of 20 kg: 80 and 100 are all that is worth trying."""
    coarse = lifter(95.0, 0.04, loads=(40.0, 60.0, 80.0, 100.0, 120.0))
    assert chosen(coarse)[0] == [80.0, 100.0, 100.0]
    assert chosen(lifter(500.0))[0][-1] == BAR[-1]  # stronger than the kit


def test_more_attempts_begin_lower():
    """Six attempts work up from further below, and never repeat a load."""
    loads, _, _ = chosen(lifter(100.0), day(6))
    assert len(set(loads)) == 6
    assert loads[0] < chosen(lifter(100.0))[0][0]
    assert chosen(lifter(100.0), day(1))[0] == [90.0]


def test_the_search_ends_with_its_budget():
    """Twenty attempts of a spent budget: as good as without fatigue, still rising, and said to be coarse."""
    spent = Budget(limit=1.0)
    found = rising_loads(day(20), judge(lifter(100.0), []), MULTIPLIER, spent)
    loads = [one.option.load_kg for one in found.attempts]
    assert loads == sorted(loads)
    assert spent.coarse
    limit = Budget(limit=2e6)
    rising_loads(day(20), judge(lifter(100.0), []), MULTIPLIER, limit)
    assert limit.spent < 2.5e6


def test_where_nothing_rises():
    """Open amounts or attempts, another score, two items, no external load, a single one, nothing at all."""
    single = day().work[0]
    assert not may_rise(replace(day(), work=(replace(single, amount=None),)))
    assert not may_rise(replace(day(), rules=replace(day().rules, attempts=None)))
    assert not may_rise(replace(day(), rules=replace(day().rules, scored="volume_load")))
    assert not may_rise(replace(day(), work=(single, replace(single, key="b"))))
    with pytest.raises(ValueError, match="no attempts that may rise"):
        one_by_one(block_of(("a", 1), scored="time"))
    body = [replace(one, option=replace(one.option, load_kg=None)) for one in lifter(100.0)]
    for options in (body, lifter(95.0, loads=(60.0,)), []):
        assert rising_loads(day(), judge(options, []), MULTIPLIER) is None


def test_loads_are_of_one_version():
    """That as written, whatever else could be loaded."""
    other = [
        replace(one, option=replace(one.option, variation_key="trap"), is_as_written=False)
        for one in lifter(130.0)
    ]
    assert chosen([*lifter(100.0), *other])[0] == chosen(lifter(100.0))[0]
