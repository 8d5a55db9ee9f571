"""A result held against its frozen forecast: by hand, and against scipy for distributions that are known."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy import stats

from athletes.calc.constants import RIR_BIAS_SD
from athletes.calc.observation import rir_noise
from scoring.calc.attempt import SetEntry, SetLog, Totals
from scoring.calc.forecast import FRESH_LEVELS, LEVELS, BlockForecast, Spread, WorkForecast
from scoring.calc.held_against import Table, draw_of, hold_first_set, hold_score, span, table_of
from scoring.calc.score import official_score
from tests.scoring.calc.blocks import block
from tests.support.examples import examples

# 12 to 20 fresh rows, one in ten beyond either end of 13 to 19.
POINTS = (12.0, 13.0, 14.0, 16.0, 18.0, 19.0, 20.0)
PART = WorkForecast("a", Spread(13.0, 16.0, 19.0), None, None, fresh_quantiles=POINTS)
NO_SPREAD = Spread(0.0, 0.0, 0.0)


def a_set(amount, ended_by="failure", rir=None, unit="repetitions"):
    return SetEntry("a", amount, ended_by=ended_by, rir=rir, unit=unit)


def foreseen(quantiles, *, unit="s", better="lower", p_finish=1.0):
    """A forecast of a score."""
    return BlockForecast(
        tuple(quantiles), p_finish, NO_SPREAD, 0.8, 60.0, (), (), 1000, unit=unit, better=better
    )


def a_score(state="finished", value=600.0, unit="s"):
    log = SetLog((a_set(3),), 100.0)
    return replace(official_score(block(), log), state=state, value=value, unit=unit)


SCORED = a_score(unit="repetitions")


def test_a_count_to_failure_lies_between_itself_and_the_next():
    """16 and not 17: from the middle to half way to the 75 % point; foreseen were 16, shown 16 and a half."""
    held = hold_first_set(a_set(16), PART, 0.5)

    assert (held.kind, held.low, held.high) == ("shown", 0.5, pytest.approx(0.625))
    assert held.position == pytest.approx(0.5625)
    assert (held.done, held.median, held.difference) == (16.0, 16.0, 0.5)
    assert hold_first_set(a_set(16, "planned", rir=0), PART, 0.5) == held


def test_outside_of_the_points_only_the_side_is_known():
    """Below 2.5 %, above 97.5 %; where the 2.5 % point is reached, from the middle of what lies below it."""
    low, high = hold_first_set(a_set(4), PART, 0.2), hold_first_set(a_set(31), PART, 0.2)
    assert (low.low, low.high, low.position) == (0.0, 0.025, pytest.approx(0.005))
    assert (high.low, high.high, high.position) == (0.975, 1.0, pytest.approx(0.98))
    assert hold_first_set(a_set(11), PART, 0.2).low == pytest.approx(0.0125)
    assert hold_first_set(a_set(11), PART, 0.2).high == 0.025


def test_seconds_have_no_next_one():
    """A hold of 14 s lies at its point, and is 2 s short."""
    part = replace(PART, unit="hold_s")
    held = hold_first_set(a_set(14.0, unit="hold_s"), part, 0.9)
    assert (held.low, held.high, held.position, held.difference) == (0.25, 0.25, 0.25, -2.0)
    stopped = hold_first_set(a_set(14.0, "planned", rir=2, unit="hold_s"), part, 0.9)
    assert (stopped.kind, stopped.low, stopped.difference) == ("at_least", 0.25, None)


@pytest.mark.parametrize("ended_by", ["planned", "clock", "other"])
def test_a_set_that_was_stopped_shows_a_least(ended_by):
    """14 at least: anywhere above the 25 % point, and no difference."""
    held = hold_first_set(a_set(14, ended_by), PART, 0.7)
    assert (held.kind, held.low, held.high, held.position) == ("at_least", 0.25, 1.0, 0.25)
    assert held.difference is None


@pytest.mark.parametrize("ended_by", ["pain", "no_rep"])
def test_what_pain_or_a_judge_ended_shows_nothing(ended_by):
    assert hold_first_set(a_set(14, ended_by), PART, 0.5) is None


def test_what_was_not_foreseen_is_not_held_against_it():
    """Nothing local limits it, another unit, or a forecast that tells three points only."""
    assert hold_first_set(a_set(14), replace(PART, fresh_quantiles=None), 0.5) is None
    assert hold_first_set(a_set(14.0, unit="hold_s"), PART, 0.5) is None


def test_a_reserve_is_judged_by_the_error_of_such_words():
    """12 with 3 in reserve are 16 about; a narrow forecast of 16 is neither high nor low then, and of 10 too low."""
    sure = replace(PART, fresh_quantiles=(15.7, 15.8, 15.9, 16.0, 16.1, 16.2, 16.3))
    held = hold_first_set(a_set(12, "planned", rir=3), sure, 0.5)
    assert (held.kind, held.done, held.difference) == ("told", 16.0, 0.0)
    assert held.position == pytest.approx(0.5, abs=0.01)
    error = np.hypot(rir_noise(12.0, 3.0), RIR_BIAS_SD)
    more = hold_first_set(a_set(14, "planned", rir=3), sure, 0.5)
    error_more = np.hypot(rir_noise(14.0, 3.0), RIR_BIAS_SD)
    assert more.position == pytest.approx(stats.norm.cdf(2.0 / error_more), abs=0.03)
    between = stats.norm.cdf(0.5 / error) - stats.norm.cdf(-0.5 / error)
    assert held.high - held.low == pytest.approx(between, abs=0.05)


def test_a_time_lies_at_its_point_and_ties_take_what_they_have():
    """Half way between two points; five scenarios in ten at one time reach half way to the levels beside them."""
    even = [500.0 + 10.0 * step for step in range(21)]
    held = hold_score(a_score(value=505.0), foreseen(even), 0.3)
    assert (held.low, held.high) == (pytest.approx(0.0375), pytest.approx(0.0375))
    assert (held.done, held.median, held.difference) == (505.0, 600.0, -95.0)
    tied = [500.0] * 6 + [600.0] * 10 + [700.0] * 5
    held = hold_score(a_score(value=600.0), foreseen(tied), 0.5)
    assert (held.low, held.high) == (pytest.approx(0.275), pytest.approx(0.775))
    assert held.position == pytest.approx(0.525)


def test_a_counted_score_reaches_half_way_to_the_next():
    """101 repetitions between 100 and 102: what lies between 100.5 and 101.5."""
    quantiles = [90.0 + step for step in range(0, 42, 2)]
    held = hold_score(
        a_score(value=101.0, unit="repetitions"),
        foreseen(quantiles, unit="repetitions", better="higher"),
        0.5,
    )
    assert (held.low, held.high) == (pytest.approx(0.2625), pytest.approx(0.2875))
    assert held.difference == -9.0


def test_who_does_not_finish_lies_above_all_who_do():
    """Six in ten finish; somebody is slower than all of them who were foreseen to."""
    cut = [500.0 + 10.0 * step for step in range(13)] + [None] * 8
    frozen = foreseen(cut, p_finish=0.62)
    capped = hold_score(a_score("capped", 120.0, "repetitions"), frozen, 0.5)
    assert (capped.low, capped.high, capped.position) == (0.62, 1.0, pytest.approx(0.81))
    assert (capped.done, capped.difference) == (None, None)
    late = hold_score(a_score(value=900.0), frozen, 0.5)
    assert (late.low, late.high) == (0.6, 0.62)
    assert hold_score(a_score(value=510.0), frozen, 0.5).difference is None
    none = foreseen([None] * 21, p_finish=0.0)
    assert hold_score(a_score(value=900.0), none, 0.5).position == 0.0
    assert hold_score(a_score("capped", 120.0, "repetitions"), none, 0.5).high == 1.0


def test_who_lifts_nothing_lies_below_all_who_do():
    """Three in twenty lift nothing; where all were to, a lift is beyond what was foreseen."""
    frozen = foreseen([None] * 3 + [100.0] * 10 + [105.0] * 8, unit="kg", better="higher", p_finish=0.4)
    missed = hold_score(a_score("no_mark", None, None), frozen, 0.5)
    assert (missed.low, missed.high) == (0.0, pytest.approx(0.125))
    lifted = hold_score(a_score(value=105.0, unit="kg"), frozen, 0.5)
    assert (lifted.low, lifted.high) == (pytest.approx(0.625), pytest.approx(0.9875))
    nothing = foreseen([None] * 21, unit="kg", better="higher", p_finish=0.0)
    assert hold_score(a_score(value=105.0, unit="kg"), nothing, 0.5).low == 0.975
    assert hold_score(a_score("no_mark", None, None), nothing, 0.5).high == 0.975


@pytest.mark.parametrize(
    "score",
    [a_score("unscored", None), a_score("not_scored", None), a_score(value=None), a_score(unit="m"),
     a_score(value=float("inf"))],
)  # fmt: skip
def test_no_score_is_held_against_nothing(score):
    assert hold_score(score, foreseen([600.0] * 21), 0.5) is None
    assert hold_score(a_score(), foreseen([None] * 21, unit=None), 0.5) is None


def test_totals_are_scored_too():
    """A whole result by the rules: 100 repetitions in 700 s with two breaks of 30 s, foreseen from 700 to 900."""
    totals = Totals(700.0, 2, (("a", 60.0), ("b", 40.0)))
    held = hold_score(official_score(block(), totals), foreseen([700.0 + 10.0 * n for n in range(21)]), 0.5)
    assert (held.done, held.difference) == (760.0, -40.0)
    assert held.position == pytest.approx(LEVELS[6])


def test_a_draw_comes_from_the_ids():
    """The same for the same, another for another, all of (0, 1) taken evenly."""
    assert draw_of("x", 1) == draw_of("x", 1) != draw_of("x", 2)
    draws = [draw_of("attempt", number) for number in range(2000)]
    assert 0.0 < min(draws) < max(draws) < 1.0
    assert stats.kstest(draws, "uniform").pvalue > 0.01


@given(st.floats(2.0, 40.0), st.floats(0.1, 0.5), st.integers(0, 2**32 - 1))
@settings(max_examples=examples(24), deadline=None)
def test_the_position_of_counts_is_spread_evenly(middle, log_sd, seed):
    """Counts of a log-normal n*, told at seven points: the share in each of their intervals is what it should be.

    Only there can it be exact, since between the points the forecast says nothing; 5 000 draws, in five SDs.
    """
    law = stats.lognorm(log_sd, scale=middle)
    part = replace(PART, fresh_quantiles=tuple(law.ppf(FRESH_LEVELS).tolist()))
    rng = np.random.default_rng(seed)
    counts = np.floor(law.rvs(5000, random_state=rng))
    at = {count: hold_first_set(a_set(count), part, 0.5) for count in np.unique(counts)}
    low = np.array([at[count].low for count in counts])
    high = np.array([at[count].high for count in counts])
    positions = low + rng.random(5000) * (high - low)
    for lower, upper in ((0.25, 0.75), (0.1, 0.9), (0.025, 0.975)):
        inside = float(((positions > lower) & (positions <= upper)).mean())
        # In proportion between the points is not the law itself: a count across one has up to 3 % too much or little.
        assert inside == pytest.approx(upper - lower, abs=0.03 + 5 * np.sqrt(0.25 / 5000))


@given(st.integers(1, 200), st.floats(0.05, 0.95), st.integers(0, 2**32 - 1))
@settings(max_examples=examples(24), deadline=None)
def test_the_position_of_a_counted_score_is_spread_evenly(most, chance, seed):
    """A binomial score against the table of its own quantiles, as scipy has them."""
    law = stats.binom(most, chance)
    frozen = foreseen([float(one) for one in law.ppf(LEVELS)], unit="repetitions", better="higher")
    rng = np.random.default_rng(seed)
    scores = law.rvs(4000, random_state=rng)
    draws = rng.random(4000)
    at = {one: hold_score(replace(SCORED, value=float(one)), frozen, 0.5) for one in np.unique(scores)}
    low, high = (np.array([getattr(at[score], end) for score in scores]) for end in ("low", "high"))
    positions = low + draws * (high - low)
    assert np.mean(positions) == pytest.approx(0.5, abs=0.03)
    inside = np.mean((positions > 0.1) & (positions <= 0.9))
    assert inside == pytest.approx(0.8, abs=0.06)


@given(
    st.lists(st.integers(0, 30), min_size=21, max_size=21),
    st.lists(st.floats(-5, 35), min_size=2, max_size=8),
)
@example([0] * 20 + [30], [-0.5, 0.0])
def test_more_never_lies_lower(entries, values):
    """Both ends rise with the value, and stay in order and inside 0 to 1, whatever the table."""
    table = Table(tuple(float(one) for one in sorted(entries)), LEVELS)
    ranges = [span(table, value - 0.5, value + 0.5) for value in sorted(values)]
    for (low, high), (next_low, next_high) in itertools.pairwise(ranges):
        assert low <= next_low + 1e-12
        assert high <= next_high + 1e-12
    assert all(0.0 <= low <= high <= 1.0 for low, high in ranges)


def test_the_table_leaves_out_what_has_no_value():
    """Its levels go with the values that are there."""
    assert table_of([None, 1.0, 2.0, None], (0.1, 0.3, 0.6, 0.9), 0.7) == Table(
        (1.0, 2.0), (0.3, 0.6), 0.2, 0.7
    )


@pytest.mark.parametrize(("done", "left", "middle", "spread"), [(12.0, 4, 19.0, 2.5), (8.0, 1, 12.0, 1.5)])
def test_a_reserve_is_held_against_a_forecast_widened_by_the_error_of_words(done, left, middle, spread):
    """Of a normal forecast the place is known: that of a normal one with all the variances, here by scipy. Of four
    the words are mostly noise; of one after eight the bias counts as well, by 0.015.
    """
    points = tuple(stats.norm.ppf(level, middle, spread) for level in FRESH_LEVELS)
    part = WorkForecast("a", Spread(points[1], points[3], points[5]), None, None, fresh_quantiles=points)
    held = hold_first_set(a_set(done, "planned", rir=left), part, 0.5)
    wide = stats.norm(middle, np.sqrt(spread**2 + rir_noise(done, float(left)) ** 2 + RIR_BIAS_SD**2))
    assert held.kind == "told"
    # The table has seven points with straight lines between, so not to the last digit.
    assert held.low == pytest.approx(wide.cdf(held.done - 0.5), abs=0.008)
    assert held.high == pytest.approx(wide.cdf(held.done + 0.5), abs=0.008)
