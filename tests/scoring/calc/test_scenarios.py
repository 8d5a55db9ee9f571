"""Whole scenarios, from tests to failure to the answer; what the trade says is common practice, no source."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from scipy.special import ndtri

from athletes.calc.capacity import Observation, estimate_capacity, sample_lifts
from programming.calc.movement_prior import parse_prior
from programming.calc.revision import (
    Aim,
    AsWritten,
    Block,
    BlockRules,
    BreakRule,
    Condition,
    EndRule,
    WorkItem,
)
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.engine import Engine
from scoring.calc.forecast import forecast_block, make_scenarios
from scoring.calc.prescribe import prescribe
from tests.scoring.calc.athletes import COUNT, MULTIPLIER, uniforms

# Shares of the body mass: Ebben et al. 2011, J Strength Cond Res 25(10):2891-2894 (coefficients from memory).
FLOOR = 0.64
RUNGS = {"hands_61": 0.41, "knees": 0.49, "hands_30": 0.55, "floor": FLOOR, "feet_30": 0.70, "feet_61": 0.74}
# Norm categories as the shipped catalogue takes them: ten repetitions with 0.65 of the body mass, log-SD 0.4.
PRIOR = {
    "l10_per_body_mass": 0.65, "l10_sd": 0.4, "k": 0.0265, "k_cv": 0.19, "asymptote_share": 0.0, "source": "norms",
}  # fmt: skip
U = uniforms(2, seed=5)
Z = ndtri(uniforms(3, seed=6).T)


@lru_cache
def capacity(mass_kg, repetitions):
    """What one test on the floor to failure tells."""
    prior = parse_prior(PRIOR).at(mass_kg)
    return estimate_capacity(
        prior, [Observation(1, FLOOR * mass_kg, float(repetitions), "to_failure")], day=3
    )


def pushing(mass_kg, repetitions, rungs, vest_kg=()):
    """Candidates: the rungs, and the floor with a vest of which three quarters press."""
    known = capacity(mass_kg, repetitions)
    loads = [(rung, None, RUNGS[rung] * mass_kg) for rung in rungs]
    loads += [("floor", kg, FLOOR * mass_kg + 0.75 * kg) for kg in vest_kg]
    return [
        Candidate(
            Option(rung, kg, None, None, load),
            sample_lifts(known, load, U).repetitions,
            is_as_written=rung == "floor" and kg is None,
        )
        for rung, kg, load in loads
    ]


def eighty():
    """Eighty push-ups for time, 30 s added for each break; a first set of 20 to 30 and none under ten."""
    work = (WorkItem("push", "push_up", 80.0, AsWritten("floor")),)
    rules = BlockRules(
        "in_sequence",
        BreakRule("set_ended_early", 30.0),
        EndRule("work_done", cap_s=1800.0),
        "time",
        "fewest_breaks",
    )
    aim = Aim((Condition("first_set", "push", 20.0, 30.0), Condition("later_sets", "push", 10.0, None)))
    return Block("main", work, rules, aim)


def test_six_on_the_floor_means_hands_on_a_high_box_and_a_check_set():
    """62 kg, 6 push-ups: hands at about 60 cm, with a set that settles it."""
    candidates = pushing(62.0, 6, RUNGS)
    result = prescribe(eighty(), {"push": candidates}, multiplier=MULTIPLIER)
    (chosen,), (check,) = result.chosen, result.check_sets

    assert result.feasible
    assert chosen.option.variation_key == check.option.variation_key == "hands_61"
    assert 20 <= result.forecast.work[0].fresh.p50 <= 30
    # At most ten left can be told: with them a stop at 21 tells 20 and 31 alike; over 30 means the knees.
    assert (check.stop_at, check.able_at_least, check.able_at_most) == (21, 20, 30)
    assert check.harder.variation_key == "knees"


def test_twenty_two_on_the_floor_means_the_floor():
    """80 kg, 22 push-ups: as written."""
    result = prescribe(eighty(), {"push": pushing(80.0, 22, RUNGS)}, multiplier=MULTIPLIER)

    assert result.feasible
    assert result.chosen[0].is_as_written


def test_forty_eight_and_a_vest_of_ten_kilograms_is_an_answer_without_a_load():
    """90 kg, 48 push-ups, only a 10 kg vest: too easy at the hardest, and no load is invented."""
    candidates = pushing(90.0, 48, ["hands_61", "hands_30", "floor"], [10.0])
    result = prescribe(eighty(), {"push": candidates}, multiplier=MULTIPLIER)

    assert (result.feasible, result.chosen) == (False, ())
    assert [(one.code, one.work) for one in result.reasons] == [("too_easy_at_hardest", "push")]
    assert result.closest[0].option.load_kg == 10.0
    assert {one.option.load_kg for one in result.candidates} == {None, 10.0}
    assert result.alternatives == ("choose_harder_movement_or_more_repetitions",)


def mixed():
    """Five rounds of 15 calories on a bicycle and 12 presses, for time."""
    work = (
        WorkItem("bike", "bike", 15.0, AsWritten("bike"), unit="energy_kcal"),
        WorkItem("press", "press", 12.0, AsWritten("dumbbell_press")),
    )
    rules = BlockRules("rounds", BreakRule("none"), EndRule("work_done"), "time", "none", rounds=5)
    return Block("main", work, rules, Aim(()))


def mixed_forecast(critical_w, presses, load_kg, aim=()):
    """The forecast: 16 kJ for 15 calories, W' 18 kJ, CP give or take 3 %, W' 10 %, presses 8 %."""
    made = Engine(
        critical_w * np.exp(0.03 * Z[0]), 18_000.0 * np.exp(0.1 * Z[1]), "power", work_j_per_kcal=16_000 / 15
    )
    bike = Candidate(
        Option("bike", None, None, None, 1.0), np.full(COUNT, np.inf), kind="cyclical", engine=made
    )
    press = Candidate(Option("press", load_kg, None, None, load_kg), presses * np.exp(0.08 * Z[2]))
    block = replace(mixed(), aim=Aim(aim))
    answer = prescribe(block, {"bike": [bike], "press": [press]}, multiplier=MULTIPLIER)
    return forecast_block(block, make_scenarios(block, [bike, press], MULTIPLIER)), answer


def test_the_presses_stop_who_rides_strongly_and_lighter_dumbbells_help():
    """CP 280 W, 14 presses with 2 x 15 kg: the local muscle; with 2 x 10 kg (24 presses) far faster."""
    asked = (Condition("stopped_by", None, None, None, "local_muscle"),)
    heavy, answer = mixed_forecast(280.0, 14.0, 30.0, asked)
    light, _ = mixed_forecast(280.0, 24.0, 20.0)

    assert (heavy.stops.by, heavy.stops.work) == ("local_muscle", "press")
    assert heavy.stops.gain > 30
    assert light.p50 < 0.8 * heavy.p50
    assert answer.feasible
    assert answer.conditions[0].probability > 0.9


def test_breath_stops_who_presses_easily_and_lighter_dumbbells_do_not_help():
    """CP 150 W, 35 presses with 2 x 15 kg: breathing; with 2 x 10 kg (48 presses) hardly faster."""
    asked = (Condition("stopped_by", None, None, None, "local_muscle"),)
    heavy, answer = mixed_forecast(150.0, 35.0, 30.0, asked)
    light, _ = mixed_forecast(150.0, 48.0, 20.0)

    assert (heavy.stops.by, heavy.stops.work) == ("breathing", None)
    assert light.p50 > 0.95 * heavy.p50
    assert heavy.stops.gain > heavy.p50 - light.p50
    assert [one.code for one in answer.reasons] == ["stopped_by_something_else"]
    assert not answer.feasible


@pytest.mark.parametrize(
    ("conditions", "unknown"),
    [
        ((Condition("stopped_by", None, None, None, "breathing"),), "no_sustainable_rate"),
        ((Condition("stopped_by", None, None, None, "skill"),), "skill_not_modelled"),
        ((Condition("effort", None, 6.0, 8.0),), "effort_not_modelled"),
    ],
)
def test_what_cannot_be_told_has_a_reason_and_refuses_nothing(conditions, unknown):
    """Without an engine nobody knows what breath does; then P is open with its reason, and p_all too."""
    block = replace(eighty(), aim=Aim(conditions))
    result = prescribe(block, {"push": pushing(80.0, 22, RUNGS)}, multiplier=MULTIPLIER)

    assert result.feasible
    assert (result.conditions[0].probability, result.conditions[0].reason) == (None, unknown)
    assert result.p_all is None
    assert (result.forecast.stops.by, result.forecast.stops.reason) == ("unknown", "no_sustainable_rate")


def test_a_first_set_of_five_is_strength_work_and_the_forecast_says_so():
    """Sets of six and fewer train strength (NSCA guidance, from memory)."""
    floor = [one for one in pushing(62.0, 5, RUNGS) if one.is_as_written]
    hands = [one for one in pushing(62.0, 5, RUNGS) if one.option.variation_key == "hands_61"]
    block = replace(eighty(), aim=Aim((Condition("stopped_by", None, None, None, "strength"),)))
    few, many = (prescribe(block, {"push": options}, multiplier=MULTIPLIER) for options in (floor, hands))

    assert few.feasible
    assert few.conditions[0].probability > 0.99
    assert few.forecast.stops.by == "strength"
    assert [one.code for one in many.reasons] == ["stopped_by_something_else"]


def test_later_sets_stay_near_ten_from_a_first_set_of_twenty_to_thirty():
    """Common practice: from a first set of 20 to 30 later sets stay near ten."""
    result = prescribe(eighty(), {"push": pushing(80.0, 22, RUNGS)}, multiplier=MULTIPLIER)

    assert 8 <= result.forecast.work[0].smallest_later.p50 <= 13
    assert sum(one.amount for one in result.forecast.plan) == 80
