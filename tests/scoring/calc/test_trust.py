"""How far forecasts can be trusted: coverage with lower bounds, its interval, what is too narrow, too high."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.duration.survfunc import SurvfuncRight
from statsmodels.stats.proportion import proportion_confint

from scoring.calc.trust import INTERVALS, Estimate, coverage_of, mean_interval, trust_of, wilson
from tests.oracles.naive_trust import plain_share, share_above, tally_of
from tests.support.examples import usually

POSITIONS = st.lists(st.floats(0.001, 0.999), min_size=2, max_size=40)


@pytest.mark.parametrize(("inside", "number"), [(0, 12), (12, 12), (91, 120), (1, 3)])
def test_wilsons_interval_is_that_of_statsmodels(inside, number):
    found = wilson(inside / number, number)
    assert (found.lower, found.upper) == pytest.approx(
        proportion_confint(inside, number, 0.05, method="wilson")
    )


def test_the_interval_of_a_mean_is_students():
    values = [1.0, 4.0, -2.0, 0.5]
    found = mean_interval(float(np.mean(values)), float(np.std(values, ddof=1)), 4)
    wanted = stats.t.interval(0.95, 3, loc=np.mean(values), scale=stats.sem(values))
    assert (found.lower, found.upper) == pytest.approx(wanted)


@given(POSITIONS)
def test_without_lower_bounds_coverage_is_the_plain_proportion(positions):
    """Counted one by one, with Wilson's interval of as many results as there are."""
    tally = tally_of(positions, [True] * len(positions), [None] * len(positions))
    for share, (low, high) in INTERVALS.items():
        found = coverage_of(tally, share)
        plain = plain_share(positions, low, high)
        assert found.share.value == pytest.approx(plain, abs=1e-12)
        assert found.results == pytest.approx(len(positions))
        lower, upper = proportion_confint(
            round(plain * len(positions)), len(positions), 0.05, method="wilson"
        )
        assert (found.share.lower, found.share.upper) == pytest.approx((lower, upper))


@given(st.lists(st.tuples(st.floats(0.001, 0.999), st.booleans()), min_size=2, max_size=40))
def test_with_lower_bounds_it_is_the_product_limit_of_statsmodels(results):
    """None where nothing but lower bounds comes before the upper end."""
    positions, shown = [one for one, _ in results], [one for _, one in results]
    tally = tally_of(positions, shown, [None] * len(results))
    for share, (low, high) in INTERVALS.items():
        found = coverage_of(tally, share)
        ends_open = max(positions) <= high and share_above(positions, shown, high) > 1e-12
        assert (found is None) == ends_open
        if found is not None:
            wanted = share_above(positions, shown, low) - share_above(positions, shown, high)
            assert found.share.value == pytest.approx(wanted, abs=1e-9)
            assert found.results <= len(results)
            assert 0.0 <= found.share.lower <= found.share.value + 1e-9
            assert found.share.value <= found.share.upper + 1e-9 <= 1.0 + 1e-9


def test_the_variance_of_an_end_is_greenwoods():
    """Nothing below the interval: then its share is one less what lies above the upper end."""
    rng = np.random.default_rng(3)
    positions = rng.uniform(0.3, 1.0, 200)
    shown = rng.random(200) < 0.6
    found = coverage_of(tally_of(positions, shown, [None] * 200), 50)
    curve = SurvfuncRight(positions, shown.astype(int))
    at = np.searchsorted(curve.surv_times, 0.75, side="right") - 1
    above = curve.surv_prob[at]
    assert found.share.value == pytest.approx(1 - above)
    assert above * (1 - above) / found.results == pytest.approx(curve.surv_prob_se[at] ** 2)


def judged(positions, shown=None, differences=None):
    shown = [True] * len(positions) if shown is None else shown
    return trust_of(tally_of(positions, shown, differences or [None] * len(positions)))


def forecasts(seed, *, spread=1.0, shift=0.0, count=600):
    """Positions of results N(shift, spread) in forecasts N(0, 1)."""
    return stats.norm.cdf(np.random.default_rng(seed).normal(shift, spread, count))


@pytest.mark.parametrize("seed", range(6))
def test_true_forecasts_are_as_sure_as_they_say(seed):
    """Coverage inside the binomial bounds of one in ten thousand."""
    found = judged(forecasts(seed))
    for share in INTERVALS:
        lower, upper = stats.binom.interval(0.9999, 600, share / 100)
        assert lower / 600 <= found.coverage[share].share.value <= upper / 600


