"""Absence and body mass for holds and cyclical work, against Gaussian algebra and a plain quadrature."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from athletes.calc.constants import BODY_MASS_SHARE, DRIFT_VARIANCE_PER_DAY
from athletes.calc.critical import (
    UNRESOLVED,
    aged_critical,
    critical_after_body_mass,
    critical_from_json,
    critical_to_json,
    estimate_critical,
)
from athletes.calc.decay import Absence
from athletes.calc.endurance_constants import HOLD_LOG_SD, TRIAL_LOG_SD
from athletes.calc.hold import UNRESOLVED as HOLD_UNRESOLVED
from athletes.calc.hold import aged_hold, estimate_hold, hold_after_body_mass, hold_from_json, hold_to_json
from athletes.calc.hold_forecast import load_for_a_minute
from athletes.calc.hold_seen import HoldSeen
from athletes.calc.trial_forecast import critical_of, reserve_of
from athletes.calc.trials import TRIAL_KINDS, Trial
from programming.calc.movement_prior import CyclicalStart, HoldStart
from tests.support.examples import examples

PLANK = HoldStart(math.log(60.0), 0.30, math.log(0.5), 0.25)
ENGINE = CyclicalStart("power", math.log(200.0), 0.30, math.log(16_000.0), 0.35)
HELD = HoldSeen(0, 60.0, 60.0, "to_failure")
RODE = [Trial(0, 19_000.0 + 260.0 * t, t) for t in (180.0, 720.0)]


def lost(days: int) -> float:
    """Fall of ln L after so many days away, by the formula."""
    return 0.30 * (1.0 - math.exp(-(days - 7) / 100.0))


@pytest.mark.parametrize("days", [20, 56, 200])
def test_an_absence_after_the_last_test_lowers_and_widens(days: int) -> None:
    """Both kinds: medians lower by the fall, the intervals wider than time alone makes them."""
    away = [Absence(5, 4 + days)]
    day, factor = 10 + days, math.exp(-lost(days))

    rested, gone = (estimate_hold(PLANK, [HELD], day=day, absences=a) for a in ((), away))
    before, after = load_for_a_minute(rested), load_for_a_minute(gone)
    assert after[0] == pytest.approx(factor * before[0], rel=1e-6)
    assert after[2] / after[1] > before[2] / before[1]

    steady, slack = (estimate_critical(ENGINE, RODE, day=day, absences=a) for a in ((), away))
    for told in (critical_of, reserve_of):
        one, other = told(steady), told(slack)
        assert other.median == pytest.approx(factor * one.median, rel=5e-3)  # means are exact
        assert other.upper / other.lower > one.upper / one.lower


def test_a_week_away_is_no_absence() -> None:
    """Within the grace of seven days nothing is lost."""
    away = [Absence(5, 11)]
    assert estimate_hold(PLANK, [HELD], day=20, absences=away).mean == pytest.approx(
        estimate_hold(PLANK, [HELD], day=20).mean
    )


def test_absence_between_holds_is_gaussian_algebra() -> None:
    """With a known exponent and no timing range to speak of: two sights of a mean that fell in between."""
    start = HoldStart(math.log(60.0), 0.30, math.log(0.5), 1e-4)
    seen = [HoldSeen(0, 60.0, 600.0, "to_failure"), HoldSeen(100, 55.0, 500.0, "to_failure")]
    found = estimate_hold(start, seen, day=100, absences=[Absence(20, 79)])

    fall = lost(60)
    step = 100 * DRIFT_VARIANCE_PER_DAY + (0.5 * fall) ** 2
    sights = [math.log(o.load_kg) + 0.5 * math.log(o.seconds / 60.0) for o in seen]
    noise = (0.5 * HOLD_LOG_SD) ** 2
    gain = 0.09 / (0.09 + noise)
    mean = math.log(60.0) + gain * (sights[0] - math.log(60.0)) - fall
    var = (1.0 - gain) * 0.09 + step
    gain = var / (var + noise)
    assert float(found.weight @ found.mean) == pytest.approx(mean + gain * (sights[1] - mean), abs=2e-5)
    assert float(found.weight @ found.var) == pytest.approx((1.0 - gain) * var, rel=1e-3)


def test_absence_between_trials_is_a_quadrature() -> None:
    """A fine plain grid over (ln W', ln CP) as they are on the last day, the noise of two trials tied by the walk."""
    seen = [Trial(0, 19_000.0 + 260.0 * 200.0, 200.0), Trial(100, 17_000.0 + 235.0 * 800.0, 800.0)]
    found = estimate_critical(ENGINE, seen, day=100, absences=[Absence(20, 79)])

    fall = lost(60)
    step = 100 * DRIFT_VARIANCE_PER_DAY + (0.5 * fall) ** 2
    y = np.linspace(ENGINE.log_reserve - 1.8, ENGINE.log_reserve + 1.4, 1001)[:, None]
    c = np.linspace(ENGINE.log_critical - 0.7, ENGINE.log_critical + 0.7, 1401)[None, :]
    density = -0.5 * ((y + fall - ENGINE.log_reserve) / 0.35) ** 2
    density = density - 0.5 * ((c + fall - ENGINE.log_critical) / 0.30) ** 2
    for one, lower, extra in ((seen[0], fall, step), (seen[1], 0.0, 0.0)):
        could = np.log(np.exp(y) + np.exp(c) * one.seconds) + lower
        density = density - 0.5 * (math.log(one.amount) - could) ** 2 / (TRIAL_LOG_SD**2 + extra)
    weight = np.exp(density - density.max())
    weight /= weight.sum()

    mean_y, mean_c = float((weight * y).sum()), float((weight * c).sum())
    assert float(found.weight @ found.log_reserve) == pytest.approx(mean_y, abs=2e-3)
    assert float(found.weight @ found.mean) == pytest.approx(mean_c, abs=1e-3)
    var_c = float((weight * (c - mean_c) ** 2).sum())
    told = float(found.weight @ (found.var + (found.mean - mean_c) ** 2))
    assert math.sqrt(told) == pytest.approx(math.sqrt(var_c), rel=0.01)


@settings(max_examples=examples(10))
@given(first=st.integers(-50, 250), length=st.integers(0, 300), days=st.integers(0, 300))
def test_to_a_day_at_once_or_in_two_steps(first: int, length: int, days: int) -> None:
    """A stored state knows the absences to come; what is estimated for a day is what ages to it."""
    away = [Absence(first, first + length)]
    hold = estimate_hold(PLANK, [HELD], day=0, absences=away)
    read = hold_from_json(json.loads(json.dumps(hold_to_json(hold))))
    aged, direct = aged_hold(read, days), estimate_hold(PLANK, [HELD], day=days, absences=away)
    assert aged.mean == pytest.approx(direct.mean, abs=1e-12)
    assert aged.var == pytest.approx(direct.var, abs=1e-12)

    ride = estimate_critical(ENGINE, RODE, day=0, absences=away)
    again = critical_from_json(json.loads(json.dumps(critical_to_json(ride))))
    one, other = aged_critical(again, days), estimate_critical(ENGINE, RODE, day=days, absences=away)
    assert one.mean == pytest.approx(other.mean, abs=1e-9)
    assert one.log_reserve == pytest.approx(other.log_reserve, abs=1e-9)


def test_a_changed_body_mass_widens() -> None:
    """Between tests by its part of the walk, after the last only from a fifth on; the medians stay."""
    hold, ride = estimate_hold(PLANK, [HELD], day=0), estimate_critical(ENGINE, RODE, day=0)
    added = (BODY_MASS_SHARE * math.log(90.0 / 70.0)) ** 2
    assert hold_after_body_mass(hold, 70.0, 90.0).var == pytest.approx(hold.var + added)
    assert hold_after_body_mass(hold, 70.0, 80.0) is hold
    assert critical_after_body_mass(ride, 70.0, 80.0) is ride
    wide = critical_of(critical_after_body_mass(ride, 70.0, 90.0))
    assert wide.upper / wide.lower > 1.05 * critical_of(ride).upper / critical_of(ride).lower
    assert wide.median == pytest.approx(critical_of(ride).median, rel=1e-3)

    def held(mass: float | None) -> float:
        seen = [
            HoldSeen(0, 60.0, 90.0, "to_failure", 1.0, 70.0),
            HoldSeen(9, 60.0, 60.0, "to_failure", 1.0, mass),
        ]
        return load_for_a_minute(estimate_hold(PLANK, seen, day=9))[0]

    def rode(mass: float | None) -> float:
        seen = [Trial(0, 80_000.0, 300.0, body_mass_kg=70.0), Trial(9, 70_000.0, 300.0, body_mass_kg=mass)]
        return critical_of(estimate_critical(ENGINE, seen, day=9)).median

    for told in (held, rode):
        assert told(None) == told(70.0)
        assert told(100.0) < told(70.0)  # the first, better test counts less


@settings(max_examples=examples(10))
@given(
    shape=st.lists(
        st.tuples(
            st.integers(0, 400), st.floats(0.0, 16.0), st.floats(3.0, 8.0), st.sampled_from(TRIAL_KINDS)
        ),
        max_size=5,
    )
)
def test_a_grid_of_trials_is_always_found(shape: list[tuple[int, float, float, str]]) -> None:
    """However absurd the trials; one alone, whose ridge is bent, too."""
    seen = [Trial(day, math.exp(amount), math.exp(time), kind) for day, amount, time, kind in shape]  # type: ignore[arg-type]
    assert UNRESOLVED not in estimate_critical(ENGINE, seen, day=400).reasons
    assert UNRESOLVED not in estimate_critical(ENGINE, RODE[:1], day=0).reasons


def test_holds_that_no_grid_shows_say_so() -> None:
    """Minutes under far more than what failed at once: no exponent fits, and the numbers are called rough."""
    seen = [
        HoldSeen(47, 61.97160868799258, 19.472203890557534, "to_failure"),
        HoldSeen(397, 46.518206539788885, 25.460656806827675, "to_failure"),
        HoldSeen(386, 26.82483524315405, 56.16066263733859, "to_failure"),
        HoldSeen(332, 141.12398124715145, 421.7146197316845, "at_least"),
        HoldSeen(293, 145.96547636185005, 105.89888529518808, "at_least"),
    ]
    sure = HoldStart(math.log(60.0), 0.40, math.log(1.0 / 1.98), 0.11)
    found = estimate_hold(sure, seen, day=400)
    assert found.reason == HOLD_UNRESOLVED
    assert hold_from_json(json.loads(json.dumps(hold_to_json(found)))).reason == HOLD_UNRESOLVED
    assert estimate_hold(PLANK, [HELD], day=0).reason is None
