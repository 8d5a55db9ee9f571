"""Load from heart rate: closed forms at the ends, worked sessions, zones."""

from __future__ import annotations

import numpy as np
import pytest

from athletes.calc.heart_rate import (
    PEAK_ZONE_WEIGHTS,
    THRESHOLD_WEIGHTS,
    Rates,
    load_of_mean,
    load_of_samples,
    peak_zone_minutes,
    reserve_share,
    weighted_minutes,
    zone_load,
)
from athletes.calc.load import Figure
from tests.references.load import BANISTER_1991_MOST_PER_MINUTE

RATES = Rates(40.0, 200.0)


@pytest.mark.parametrize(
    ("mean", "minutes", "rates", "coefficients", "expected"),
    [
        (130.0, 30.0, RATES, "banister_1991_men", 31.802539),
        (130.0, 30.0, RATES, "banister_1991_women", 37.128518),
        (130.0, 30.0, RATES, "morton_1990_men", 49.691467),
        (130.0, 30.0, RATES, "morton_1990_women", 43.172695),
        (150.0, 60.0, Rates(60.0, 190.0), "banister_1991_men", 100.440294),
        (150.0, 60.0, Rates(60.0, 190.0), "banister_1991_women", 113.516788),
    ],
)
def test_worked_sessions(mean, minutes, rates, coefficients, expected):
    """Computed apart, the shares rounded to six places; 27.63 would be of the mixed-up pair 0.64 and 1.67."""
    told = load_of_mean(mean, minutes, rates, coefficients)
    assert told.load.value == pytest.approx(expected, abs=2e-6)
    assert (told.basis, told.coefficients) == ("mean_rate", coefficients)


@pytest.mark.parametrize("who", ["men", "women"])
def test_the_most_of_a_minute(who):
    """At the maximal rate a exp(b)."""
    told = load_of_mean(200.0, 1.0, RATES, f"banister_1991_{who}")
    assert told.load.value == pytest.approx(BANISTER_1991_MOST_PER_MINUTE[who], abs=5e-5)


def test_a_mean_rate_tells_less_than_its_samples():
    """15 min at 0.4 and 15 at 0.9 against 30 at the mean; computed apart."""
    each = weighted_minutes(np.array([0.4, 0.9]), np.array([15.0, 15.0]), "banister_1991_men")
    mean = weighted_minutes(np.array([0.65]), np.array([30.0]), "banister_1991_men")
    assert (each, mean) == pytest.approx((56.914809, 43.472448), abs=5e-7)


def test_samples_of_a_steady_session_are_its_mean():
    at_s = np.arange(0.0, 1801.0, 5.0)
    told = load_of_samples(at_s, np.full(at_s.size, 130.0), 30.0, RATES, "banister_1991_men")
    assert told.load.value == pytest.approx(31.802539, abs=5e-7)
    assert (told.basis, told.covered, told.above_maximal) == ("samples", 1.0, False)


def test_gaps_are_left_out_and_said():
    """A third of the session is missing, then two thirds: then it tells nothing."""
    at_s = np.concatenate([np.arange(0.0, 601.0, 5.0), np.arange(1200.0, 1801.0, 5.0)])
    told = load_of_samples(at_s, np.full(at_s.size, 130.0), 30.0, RATES, "banister_1991_men")
    assert told.covered == pytest.approx(2 / 3) and told.load.value == pytest.approx(
        31.802539 * 2 / 3, abs=5e-6
    )
    short = load_of_samples(at_s[:121], np.full(121, 130.0), 30.0, RATES, "banister_1991_men")
    assert short.load == Figure(None, "too_little_of_the_session_recorded")


def test_rates_beyond_the_ends():
    """Below resting 0, above maximal 1, which is said: the maximal rate is out of date."""
    assert reserve_share(np.array([30.0, 40.0, 200.0, 210.0]), RATES).tolist() == [0.0, 0.0, 1.0, 1.0]
    assert load_of_mean(210.0, 1.0, RATES, "banister_1991_men").above_maximal
    assert load_of_mean(30.0, 60.0, RATES, "banister_1991_men").load == Figure(0.0)


def test_zones_hold_their_lower_bound():
    """10, 20, 15, 10 and 5 minutes make 160; the bounds belong to the upper zone, the peak to the last."""
    minutes = np.array([5.0, 10.0, 20.0, 15.0, 10.0, 5.0])
    rates = np.array([99.9, 100.0, 120.0, 140.0, 160.0, 200.0])
    assert peak_zone_minutes(rates, minutes, 200.0).tolist() == minutes.tolist()
    assert zone_load(minutes, PEAK_ZONE_WEIGHTS) == 160.0
    assert zone_load([40.0, 15.0, 5.0], THRESHOLD_WEIGHTS) == 85.0


def test_what_is_no_heart_is_refused():
    with pytest.raises(ValueError, match="below maximal"):
        reserve_share(np.array([100.0]), Rates(200.0, 40.0))
    with pytest.raises(ValueError, match="peak"):
        peak_zone_minutes(np.array([100.0]), np.array([1.0]), 0.0)
    with pytest.raises(ValueError, match="coefficient"):
        weighted_minutes(np.array([0.5]), np.array([1.0]), "mine")
    with pytest.raises(ValueError, match="ascend"):
        load_of_samples(np.array([0.0, 0.0]), np.array([1.0, 1.0]), 1.0, RATES, "morton_1990_men")
