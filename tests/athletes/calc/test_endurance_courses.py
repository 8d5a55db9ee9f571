"""How holds and critical power went: dense conditioning, weighted draws of whole histories, the estimate itself."""

import math

import numpy as np
import pytest
from scipy.stats import norm

from athletes.calc.course import Course
from athletes.calc.critical import estimate_critical
from athletes.calc.critical_course import course_of_trials
from athletes.calc.decay import Absence
from athletes.calc.hold import estimate_hold
from athletes.calc.hold_course import course_of_holds
from athletes.calc.hold_seen import HoldSeen
from athletes.calc.trials import Trial
from programming.calc.arrays import FloatArray
from programming.calc.movement_prior import CyclicalStart, HoldStart

WALK, TRIAL_SD, HOLD_SD = 2.5e-5, 0.025, 0.15
PEOPLE = CyclicalStart("power", math.log(200.0), 0.30, math.log(16_000.0), 0.35)
HOLDERS = HoldStart(math.log(60.0), 0.40, math.log(0.5), 0.11)


def moments(found: Course, t: int) -> tuple[float, float]:
    """Mean and SD of y on one of the days."""
    mean = float(found.weight @ found.mean[:, t])
    return mean, math.sqrt(float(found.weight @ (found.var[:, t] + (found.mean[:, t] - mean) ** 2)))


def change(found: Course, t: int) -> tuple[float, float]:
    pair = found.pair(t)
    by = pair.later - pair.earlier
    mean = float(found.weight @ by)
    return mean, math.sqrt(float(found.weight @ (pair.change_sd**2 + (by - mean) ** 2)))


def test_holds_against_dense_conditioning() -> None:
    """The exponent known, a hold of t seconds says ln L60 = ln L + e ln(t / 60) within 0.15 e: a normal vector."""
    e, days, seconds = 0.5, [0, 20, 60], [90.0, 100.0, 130.0]
    start = HoldStart(math.log(60.0), 0.4, math.log(e), 1e-3)
    points = np.array([0.0, 10.0, 20.0, 60.0, 75.0])
    prior = 0.4**2 + WALK * np.minimum.outer(points, points)
    pick = np.array([[float(point == day) for point in points] for day in days])
    gain = np.linalg.solve(pick @ prior @ pick.T + (e * HOLD_SD) ** 2 * np.eye(3), pick @ prior).T
    y = math.log(50.0) + e * np.log(np.array(seconds) / 60.0)
    mean, cov = math.log(60.0) + gain @ (y - math.log(60.0)), prior - gain @ pick @ prior

    found = course_of_holds(
        start,
        [HoldSeen(day, 50.0, told, "to_failure") for day, told in zip(days, seconds, strict=True)],
        [10, 75],
    )

    assert moments(found, 0) == pytest.approx((mean[1], math.sqrt(cov[1, 1])), rel=2e-3)
    assert moments(found, 1) == pytest.approx((mean[4], math.sqrt(cov[4, 4])), rel=2e-3)
    expected = math.sqrt(cov[1, 1] + cov[4, 4] - 2.0 * cov[1, 4])
    assert change(found, 0) == pytest.approx((mean[4] - mean[1], expected), rel=5e-3)


@pytest.mark.parametrize("seed", range(3))
def test_the_last_day_of_holds_is_the_estimate(seed: int) -> None:
    """Whatever was seen, with a changed body mass and an absence between."""
    rng = np.random.default_rng(seed)
    seen = [
        HoldSeen(
            int(day),
            float(rng.choice([40.0, 60.0])),
            float(rng.uniform(30.0, 200.0)),
            kind,
            body_mass_kg=70.0 + 0.1 * float(day),
        )
        for day, kind in zip(
            np.sort(rng.integers(0, 90, 6)),
            ["to_failure", "at_least", "to_failure", "to_failure", "at_least_weak", "to_failure"],
            strict=True,
        )
    ]
    away = [Absence(10, 40)]
    expected = estimate_hold(HOLDERS, seen, day=120, absences=away)

    found = course_of_holds(HOLDERS, seen, [seen[0].day, 120], absences=away)

    mean = float(expected.weight @ expected.mean)
    sd = math.sqrt(float(expected.weight @ (expected.var + (expected.mean - mean) ** 2)))
    assert moments(found, 1) == pytest.approx((mean, sd), rel=1e-4)
    assert found.states[-1].exponents == pytest.approx(expected.exponents)


