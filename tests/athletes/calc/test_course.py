"""Changes of an ability between two days: a normal vector conditioned at once, simulation, published numbers."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm
from statsmodels.datasets import nile
from statsmodels.tsa.statespace.structural import UnobservedComponents

from athletes.calc.capacity import Absence, Observation, Prior, estimate_capacity, in_variation
from athletes.calc.columns import as_history
from athletes.calc.course import Pair, Terms, own_change, telling_days
from athletes.calc.smooth import course_of_load
from athletes.calc.terms import HoldTerms, MaximumTerms, PlainTerms, RepetitionTerms
from tests.athletes.calc.histories import BENCH, history, person
from tests.support.examples import examples

KNOWN_K = Prior(math.log(80.0), 0.3, math.log(0.0265), 1e-3)
WALK, NOISE = 2.5e-5, 0.04  # of the estimate: variance of ln L10 in a day, SD of a tested maximum


def maxima(days: list[int], loads: list[float], weight: float = 1.0) -> list[Observation]:
    return [
        Observation(day, load, 1.0, "one_rm", weight=weight) for day, load in zip(days, loads, strict=True)
    ]


def pair_of(mean: float, sd: float) -> Pair:
    """One node; the earlier day is known, so that the change has this mean and SD."""
    one = np.ones(1)
    return Pair(one, 0.0 * one, mean * one, 0.0 * one, sd**2 * one, 0.0 * one)


def test_published_chances_of_a_change() -> None:
    """Typical error 2, change 4, smallest worthwhile change 2: 0.760, 0.223 and 0.017 (sportsci.org/2018/studyir.htm
    for the framework; the digits by scipy's normal distribution with SD 2 sqrt 2)."""
    found = pair_of(4.0, 2.0 * math.sqrt(2.0)).chances(2.0)

    assert found.improved == pytest.approx(0.760250, abs=1e-6)
    assert found.neither == pytest.approx(0.222803, abs=1e-6)
    assert found.declined == pytest.approx(0.016947, abs=1e-6)


@pytest.mark.parametrize("worthwhile", [0.0, -0.1, math.nan])
def test_a_worthwhile_change_is_positive(worthwhile: float) -> None:
    with pytest.raises(ValueError, match="must be positive"):
        pair_of(1.0, 1.0).chances(worthwhile)


def test_the_nile() -> None:
    """Smoothed level of 1871 with its variance, of the data that Durbin & Koopman use (statsmodels' smoother with
    prior N(0, 1e6) and their two variances: 1107.20389814 and 4015.96493689), read as maxima every ten days."""
    flow = nile.load_pandas().data["volume"]
    scale = math.sqrt(10.0 * WALK / 1469.1)
    weight = NOISE**2 / (scale**2 * 15099.0)
    prior = Prior(math.log(80.0), scale * 1e3, math.log(0.0265), 1e-3)
    top = 9.0 * 0.0265
    seen = [
        Observation(10 * n, math.exp(prior.log_l10 + top + scale * value), 1.0, "one_rm", weight=weight)
        for n, value in enumerate(flow)
    ]

    found = course_of_load(prior, seen, [0, 990], "")

    level = (found.weight @ found.mean - prior.log_l10) / scale
    assert level[0] == pytest.approx(1107.20389814, abs=0.7)
    assert level[-1] == pytest.approx(798.37029261, abs=0.7)
    assert float(found.weight @ found.var[:, 0]) / scale**2 == pytest.approx(4015.96493689, rel=2e-3)
    assert float(found.weight @ found.var[:, -1]) / scale**2 == pytest.approx(4032.15794181, rel=2e-3)


def test_the_chance_of_a_change_against_a_simulation_smoother() -> None:
    """Of 1 500 paths of the level that statsmodels draws given the same tests, the share that gained 3 %."""
    days, loads = [0, 30, 60, 90], [100.0, 103.0, 101.0, 108.0]
    daily = np.full(91, np.nan)
    daily[days] = np.log(loads) - 9.0 * 0.0265
    model = UnobservedComponents(daily, "llevel")
    model.ssm.initialize_known(np.array([KNOWN_K.log_l10]), np.array([[KNOWN_K.log_l10_sd**2]]))
    model.update([NOISE**2, WALK])
    draws = model.simulation_smoother()
    rng = np.random.default_rng(5)
    gained = []
    for _ in range(1_500):
        draws.simulate(rng=rng)
        gained.append(draws.simulated_state[0, 90] - draws.simulated_state[0, 30])

    found = course_of_load(KNOWN_K, maxima(days, loads), [30, 90], "").pair(0)

    chances = found.chances(0.03)
    spread = found.spread()
    assert chances.improved == pytest.approx(np.mean(np.array(gained) > 0.03), abs=0.04)
    assert chances.declined == pytest.approx(np.mean(np.array(gained) < -0.03), abs=0.012)
    assert (spread.lower, spread.median, spread.upper) == pytest.approx(
        tuple(np.percentile(gained, (10, 50, 90))), abs=2.5e-3
    )


def test_two_intervals_side_by_side_would_say_something_else() -> None:
    """Between two close days the spread of the change is the walk's and not that of two estimates."""
    seen = maxima([0, 200], [100.0, 103.0])

    pair = course_of_load(KNOWN_K, seen, [200, 204], "").pair(0)

    apart = np.sqrt(pair.earlier_var + pair.later_var)
    assert pair.change_sd == pytest.approx(math.sqrt(4 * WALK), rel=1e-6)
    assert (apart > 3.0 * pair.change_sd).all()


def test_the_pair_against_dense_conditioning() -> None:
    """Means, variances and covariance of ln L10 on two days: a normal vector conditioned on its sights at once."""
    days, loads = [0, 10, 30, 80], [100.0, 98.0, 108.0, 104.0]
    points = np.array([0.0, 5.0, 10.0, 30.0, 80.0, 100.0])
    prior = KNOWN_K.log_l10_sd**2 + WALK * np.minimum.outer(points, points)
    pick = np.array([[float(point == day) for point in points] for day in days])
    gain = np.linalg.solve(pick @ prior @ pick.T + NOISE**2 * np.eye(4), pick @ prior).T
    mean = KNOWN_K.log_l10 + gain @ (np.log(loads) - 9.0 * 0.0265 - KNOWN_K.log_l10)
    cov = prior - gain @ pick @ prior

    found = course_of_load(KNOWN_K, maxima(days, loads), [5, 100], "").pair(0)

    assert float(found.weight @ found.earlier) == pytest.approx(mean[1], abs=3e-4)
    assert float(found.weight @ found.later) == pytest.approx(mean[5], abs=3e-4)
    assert found.change_sd[0] ** 2 == pytest.approx(cov[1, 1] + cov[5, 5] - 2 * cov[1, 5], rel=1e-3)
    assert found.covariance[0] == pytest.approx(cov[1, 5], rel=0.01)


@pytest.mark.parametrize("seed", range(3))
def test_the_last_state_is_the_estimate(seed: int) -> None:
    """Also in a variation other than the one that was seen most, where absence came between, and with a gain."""
    rng = np.random.default_rng(seed)
    seen = [
        Observation(o.day, o.load_kg, o.repetitions, o.kind, o.rir, o.weight, "aab"[n % 3])
        for n, o in enumerate(history(rng, person(rng), [60, 70, 80, 100], 12))
    ]
    prior = Prior(BENCH.log_l10, BENCH.log_l10_sd, BENCH.log_k, BENCH.log_k_sd, gain=4e-4)
    away = [Absence(20, 45), Absence(62, 90)]
    capacity = in_variation(estimate_capacity(prior, seen, day=100, absences=away), "b")

    found = course_of_load(prior, seen, [max(min(o.day for o in seen), 30), 100], "b", absences=away)

    last = found.states[-1]
    assert found.weight @ found.mean[:, -1] == pytest.approx(float(capacity.weight @ capacity.mean), abs=1e-6)
    assert found.weight @ found.var[:, -1] == pytest.approx(float(capacity.weight @ capacity.var), rel=1e-5)
    assert last.mean == pytest.approx(found.mean[:, -1])
    assert last.tested_log_loads.tolist() == capacity.tested_log_loads.tolist()


def test_an_offset_of_a_variation_is_no_change() -> None:
    """How hard a variation is for somebody is unknown and the same on both days: their change is as well known."""
    seen = [
        Observation(0, 70.0, 12.0, "to_failure", variation="a"),
        Observation(40, 70.0, 14.0, "to_failure", variation="a"),
    ]

    own, other = (course_of_load(BENCH, seen, [0, 40], name).pair(0) for name in ("a", "never_done"))

    assert (other.earlier_var > own.earlier_var).all()
    assert other.change_sd == pytest.approx(own.change_sd)


@settings(max_examples=examples(12))
@given(
    seed=st.integers(0, 10_000),
    size=st.integers(1, 12),
    since=st.integers(0, 150),
    load=st.floats(5.0, 200.0),
)
def test_whatever_was_seen_is_told_in_numbers(seed: int, size: int, since: int, load: float) -> None:
    """Every kind of sight in any order, variations and absences: finite, ordered, and chances that add to 1."""
    rng = np.random.default_rng(seed)
    seen = [
        replace(one, variation=str(rng.choice(["a", "b", "c"])))
        for one in history(rng, person(rng), [40, 60, 80, 100, 140], size)
    ]
    known = as_history(seen).day
    if not known.size:
        return
    days = telling_days(known.tolist(), 160, since, 8)
    course = course_of_load(BENCH, seen, days, "b", absences=[Absence(30, 30 + int(rng.integers(0, 60)))])

    assert np.isfinite(course.mean).all()
    assert (course.var > 0.0).all()
    for index in range(len(days) - 1):
        pair = course.pair(index).relative(math.log(load), math.log(load))
        chances = pair.chances(0.05)
        told = own_change(pair, RepetitionTerms(course.states[-1].k_nodes, BENCH.asymptote_share))
        assert chances.improved + chances.neither + chances.declined == pytest.approx(1.0)
        assert min(chances.improved, chances.neither, chances.declined) >= 0.0
        assert -500.0 <= told.lower <= told.median <= told.upper <= 500.0
        assert (pair.change_sd**2 <= pair.earlier_var + pair.later_var + 1e-9).all()


def drawn(pair: Pair, terms: Terms, size: int = 400_000) -> np.ndarray:
    """Changes in own terms of so many drawn people."""
    rng = np.random.default_rng(2)
    counts = rng.multinomial(size, pair.weight)
    found = []
    for s, count in enumerate(counts):
        cov = [[pair.earlier_var[s], pair.covariance[s]], [pair.covariance[s], pair.later_var[s]]]
        both = rng.multivariate_normal([pair.earlier[s], pair.later[s]], cov, size=count)
        y = np.zeros((2, pair.weight.size, count))
        y[:, s] = both.T
        found.append(terms.own(y[1])[s] - terms.own(y[0])[s])
    return np.concatenate(found)


K = np.array([0.02, 0.03, 0.045])
IN_TERMS = [
    (RepetitionTerms(K, 0.0), 0.15),
    (RepetitionTerms(K, 0.3), 0.05),
    (RepetitionTerms(K, 0.0), -0.25),  # about half of it at no repetition at all
    (MaximumTerms(K, 0.0), math.log(80.0)),
    (HoldTerms(np.array([0.4, 0.5, 0.6])), 0.1),
    (PlainTerms(), math.log(250.0)),
]


@pytest.mark.parametrize(("terms", "level"), IN_TERMS)
def test_a_change_in_own_terms_against_drawn_people(terms: Terms, level: float) -> None:
    weight = np.array([0.2, 0.5, 0.3])
    earlier = level + np.array([0.01, 0.0, -0.02])
    pair = Pair(
        weight, earlier, earlier + 0.06, np.full(3, 0.003), np.full(3, 0.002), np.array([0.001, 0.0015, 0.0])
    )
    people = drawn(pair, terms)

    found = own_change(pair, terms)

    expected = np.percentile(people, (10, 50, 90))
    tolerance = 0.012 * float(people.std())
    assert [found.lower, found.median, found.upper] == pytest.approx(expected.tolist(), abs=tolerance)


@pytest.mark.parametrize(("terms", "level"), IN_TERMS)
def test_terms_go_there_and_back(terms: Terms, level: float) -> None:
    y = level + np.linspace(0.26, 0.36, 9).reshape(3, 3)

    assert terms.back(terms.own(y)) == pytest.approx(y)
    assert (terms.back(np.full((3, 1), -1.0)) == -np.inf).all()


def test_repetitions_relative_to_a_heavier_body() -> None:
    """As strong as before and 3 kg heavier: fewer push-ups, by ln of the masses over k."""
    flat = np.zeros(1)
    pair = Pair(np.ones(1), flat + math.log(60.0), flat + math.log(60.0), flat, flat + 1e-12, flat)

    found = own_change(
        pair.relative(math.log(0.64 * 80.0), math.log(0.64 * 83.0)), RepetitionTerms(np.array([0.03]), 0.0)
    )

    assert found.median == pytest.approx(-math.log(83.0 / 80.0) / 0.03, abs=1e-3)


@pytest.mark.parametrize(
    ("known", "today", "since", "most", "expected"),
    [
        ([10, 20, 30], 40, 15, 9, (10, 15, 20, 30, 40)),
        ([10, 20, 30], 40, 2, 9, (10, 20, 30, 40)),
        ([10, 20, 30], 40, 15, 2, (15, 30, 40)),
        ([10], 10, 90, 9, (10,)),
        ([10, 50], 40, 45, 9, (10, 45, 50)),
    ],
)
def test_which_days_are_told(
    known: list[int], today: int, since: int, most: int, expected: tuple[int, ...]
) -> None:
    assert telling_days(known, today, since, most) == expected


def test_normal_quantiles_of_one_node() -> None:
    """One node is a normal distribution: scipy's quantiles."""
    found = pair_of(0.1, 0.05).spread()

    assert (found.lower, found.median, found.upper) == pytest.approx(norm(0.1, 0.05).ppf([0.1, 0.5, 0.9]))
