"""Straight sets of few repetitions are done in one go: a load that breaks them is not the session that was written.

Common practice, no source: who cannot do five sets of five takes less weight, and does not do three and two.
"""

from dataclasses import replace

import numpy as np
import pytest

from athletes.calc.capacity import Observation, estimate_capacity, sample_lifts
from programming.calc.revision import Aim, BreakRule, Ladder
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.forecast import make_scenarios, run_policy
from scoring.calc.in_one_go import (
    BROKEN_COST,
    broken_cost,
    has_straight_sets,
    probably_broken,
    straight_sets,
)
from scoring.calc.next_set import Policy
from scoring.calc.prescribe import prescribe
from scoring.unseen_words import BEGINS
from scoring.words import REASONS
from tests.athletes.calc.histories import BENCH
from tests.scoring.calc.athletes import MULTIPLIER, uniforms
from tests.scoring.calc.orders import item
from tests.scoring.calc.test_shares import straight

MAXIMUM = Observation(0, 100.0, 1.0, "to_failure")
SET_OF_EIGHT = Observation(0, 80.0, 8.0, "to_failure")


def bench(seen, loads):
    """Candidates for the loads of somebody of whom one set to failure is known."""
    known = estimate_capacity(BENCH, [seen], day=2)
    u = uniforms(2, seed=3)
    return [
        Candidate(Option("press", kg, None, None, kg), sample_lifts(known, kg, u).repetitions) for kg in loads
    ]


def codes(result):
    return {one.code for one in result.reasons}


@pytest.mark.parametrize("rest_s", [120.0, 180.0, 300.0])
@pytest.mark.parametrize("window", [(75.0, 90.0), (80.0, 95.0), (85.0, 100.0)])
@pytest.mark.parametrize("seen", [MAXIMUM, SET_OF_EIGHT], ids=["maximum", "eight"])
@pytest.mark.parametrize("repetitions", [3, 5, 6])
def test_five_straight_sets_are_planned_whole_where_the_plates_allow_it(seen, repetitions, window, rest_s):
    """However hard the aim wants them: five sets of the amount that is written, and a load that is no warm-up."""
    written = straight(repetitions, *window)
    written = replace(written, rules=replace(written.rules, rest_between_s=rest_s))
    result = prescribe(written, {"a": bench(seen, np.arange(40.0, 110.0, 2.5))}, multiplier=MULTIPLIER)

    assert result.feasible
    assert [one.amount for one in result.forecast.plan] == [repetitions] * 5
    assert result.chosen[0].option.effective_kg >= 72.5
    assert "sets_may_break" not in codes(result)


def test_where_only_a_load_that_breaks_them_can_be_set_up_it_is_said():
    """One bar of 92.5 kg for somebody who can do it four times."""
    result = prescribe(straight(5, 80.0, 95.0), {"a": bench(MAXIMUM, [92.5])}, multiplier=MULTIPLIER)

    assert result.feasible
    assert ("sets_may_break", "a") in {(one.code, one.work) for one in result.reasons}
    assert "sets_may_break" in REASONS
    assert "lighter one or rests longer" in BEGINS["sets_may_break"]


def test_who_gets_less_than_the_share_for_whole_sets_is_told_so():
    """85 to 100 % five times after a set of eight at 80 kg: two loads of which the heavier one breaks them."""
    result = prescribe(
        straight(5, 85.0, 100.0), {"a": bench(SET_OF_EIGHT, [77.5, 90.0])}, multiplier=MULTIPLIER
    )

    assert result.feasible
    assert result.chosen[0].option.effective_kg == 77.5
    assert "aim_given_up_for_whole_sets" in codes(result)
    assert "between_options" not in codes(result)


def played(block, fresh):
    """Each scenario one person with so many repetitions, and nobody slowly tired."""
    made = [Candidate(Option("press", 60.0, None, None, 60.0), np.array(fresh))]
    return run_policy(block, make_scenarios(block, made, np.zeros(len(fresh))), Policy(1.0, 0.0))


def test_the_cost_is_that_of_the_middle_scenario():
    """Fresh 4.5 for fives: every set is broken; with 20 none is. Of three people the one in the middle decides."""
    block = straight(5, 75.0, 90.0)

    assert broken_cost(block, played(block, [4.5, 4.5, 20.0]).sizes) == pytest.approx(BROKEN_COST)
    assert broken_cost(block, played(block, [4.5, 20.0, 20.0]).sizes) == 0.0
    assert probably_broken(block, played(block, [4.5, 4.5, 20.0])) == ["a"]
    assert probably_broken(block, played(block, [4.5, 20.0, 20.0])) == []


def test_each_item_has_its_own_sets():
    """Of two items the second breaks: it is named, and costs as if there were no other."""
    block = straight(5, 75.0, 90.0)
    both = replace(block, work=(block.work[0], item("b", 5.0)), aim=Aim(()))
    made = [
        Candidate(Option("press", 60.0, None, None, 60.0), np.array([fresh] * 3)) for fresh in (40.0, 4.5)
    ]
    runs = run_policy(both, make_scenarios(both, made, np.zeros(3)), Policy(1.0, 0.0))

    assert probably_broken(both, runs) == ["b"]
    assert broken_cost(both, runs.sizes) == pytest.approx(BROKEN_COST)


def test_where_breaking_is_part_of_the_work_it_costs_nothing():
    """No rest between the rounds, breaks that count, sets of endurance, a chosen amount, seconds, a ladder, another
    order; and what is no main work. Eleven are still done in one go.
    """
    block = straight(5, 75.0, 90.0)
    rules = block.rules
    others = [
        replace(block, rules=replace(rules, rest_between_s=0.0)),
        replace(block, rules=replace(rules, break_rule=BreakRule("set_ended_early", 30.0))),
        straight(12, 75.0, 90.0),
        replace(block, work=(replace(block.work[0], amount=None),)),
        replace(block, work=(replace(block.work[0], unit="hold_s"),)),
        replace(block, rules=replace(rules, ladder=Ladder((1.0, 2.0)))),
        replace(block, rules=replace(rules, order="intervals")),
    ]
    penalised = replace(
        block, rules=replace(rules, break_rule=replace(rules.break_rule, penalty_work=item("p", 5.0)))
    )

    assert has_straight_sets(block) and has_straight_sets(straight(11, 75.0, 90.0))
    assert (straight_sets(penalised, 0), straight_sets(penalised, 1)) == (5, 0)
    assert not any(has_straight_sets(one) for one in others)
    assert [broken_cost(one, played(one, [4.5]).sizes) for one in others[:3]] == [0.0] * 3