def weighted(seen: list[Trial], asked: list[int], size: int = 1_500_000) -> tuple[FloatArray, FloatArray]:
    """(weights, ln CP on the asked days (D, N)) of drawn histories: parameters from the prior on the last trial's
    day, the walk drawn backwards from it, weighted by how likely each makes the trials (all maximal)."""
    rng = np.random.default_rng(11)
    last = max(trial.day for trial in seen)
    days = sorted({*asked, *(trial.day for trial in seen)}, reverse=True)
    reserve = rng.normal(PEOPLE.log_reserve, PEOPLE.log_reserve_sd, size)
    critical = rng.normal(PEOPLE.log_critical, PEOPLE.log_critical_sd, size)
    walk, at, position = np.zeros(size), {}, last
    for day in [one for one in days if one <= last]:
        walk = walk + rng.normal(0.0, math.sqrt(WALK * (position - day)), size) if position > day else walk
        at[day], position = walk, day
    ahead, position = np.zeros(size), last
    for day in sorted(one for one in days if one > last):
        ahead = ahead + rng.normal(0.0, math.sqrt(WALK * (day - position)), size)
        at[day], position = ahead, day
    log_weight = np.zeros(size)
    for trial in seen:
        done = np.log(np.exp(reserve) + np.exp(critical) * trial.seconds) + at[trial.day]
        log_weight += norm.logpdf(math.log(trial.amount), done, TRIAL_SD)
    weight = np.exp(log_weight - log_weight.max())
    return weight / weight.sum(), np.stack([critical + at[day] for day in asked])


def test_critical_power_against_weighted_histories() -> None:
    """Four trials on three days, asked on a day between, on one with trials, and twice after the last."""
    seen = [
        Trial(0, 62_000.0, 180.0),
        Trial(0, 190_000.0, 720.0),
        Trial(60, 70_000.0, 200.0),
        Trial(150, 200_000.0, 700.0),
    ]
    asked = [0, 30, 150, 170, 190]
    weight, y = weighted(seen, asked)
    effective = 1.0 / float((weight**2).sum())
    assert effective > 3_000  # else the draws say nothing

    found = course_of_trials(PEOPLE, seen, asked)

    for t in range(5):
        mean = float(weight @ y[t])
        sd = math.sqrt(float(weight @ (y[t] - mean) ** 2))
        told = moments(found, t)
        assert told[0] == pytest.approx(mean, abs=0.06 * sd)
        assert told[1] == pytest.approx(sd, rel=0.05)
    for t in range(4):
        by = y[4] - y[t]
        mean = float(weight @ by)
        sd = math.sqrt(float(weight @ (by - mean) ** 2))
        assert change(found, t)[0] == pytest.approx(mean, abs=0.06 * sd)
        assert change(found, t)[1] == pytest.approx(sd, rel=0.05)


@pytest.mark.parametrize("seed", range(3))
def test_the_last_day_of_trials_is_the_estimate(seed: int) -> None:
    """With lower bounds, an absence before and after the last trial, and a changed body mass."""
    rng = np.random.default_rng(seed)
    seen = [
        Trial(int(day), float(rng.uniform(0.97, 1.03)) * (18_000 + 250 * s), s, kind, body_mass_kg=mass)
        for day, s, kind, mass in [
            (0, 180.0, "maximal", 80.0),
            (4, 600.0, "maximal", 80.0),
            (30, 400.0, "at_least", None),
            (70, 300.0, "maximal", 83.0),
        ]
    ]
    away = [Absence(40, 60), Absence(80, 100)]
    expected = estimate_critical(PEOPLE, seen, day=110, absences=away)

    found = course_of_trials(PEOPLE, seen, [10, 110], absences=away)

    mean = float(expected.weight @ expected.mean)
    sd = math.sqrt(float(expected.weight @ (expected.var + (expected.mean - mean) ** 2)))
    assert moments(found, 1) == pytest.approx((mean, sd), rel=1e-4)
    last = found.states[-1]
    assert last.weight @ last.mean == pytest.approx(mean)
    assert last.weight @ last.log_reserve == pytest.approx(float(expected.weight @ expected.log_reserve))


def test_only_bounds_have_a_course_too() -> None:
    """A trial that was not all-out tells a little of the parameters and nothing of the walk."""
    found = course_of_trials(PEOPLE, [Trial(5, 60_000.0, 180.0, "at_least")], [5, 25])

    assert found.pair(0).change_sd == pytest.approx(math.sqrt(20 * WALK), rel=1e-6)
    assert found.states[0].reasons == ("bounds_only",)


def test_what_has_no_course() -> None:
    """Nothing seen, and a day before the first sight."""
    with pytest.raises(ValueError, match="nothing was observed"):
        course_of_trials(PEOPLE, [], [3])
    with pytest.raises(ValueError, match="must ascend"):
        course_of_holds(HOLDERS, [HoldSeen(5, 60.0, 70.0, "to_failure")], [4, 6])