def test_of_many_true_forecasts_few_are_doubted():
    """One in twenty to err is what a 95 % interval allows, on each side of each question."""
    found = [judged(forecasts(seed, count=120)) for seed in range(usually(100, thorough=300))]
    assert np.mean([one.sureness == "as_said" for one in found]) > 0.9
    assert np.mean([one.side is None for one in found]) > 0.9


@pytest.mark.parametrize(
    ("wrong", "sureness", "side"),
    [({"spread": 1.5}, "too_narrow", None), ({"spread": 0.6}, "too_wide", None),
     ({"shift": 0.4, "spread": 0.92}, "as_said", "too_low"), ({"shift": -0.4, "spread": 0.92}, "as_said", "too_high"),
     ({"shift": 1.5}, "too_narrow", "too_low")],
)  # fmt: skip
def test_wrong_forecasts_are_told_as_what_they_are(wrong, sureness, side):
    found = judged(forecasts(2, **wrong))
    assert (found.sureness, found.side) == (sureness, side)


def test_stopping_as_planned_makes_no_true_forecast_false():
    """Everybody is to stop at the 30 % point of their forecast: those who fail before are no proof of a bad one."""
    true = forecasts(5, count=2000)
    shown = true < 0.3
    found = judged(np.where(shown, true, 0.3), shown)
    assert found.coverage[80] is None
    assert (found.sureness, found.side) == ("too_few", None)
    stops = np.random.default_rng(8).uniform(0.2, 1.0, 2000)
    shown = true < stops
    some = judged(np.minimum(true, stops), shown, [float(one) for one in true])
    assert some.sureness == "as_said"
    assert some.side is None
    assert some.coverage[80].share.value == pytest.approx(0.8, abs=0.05)
    assert some.coverage[80].results < 2000
    assert (some.bias, some.bias_reason) == (None, "stopped_sets_hide_it")


def test_few_results_tell_nothing():
    found = judged(forecasts(1, spread=3.0, count=12), differences=[1.0, 2.0, *[None] * 10])
    assert (found.sureness, found.side) == ("too_few", None)
    assert found.bias == mean_interval(1.5, float(np.std([1.0, 2.0], ddof=1)), 2)
    assert judged([0.4]).position is None
    assert judged([0.4]).bias_reason == "too_few"


def test_an_estimate_lies_in_its_interval():
    assert wilson(0.5, 10) == Estimate(0.5, pytest.approx(0.2366, abs=1e-4), pytest.approx(0.7634, abs=1e-4))


@given(st.lists(st.tuples(st.floats(0.001, 0.999), st.booleans()), min_size=8, max_size=40))
def test_the_variance_between_two_ends_is_that_of_their_difference(results):
    """Var(S1 - S2) = Var S1 + Var S2 - 2 Cov, Cov = S2 / S1 Var S1 of a product limit; errors by statsmodels."""
    positions = np.array([one for one, _ in results])
    shown = np.array([one for _, one in results])
    limit = SurvfuncRight(positions, shown.astype(int))
    tally = tally_of(positions.tolist(), shown.tolist(), [None] * len(results))
    for share, (low, high) in INTERVALS.items():
        found = coverage_of(tally, share)
        if found is None or not 0.0 < found.share.value < 1.0:
            continue
        (above, low_se), (beyond, high_se) = (_left(limit, end) for end in (low, high))
        if above in (0.0, 1.0) or beyond in (0.0, 1.0):
            continue
        variance = low_se**2 + high_se**2 - 2.0 * beyond / above * low_se**2
        inside = above - beyond
        wanted = min(inside * (1.0 - inside) / variance, float(len(results)))
        assert found.results == pytest.approx(wanted, rel=1e-6)


def _left(limit, end):
    """(share above a position, its standard error)."""
    at = int(np.searchsorted(limit.surv_times, end, side="right")) - 1
    return (1.0, 0.0) if at < 0 else (float(limit.surv_prob[at]), float(limit.surv_prob_se[at]))


def test_twenty_results_are_enough_and_nineteen_are_not():
    assert judged(list((np.arange(20) + 0.5) / 20)).sureness == "as_said"
    assert judged(list((np.arange(19) + 0.5) / 19)).sureness == "too_few"


def test_one_stopped_set_in_ten_hides_no_bias_and_more_do():
    positions = list((np.arange(30) + 0.5) / 30)
    for stopped, reason in ((3, None), (4, "stopped_sets_hide_it")):
        shown = [number >= stopped for number in range(30)]
        told = judged(
            positions, shown, [1.0 + number / 30 if one else None for number, one in enumerate(shown)]
        )
        assert told.bias_reason == reason
        assert (told.bias is None) == (reason is not None)
