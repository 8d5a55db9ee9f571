"""Own amounts, caps, work that is new, attempts at a maximum, and sets that stay below failure."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programming.calc.revision import DISTANCE, ENERGY, REPETITIONS, Aim, Intervals, Ladder
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.coupled import counted_seconds
from scoring.calc.prescribe import prescribe
from scoring.calc.volume import capped, scaled, turns
from tests.scoring.calc.athletes import LOADS, MULTIPLIER, Athlete
from tests.scoring.calc.blocks import block, first_set, later_sets, time
from tests.scoring.calc.orders import blocks
from tests.support.examples import examples

BOTH = (first_set(12, 20), first_set(12, 20, "b"))


def prescribed(athlete, conditions, *, novel=(), loads=LOADS, written=4, block_=None, **fields):
    """The prescription of an athlete who is as strong in both movements."""
    candidates = {
        key: athlete.candidates(item=item, written=written, novel=novel, loads=loads)
        for item, key in enumerate("ab")
    }
    return prescribe(block_ or block(conditions=conditions), candidates, multiplier=MULTIPLIER, **fields)


def amounts(result):
    """The amounts of the chosen or closest options."""
    return [one.amount for one in result.chosen or result.closest]


def test_amounts_are_the_coachs_unless_a_condition_on_the_block_gains_clearly():
    """A time out of reach with 60 and 40 repetitions is met with fewer, by one share of all; never without leave."""
    conditions = (*BOTH, time(120, 330))
    as_written = prescribed(Athlete(70.0), conditions)
    own = prescribed(Athlete(70.0), conditions, allow_volume=True)

    assert (as_written.feasible, amounts(as_written)) == (False, [60.0, 40.0])
    assert own.feasible
    assert amounts(own) in ([48.0, 32.0], [40.0, 27.0], [30.0, 20.0])
    assert {one.code for one in own.reasons} == {"own_volume"}
    assert sum(one.amount for one in own.forecast.plan) == sum(amounts(own))
    assert [one.amount_as_written for one in own.chosen] == [False, False]
    served = prescribed(Athlete(70.0), (*BOTH, time(300, 3000)), allow_volume=True)
    assert amounts(served) == amounts(prescribed(Athlete(70.0), BOTH, allow_volume=True)) == [60.0, 40.0]


def test_more_is_only_for_who_is_known_and_not_restrained():
    """A floor of time that only more work reaches: a known athlete gets more, an unknown or restrained one never."""
    conditions = (*BOTH, time(1000, None))
    known = prescribed(Athlete(70.0), conditions, allow_volume=True)
    unsure = prescribed(Athlete(70.0, 0.4), conditions, allow_volume=True)
    restrained = prescribed(Athlete(70.0), conditions, allow_volume=True, volume_caps={"a": 60.0})

    assert sum(amounts(known)) > 100
    assert sum(amounts(unsure)) <= 100
    assert sum(amounts(restrained)) <= 100


@given(st.floats(1, 80), st.floats(1, 80))
@settings(max_examples=examples(8), deadline=None)
def test_a_cap_holds_with_and_without_leave(most_a, most_b):
    """Never more than the cap of an item; the others keep theirs; whole repetitions."""
    caps = {"a": most_a, "b": most_b}
    for allow in (False, True):
        result = prescribed(Athlete(70.0), BOTH, volume_caps=caps, allow_volume=allow)
        for amount, written, most in zip(amounts(result), (60.0, 40.0), caps.values(), strict=True):
            assert amount <= min(written, most)
            assert amount == round(amount)


@given(blocks(), st.floats(1, 200))
@settings(deadline=None)
def test_caps_hold_over_all_rounds(written, most):
    """Every order: the total of a capped item, counted round by round, is within the cap, or the item is named."""
    within, too_much = capped(written, {"a": most})
    item = next(one for one in within.work if one.key == "a")
    times = turns(within, 0)

    if too_much is None:
        assert item.amount is not None
        assert item.amount * times <= most + 1e-6 or times == 0
        assert item.amount <= (written.work[0].amount or most)
    else:
        assert times is None or most / times < 5.0


def test_turns_by_hand():
    """A ladder of 1, 2, 3 asks six times a rung of one; by turns in five intervals of two items: three and two."""
    ladder = block()
    ladder = replace(ladder, rules=replace(ladder.rules, order="ladder", ladder=Ladder((1.0, 2.0, 3.0))))
    by_turns = replace(
        ladder, rules=replace(ladder.rules, order="intervals", ladder=None, intervals=Intervals(60.0, 5, None, True))
    )  # fmt: skip
    endless = replace(ladder, rules=replace(ladder.rules, order="rounds", ladder=None, rounds=None))

    assert turns(ladder, 0) == 6
    assert (turns(by_turns, 0), turns(by_turns, 1)) == (3, 2)
    assert turns(endless, 0) is None


@given(blocks(), st.sampled_from([0.5, 0.67, 0.8, 1.25, 1.5]))
@settings(deadline=None)
def test_shares_give_whole_amounts_and_leave_the_rest_alone(written, share):
    """Work alone is scaled, to whole units of at least one; rules, aim and open amounts stay."""
    other = scaled(written, share)

    assert (other.rules, other.aim) == (written.rules, written.aim)
    for mine, theirs in zip(other.work, written.work, strict=True):
        assert (mine.amount is None) == (theirs.amount is None)
        assert mine.amount is None or (mine.amount == round(mine.amount) and mine.amount >= 1)
        assert mine.amount is None or abs(mine.amount - share * theirs.amount) <= (
            25.0 if theirs.unit == DISTANCE else 5.0
        )


@pytest.mark.parametrize(
    ("unit", "written", "share", "own"),
    [
        (DISTANCE, 250.0, 1.25, 310.0),
        (DISTANCE, 400.0, 1.5, 600.0),
        (DISTANCE, 1000.0, 0.67, 650.0),
        (DISTANCE, 20.0, 0.8, 16.0),
        (DISTANCE, 6.0, 0.5, 3.0),
        (ENERGY, 15.0, 1.25, 19.0),
        (REPETITIONS, 10.0, 1.25, 12.0),
    ],
)
def test_own_amounts_can_be_read_off_a_display(unit, written, share, own):
    """Metres by ten, far ones by fifty; a short way keeps its metres, else it would be as written, or nothing."""
    one = block()
    item = replace(one.work[0], unit=unit, amount=written)
    assert scaled(replace(one, work=(item,)), share).work[0].amount == own


def test_a_cap_below_one_repetition_is_an_answer():
    """Nothing can be prescribed: the reason names the item, the closest is shown, nothing is chosen."""
    result = prescribed(Athlete(70.0), BOTH, volume_caps={"b": 0.4})

    assert (result.feasible, result.chosen) == (False, ())
    assert [(one.code, one.work) for one in result.reasons] == [("cap_below_work", "b")]
    assert result.alternatives == ("give_fixed_amounts_within_the_cap",)


@given(st.floats(40, 140), st.floats(0.05, 0.25))
@settings(max_examples=examples(10), deadline=None)
def test_without_failure_every_planned_set_leaves_a_repetition(strength_kg, log_sd):
    """Returners: no share of 100 % of what is available in any scenario, nor in the plan."""
    result = prescribed(Athlete(strength_kg, log_sd), (*BOTH, later_sets(4)), to_failure=False)
    if not result.feasible:
        return
    middle = {one.work: one.fresh.p50 for one in result.forecast.work}
    first = {}
    for one in result.forecast.plan:
        first.setdefault(one.work, one.amount)

    assert result.forecast.share <= 0.9
    assert all(amount <= int(middle[work] + 0.01) - 1 for work, amount in first.items())


def test_without_failure_no_scenario_takes_all_that_is_available():
    """Share of what is available, in percent, over all scenarios: below 100 always."""
    share = replace(block(), aim=Aim((*BOTH,)))
    from scoring.calc.next_set import Policy
    from scoring.calc.pacing import run_policy
    from scoring.calc.scenarios import make_scenarios
    from scoring.calc.simulation import SHARE_SETS, SHARE_TOTAL

    options = [Athlete(70.0).candidates(item=item)[3] for item in (0, 1)]
    held = run_policy(share, make_scenarios(share, options, MULTIPLIER, to_failure=False), Policy(1.0, 60.0))
    free = run_policy(share, make_scenarios(share, options, MULTIPLIER), Policy(1.0, 60.0))

    means = [(runs.sizes[:, :, SHARE_TOTAL] / runs.sizes[:, :, SHARE_SETS]).max() for runs in (held, free)]
    assert means[0] < 90.0
    assert means[1] == 100.0


def test_what_is_new_and_unsure_is_never_harder_than_written():
    """Novel options of an uncertain athlete above the load as written are ruled out, with the reason."""
    loads, unsure = (40.0, 44.0, 48.0, 53.0, 58.0), Athlete(140.0, 0.45)
    free = prescribed(unsure, BOTH, loads=loads, written=1)
    held = prescribed(unsure, BOTH, loads=loads, written=1, novel={2, 3, 4})

    assert min(one.option.effective_kg for one in free.chosen) > 44.0
    assert max(one.option.effective_kg for one in (held.chosen or held.closest)) <= 44.0
    assert {(one.work, one.variation) for one in held.ruled_out} == {
        (work, f"step_{step}") for work in "ab" for step in (2, 3, 4)
    }
    assert {one.reason for one in held.ruled_out} == {"harder_than_written_new_and_unsure"}


def test_new_and_unsure_work_is_kept_from_failure_and_short():
    """At most four fifths of what is thought available in a set, and three times that in all (ours)."""
    unsure = Athlete(60.0, 0.45)
    result = prescribed(unsure, BOTH, loads=(40.0,), written=0, novel={0}, allow_volume=True)
    fresh = {one.work: one.fresh.p50 for one in result.candidates}

    assert result.feasible
    assert result.forecast.share <= 0.8
    assert all(one.amount <= 3.0 * max(fresh[one.work], 1.0) for one in result.chosen)
    # Nine in ten can do not even one, from which nobody tells whether the window is met: no check set.
    assert {one.code for one in result.reasons} == {"capped_volume"}
    assert result.check_sets == ()


def attempts(scored, amount=1.0):
    """Three attempts at one lift."""
    written = block()
    rules = replace(written.rules, order="attempts", attempts=3, scored=scored, rest_between_s=180.0)
    work = (replace(written.work[0], amount=amount),)
    return replace(written, work=work, rules=rules)


def test_an_attempt_at_a_maximum_is_a_coachs_decision():
    """Infeasible, with the ladder up to about 90 % (four repetitions are possible); a coach may override."""
    lifter = {"a": Athlete(90.0).candidates(written=11, loads=LOADS)}
    result = prescribe(attempts("load"), lifter, multiplier=MULTIPLIER)
    allowed = prescribe(attempts("load"), lifter, multiplier=MULTIPLIER, coach_approved=True)
    (top,) = result.closest
    by_load = {one.option.effective_kg: one.fresh for one in result.candidates}

    assert [one.code for one in result.reasons] == ["maximal_attempt_needs_coach"]
    assert (result.feasible, result.chosen, result.forecast) == (False, (), None)
    assert by_load[top.option.effective_kg].p10 >= 4.0
    assert all(fresh.p10 < 4.0 for load, fresh in by_load.items() if load > top.option.effective_kg)
    # 1RM = S e^-k = 90 e^-0.03 = 87.3 kg.
    assert top.option.effective_kg <= 0.9 * 87.3
    assert result.warm_up == ()  # each load is a version of its own here, and leads up to no other
    assert allowed.feasible
    assert allowed.forecast.unit == "kg"


def test_attempts_far_below_the_maximum_need_nobody():
    """Singles at a load for ten, scored by repetitions: no maximum is tried."""
    easy = {"a": [replace(one, is_as_written=True) for one in Athlete(90.0).candidates(loads=(60.0,))]}
    result = prescribe(attempts("repetitions"), easy, multiplier=MULTIPLIER)

    assert result.feasible
    assert result.forecast.p_finish > 0.99
    assert prescribe(attempts("repetitions", 12.0), easy, multiplier=MULTIPLIER).feasible is False


@pytest.mark.parametrize("kind", ["none", "cyclical"])
def test_work_without_a_curve_is_done_as_written_and_no_first_set_is_foretold(kind):
    """Jumps and skills: nothing local limits them, P of a first set is open with its reason."""
    option = Option("box_jump", None, None, 60.0, 50.0)
    jump = Candidate(
        option, np.full(len(MULTIPLIER), np.inf), is_as_written=True, kind=kind, seconds_per_unit=3.0
    )
    candidates = {"a": [jump], "b": Athlete(70.0).candidates(item=1, written=4)}
    result = prescribe(block(conditions=BOTH), candidates, multiplier=MULTIPLIER)

    assert result.feasible
    assert [(one.probability is None, one.reason) for one in result.conditions] == [
        (True, "no_capacity_model"), (False, None)
    ]  # fmt: skip
    assert result.forecast.work[0].fresh is None
    assert [one.fresh for one in result.candidates if one.work == "a"] == [None]


def test_a_capacity_in_another_unit_limits_nothing():
    """Repetitions do not tell how long a position is held."""
    written = block(conditions=())
    held = replace(written, work=(replace(written.work[0], unit="hold_s"), written.work[1]))
    result = prescribe(
        held,
        {key: Athlete(70.0).candidates(item=item, written=4) for item, key in enumerate("ab")},
        multiplier=MULTIPLIER,
    )

    assert result.forecast.work[0].fresh is None
    assert [one.unit for one in result.forecast.plan if one.work == "a"] == ["hold_s"]


def test_new_and_unsure_work_is_short_without_leave_for_own_amounts():
    """About six are available, eighty are written: eighteen with those of the check set, also without leave; the
    known one does eighty.
    """
    written = block((80, 40), conditions=(first_set(3, 20),))
    unsure = Athlete(36.0, 0.15)
    known = {"b": Athlete(70.0).candidates(item=1, written=4)}
    (one,) = unsure.candidates(loads=(30.0,), novel={0})
    told, seen = (
        prescribe(written, {**known, "a": [replace(one, is_novel=novel)]}, multiplier=MULTIPLIER)
        for novel in (True, False)
    )
    median = float(np.median(one.fresh))

    assert 5.0 < median < 7.0
    assert told.feasible
    (check,) = told.check_sets
    assert amounts(told) == [float(int(3.0 * median)) - check.stop_at, 40.0]
    assert ("capped_volume", "a") in [(reason.code, reason.work) for reason in told.reasons]
    assert amounts(seen) == [80.0, 40.0]


def test_a_cap_outranks_a_floor_of_time():
    """Who returns does the capped amounts, with the P of the time as it was asked; not refused, not given harder
    work to fill the time; an upper bound still refuses.
    """
    caps = {"a": 20.0, "b": 14.0}
    free = prescribed(Athlete(70.0), BOTH, volume_caps=caps)
    floor = prescribed(Athlete(70.0), (*BOTH, time(1500, 3000)), volume_caps=caps)
    open_floor = prescribed(Athlete(70.0), (*BOTH, time(1500, None)), volume_caps=caps)
    too_short = prescribed(Athlete(70.0), (*BOTH, time(1500, None)))
    late = prescribed(Athlete(70.0), (*BOTH, time(20, 30)), volume_caps=caps)

    for result in (floor, open_floor):
        assert result.feasible
        assert amounts(result) == [20.0, 14.0]
        assert [one.option for one in result.chosen] == [one.option for one in free.chosen]
        assert (result.conditions[2].lower, result.conditions[2].probability) == (1500, 0.0)
        assert result.p_all == 0.0
    assert [one.code for one in too_short.reasons] == ["time_out_of_reach"]
    assert [one.code for one in late.reasons] == ["time_out_of_reach"]


def test_a_huge_projected_time_counts_little_more_than_three_times_the_bound():
    """Up to three times the bound as it is, beyond it hardly, but the less hopeless is still the better."""

    seconds = [100.0, 600.0, 1800.0, 18_000.0, 1e6]
    counted = [counted_seconds(one, 3.0 * 600.0) for one in seconds]

    assert counted[:3] == [100.0, 600.0, 1800.0]
    assert counted[3] == pytest.approx(1800 * (1 + 0.1 * np.log(10)))
    assert counted[3] < counted[4] < 2 * 1800
    assert [counted_seconds(one, math.inf) for one in seconds] == seconds
