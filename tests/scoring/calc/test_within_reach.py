"""What is known of a version takes the chance of those on its far side away; an answer never misses it knowingly."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programming.calc.revision import Aim, Condition
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.first_set import best_alone, infeasibility, judge, within_reach
from scoring.calc.loss import Window
from scoring.calc.prescribe import prescribe
from tests.scoring.calc.athletes import COUNT, MULTIPLIER, Athlete
from tests.scoring.calc.blocks import block, first_set, later_sets, time
from tests.support.examples import examples

WINDOW = (Window(12.0, 22.0, True),)
BOTH = (first_set(12, 22), first_set(12, 22, "b"))
DRAWS = np.random.default_rng(4).normal(size=COUNT)


def option(kg, median, log_sd, *, written=False):
    """An option with a log-normal number of repetitions."""
    name = Option(f"rung_{kg:g}", None, None, None, float(kg))
    return Candidate(name, median * np.exp(log_sd * DRAWS), is_as_written=written)


def test_too_easy_for_sure_leaves_no_chance_to_what_is_easier():
    """33 repetitions tested at 44 kg, a window of 12 to 22: 31 kg is no answer, however wide its spread."""
    judged = judge([option(44, 33.0, 0.05, written=True), option(31, 48.0, 0.6)], WINDOW)

    assert max(one.probability for one in judged) >= 0.05
    assert [one.candidate.option.effective_kg for one in within_reach(judged, WINDOW)] == [44.0]
    assert infeasibility("a", judged, WINDOW).code == "too_easy_at_hardest"
    harder = judge([one.candidate for one in judged] + [option(57, 20.0, 0.5)], WINDOW)
    assert infeasibility("a", harder, WINDOW) is None
    assert best_alone(harder, WINDOW).candidate.option.effective_kg == 57.0


@given(
    st.lists(
        st.tuples(st.integers(20, 90), st.floats(0.5, 60), st.floats(0.01, 0.8)),
        min_size=1,
        max_size=8,
        unique_by=lambda made: made[0],
    )
)
@settings(deadline=None)
def test_only_what_lies_beyond_a_sure_miss_is_left_out(made):
    """In plain loops: an option is left out exactly when a sure one says so from its side."""
    judged = judge([option(*one) for one in made], WINDOW)
    kept = {one.candidate.option.effective_kg for one in within_reach(judged, WINDOW)}
    for one in judged:
        kg, beyond = one.candidate.option.effective_kg, False
        for other in judged:
            other_kg = other.candidate.option.effective_kg
            known = not other.uncertain
            beyond |= known and int(other.spread.p10) > 22 and kg < other_kg
            beyond |= known and other.spread.p90 < 12 and kg > other_kg
        assert (kg in kept) != beyond


@given(st.floats(35, 140), st.floats(0.02, 0.5), st.floats(100, 900), st.booleans())
@settings(max_examples=examples(10), deadline=None)
def test_what_is_prescribed_has_a_chance_in_every_first_set(strength_kg, log_sd, most_s, allow_volume):
    """Whatever the other conditions ask: a feasible answer has a chance of one in twenty there."""
    conditions = (*BOTH, later_sets(5), time(60, most_s))
    candidates = {
        key: Athlete(strength_kg, log_sd).candidates(item=item, written=4) for item, key in enumerate("ab")
    }
    result = prescribe(
        block(conditions=conditions), candidates, multiplier=MULTIPLIER, allow_volume=allow_volume
    )

    if result.feasible:
        assert all(one.probability >= 0.05 for one in result.conditions if one.kind == "first_set")


@pytest.mark.parametrize(
    ("asked", "code"),
    [
        (Condition("score", None, 100.0, None), "score_out_of_reach"),
        (Condition("share_of_available", "a", None, 20.0), "share_out_of_reach"),
    ],
)
def test_scores_and_shares_can_be_out_of_reach(asked, code):
    """A hundred repetitions in two minutes, sets of a fifth of what is available: refused with the reason."""
    written = block((400, 400))
    rules = replace(
        written.rules, scored="repetitions", break_rule=replace(written.rules.break_rule, penalty_s=0.0)
    )
    written = replace(
        written, rules=replace(rules, end=replace(rules.end, cap_s=120.0)), aim=Aim((*BOTH, asked))
    )
    candidates = {key: Athlete(70.0).candidates(item=item, written=4) for item, key in enumerate("ab")}
    result = prescribe(written, candidates, multiplier=MULTIPLIER)

    assert not result.feasible
    assert [one.code for one in result.reasons] == [code]
    assert result.conditions[2].probability < 0.25


def test_holds_are_windows_of_seconds_with_a_check_set_in_seconds():
    """A hold of 30 to 60 s: the load that gives it, and for a newcomer a check set that is stopped in seconds: at 51,
    since 61 are too many and no more than ten are told to be left.
    """
    written = block(conditions=(first_set(30, 60),))
    written = replace(written, work=(replace(written.work[0], unit="hold_s", amount=180.0), written.work[1]))
    held = [
        replace(option(kg, 40.0 * (40.0 / kg) ** 2, 0.45), kind="hold")
        for kg in (20.0, 30.0, 40.0, 55.0, 80.0)
    ]
    squats = Athlete(70.0).candidates(item=1, written=4)
    result = prescribe(written, {"a": held, "b": squats}, multiplier=MULTIPLIER)
    (check,) = result.check_sets

    assert result.feasible
    assert result.chosen[0].option.effective_kg in (30.0, 40.0)
    assert (check.unit, check.stop_at, check.reserve_at_least) == ("hold_s", 51, 60 - 51)
    assert (check.able_at_least, check.able_at_most) == (30, 60)
    assert {one.unit for one in result.forecast.plan if one.work == "a"} == {"hold_s"}
    assert sum(one.amount for one in result.forecast.plan if one.work == "a") == 180
