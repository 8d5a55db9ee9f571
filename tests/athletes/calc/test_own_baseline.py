"""Own-baseline flags: how often they speak when nothing has happened, and whether they do when something has.

The people are drawn here, from a latent state with day-to-day correlation that is rounded to whole steps; the
estimator knows none of it.
"""

from __future__ import annotations

import numpy as np
import pytest

from athletes.calc.charts import weighted_values
from athletes.calc.own_baseline import NEEDED_ANSWERS, flag_of, limits_of
from tests.support.examples import usually


def answers_of(rng, *, days, correlation=0.4, spread=0.8, centre=3.0, shift=0.0, shifted_days=0):
    """Answers 1 to 5 of `days` days; the last shifted_days of the state moved by shift."""
    state, x = np.empty(days), rng.normal(0.0, spread)
    for day in range(days):
        x = correlation * x + rng.normal(0.0, spread * np.sqrt(1.0 - correlation**2))
        state[day] = centre + x
    if shifted_days:
        state[-shifted_days:] += shift
    return np.clip(np.round(state), 1.0, 5.0)


def flags_a_week(people, days, *, correlation, wanted):
    """Flags of people to whom nothing has happened, and what they were told to expect."""
    rng, flagged, told = np.random.default_rng(23), 0, []
    for _ in range(people):
        found = flag_of(answers_of(rng, days=days, correlation=correlation), step=1.0, rng=rng, wanted=wanted)
        flagged += found.side is not None
        told.append(found.limits.false_flags_per_week)
    return 7.0 * flagged / people, float(np.mean(told))


@pytest.mark.parametrize(("days", "correlation"), [(63, 0.0), (120, 0.4)])
def test_false_flags_are_about_as_many_as_told(days, correlation):
    """Of 300 people by `thorough`: the share that is flagged has an SE of 0.13 a week about a rate of 0.9; three of
    them. Else of the first 100.
    """
    people = usually(100, thorough=300)
    happened, told = flags_a_week(people, days, correlation=correlation, wanted=0.7)
    assert 0.4 < told < 1.4
    assert happened == pytest.approx(told, abs=0.4)


def test_flat_limits_of_two_sds_speak_far_more_often():
    """What is avoided: two SDs of four weeks about their mean, one answer at a time."""
    rng, flagged, people = np.random.default_rng(29), 0, usually(80, thorough=200)
    for _ in range(people):
        own = answers_of(rng, days=29)
        flagged += abs(own[-1] - own[:-1].mean()) > 2.0 * own[:-1].std(ddof=1)
    happened, _ = flags_a_week(people, 120, correlation=0.4, wanted=0.1)
    assert 7.0 * flagged / people > 1.5 * happened


@pytest.mark.parametrize(("shift", "side"), [(2.0, "high"), (-2.0, "low")])
def test_a_week_two_steps_away_is_flagged(shift, side):
    """In nine of ten people, on its own side."""
    rng, found = np.random.default_rng(31), []
    for _ in range(100):
        own = answers_of(rng, days=90, spread=0.5, shift=shift, shifted_days=7)
        found.append(flag_of(own, step=1.0, rng=rng).side)
    assert found.count(side) >= 90


def test_one_day_one_step_away_from_equal_answers_is_no_flag():
    """Who always answers 3 has no spread at all; one 4 is one step, which no limit lies below."""
    own = np.full(60, 3.0)
    own[-1] = 4.0
    told = flag_of(own, step=1.0, rng=np.random.default_rng(1))
    assert told.side is None
    assert (told.limits.weighted_limit, told.limits.sum_limit, told.limits.false_flags_per_week) == (
        1.0,
        1.0,
        0.0,
    )


def test_a_run_of_days_one_step_away_is_a_flag():
    own = np.full(60, 3.0)
    own[-4:] = 4.0
    assert flag_of(own, step=1.0, rng=np.random.default_rng(1)).side == "high"


def test_the_worked_fortnight():
    """Two of 18, 19, 17, 20 ... and then a week of 14: far below, whatever the limit."""
    fortnight = [18.0, 19, 17, 20, 18, 19, 18, 17, 19, 20, 18, 19, 18, 17]
    own = np.array(fortnight * 2 + fortnight[:6] + [14.0])
    assert flag_of(own, step=1.0, rng=np.random.default_rng(1)).side == "low"


def test_fewer_than_five_weeks_of_answers_tell_nothing():
    told = flag_of(np.full(NEEDED_ANSWERS - 1, 3.0), step=1.0, rng=np.random.default_rng(1))
    assert (told.limits, told.reason, told.side) == (None, "fewer_than_35_days", None)


def test_the_latest_week_is_none_of_its_own_baseline():
    """Whatever the last seven answers are, the limits stay."""
    own = answers_of(np.random.default_rng(3), days=80)
    other = own.copy()
    other[-7:] = 5.0
    first, second = (flag_of(one, step=1.0, rng=np.random.default_rng(2)).limits for one in (own, other))
    assert first == second == limits_of(own[:-7], step=1.0, rng=np.random.default_rng(2))


def test_a_wider_step_is_a_wider_limit():
    own = answers_of(np.random.default_rng(3), days=80, spread=0.3)
    for step in (0.5, 1.0, 2.0):
        limits = limits_of(own, step=step, rng=np.random.default_rng(2))
        assert limits.weighted_limit >= step and limits.sum_limit >= step


@pytest.mark.parametrize(("step", "wanted"), [(0.0, 0.1), (-1.0, 0.1), (1.0, 0.0), (1.0, 8.0)])
def test_impossible_questions_are_refused(step, wanted):
    with pytest.raises(ValueError, match="positive"):
        flag_of(np.full(50, 3.0), step=step, rng=np.random.default_rng(1), wanted=wanted)


def test_the_weighted_mean_is_the_charts():
    """At the end of the week, by the chart's own recursion."""
    own = answers_of(np.random.default_rng(3), days=80)
    told = flag_of(own, step=1.0, rng=np.random.default_rng(2))
    assert told.weighted == pytest.approx(weighted_values(own[-7:], np.array(own[-35:-7].mean()), 0.3)[-1])


def test_both_charts_together_flag_no_more_often_than_was_asked_for():
    """Each gets half of the rate, so that either flags between half of it and all: in fine steps, where no limit is
    one step at least, of a year of days that do not resemble one another.
    """
    told = []
    for seed in range(8):
        rng = np.random.default_rng(seed)
        own = np.round(rng.normal(3.0, 0.8, 365), 1)
        told.append(limits_of(own, step=0.1, rng=rng, wanted=0.7).false_flags_per_week)
    assert 0.35 < np.mean(told) < 0.7


@pytest.mark.parametrize("step", [0.5, 1.0, 2.0])
def test_the_sums_forget_half_a_step_a_day(step):
    """By hand, in steps about a centre of 3: two days at 5 are 1.5 each, one at 2 takes 1 + 0.5 away, three at 4 add
    0.5 each.
    """
    own = np.concatenate((np.full(40, 3.0), [3.0, 5.0, 5.0, 2.0, 4.0, 4.0, 4.0]))
    told = flag_of(own * step, step=step, rng=np.random.default_rng(1))
    assert (told.sum_high, told.sum_low) == (pytest.approx(3.0 * step), 0.0)
