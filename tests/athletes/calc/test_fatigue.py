"""Fatigue by muscle group: conservation, rest, drop sets, published totals of repeated sets."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.stats import lognorm

from athletes.calc.fatigue import (
    BODY_ROWS,
    FAST,
    SLOW,
    after_rest,
    fifth_powers,
    rest,
    seconds_until,
    shared_by,
    slow_multipliers,
    slow_share,
    spent_of,
    tire,
    total,
)
from athletes.calc.rested import Decay, both, decay

FRESH = st.floats(2, 60)
K = st.floats(0.01, 0.08)
MULTIPLIER = st.floats(0, 2)
WEIGHTS = st.lists(st.floats(0.1, 1.0), min_size=1, max_size=5).map(lambda found: np.array([1.0, *found]))
# Shares of the groups chest, triceps, front of the shoulder, upper back, lats, biceps (ours, as in the catalogue).
PRESS = np.array([1.0, 0.8, 0.6, 0.0, 0.0, 0.0])
ROW = np.array([0.0, 0.0, 0.0, 1.0, 0.8, 0.7])
OVERHEAD = np.array([0.0, 0.8, 1.0, 0.3, 0.0, 0.0])


class Body:
    """The groups, and the moment at which they are as `rows` says."""

    def __init__(self, groups, rows=None):
        self.rows, self.now = np.zeros((BODY_ROWS, groups)) if rows is None else rows, 0.0

    def set(self, weights, k, fresh, item, multiplier, units, start, seconds, failed):
        """A set of one of several pieces of work: weights (M, G), k and fresh (M,)."""
        rest(self.rows, decay(start - self.now))
        before = total(spent_of(self.rows, weights[item], k[item]))
        shared = shared_by(weights)[item]
        tire(self.rows, weights, shared, k, fresh, item, multiplier, before, units, seconds, failed)
        self.now = start + seconds

    def spent(self, weights, k, moment):
        return after_rest(spent_of(self.rows, weights, k), decay(moment - self.now))


def body_of(weights):
    return Body(len(weights))


def work(body, weights, k, fresh, *of_set):
    """A set of work that is all there is."""
    body.set(weights[None, :], np.array([k]), np.array([fresh]), 0, *of_set)


def left(body, weights, k, fresh, moment):
    return fresh - total(body.spent(weights, k, moment))


@given(WEIGHTS, K, FRESH, MULTIPLIER, st.floats(0, 1))
@settings(deadline=None)
def test_every_repetition_is_somewhere(weights, k, fresh, multiplier, share):
    """Conservation: what is spent is what was done, in log-strength k for each, whatever the groups."""
    done = share * fresh
    body = body_of(weights)
    work(body, weights, k, fresh, multiplier, done, 0.0, 2.0 * done, False)

    assert total(body.spent(weights, k, 2.0 * done)) == pytest.approx(done, abs=1e-9)
    assert float(weights @ (body.rows[FAST] + body.rows[SLOW])) == pytest.approx(k * done, abs=1e-9)
    assert body.rows.min() >= -1e-12
    assert float(weights @ body.rows[SLOW]) <= 0.9 * k * fresh + 1e-9


@given(WEIGHTS, K, FRESH, MULTIPLIER, st.floats(0, 3000), st.floats(0, 3000))
@settings(deadline=None)
def test_more_rest_never_leaves_fewer_repetitions(weights, k, fresh, multiplier, short, more):
    """A set to failure after rest is never longer than the fresh one, nor shorter than after less rest."""
    body = body_of(weights)
    work(body, weights, k, fresh, multiplier, fresh, 0.0, 60.0, True)
    soon, later = (left(body, weights, k, fresh, 60.0 + rest) for rest in (short, short + more))

    assert soon - 1e-9 <= later <= fresh + 1e-9


def to_failure(weights, k, fresh, multiplier, rest):
    """Repetitions of six sets to failure at equal load and rest."""
    body, now, sizes = body_of(weights), 0.0, []
    for _ in range(6):
        size = float(max(0, int(left(body, weights, k, fresh, now) + 1e-9)))
        sizes.append(size)
        work(body, weights, k, fresh, multiplier, size, now, 2.0 * size, True)
        now += 2.0 * size + rest
    return sizes


@given(WEIGHTS, K, FRESH, MULTIPLIER, st.floats(10, 300))
@settings(deadline=None)
def test_repeated_sets_to_failure_do_not_grow(weights, k, fresh, multiplier, rest):
    """At equal load and rest no set is more than one repetition of rounding longer than the one before."""
    sizes = to_failure(weights, k, fresh, multiplier, rest)

    assert all(after <= before + 1 for before, after in itertools.pairwise(sizes))
    assert max(sizes) == sizes[0]


@given(WEIGHTS, st.floats(0.01, 0.015), st.floats(40, 60), st.floats(1, 2), st.floats(10, 20))
@settings(deadline=None)
def test_nor_do_long_sets_after_short_rests(weights, k, fresh, multiplier, rest):
    """Where one repetition takes little strength and a failed one costs much. This is where the unit of that cost
    shows: read as strength, 0.05 m is 3 to 10 repetitions here, the slow part is full after the second set, and of
    three such athletes one does 5, 0, 3 repetitions after the first.
    """
    sizes = to_failure(weights, k, fresh, multiplier, rest)

    assert all(after <= before + 1 for before, after in itertools.pairwise(sizes))


def test_rest_is_that_of_the_differential_equations():
    """Two groups, each with its own last set, integrated by scipy: tau 21.5 s, and 388 then 716 s."""
    weights = np.array([1.0, 0.5])
    body = np.array([[0.2, 0.3], [0.1, 0.2], [1.0, 3.0]])
    rested = body.copy()
    rest(rested, decay(100.0))
    found = spent_of(rested, weights, 0.03)
    assert found == pytest.approx(after_rest(spent_of(body, weights, 0.03), decay(100.0)))
    parts = []
    for g, tau in ((0, 388.0), (1, 716.0)):
        solved = solve_ivp(
            lambda _, y, tau=tau: [-y[0] / 21.5, -y[1] / tau], (0, 100), body[:2, g], rtol=1e-10,
            atol=1e-13,
        )  # fmt: skip
        parts.append(solved.y[:, -1])

    assert found.fast == pytest.approx((parts[0][0] + 0.5 * parts[1][0]) / 0.03, rel=1e-6)
    assert found.first == pytest.approx(parts[0][1] / 0.03, rel=1e-6)
    assert found.later == pytest.approx(0.5 * parts[1][1] / 0.03, rel=1e-6)


@given(st.one_of(st.floats(0, 2000), st.integers(0, 2000).map(lambda steps: steps / 2), st.just(math.inf)))
def test_what_is_looked_up_is_what_would_be_computed(seconds):
    """Whole and half seconds come from a table up to its end, to the last bit; what lies between from its steps."""
    expected = [math.exp(-seconds / tau) for tau in (21.5, 388.0, 716.0)]
    is_a_step = math.isinf(seconds) or (2.0 * seconds).is_integer()
    assert decay(seconds) == pytest.approx(expected, rel=1e-15 if is_a_step else 1e-10)


def test_two_rests_are_one():
    assert both(decay(30.0), decay(61.3)) == pytest.approx(decay(91.3))
    assert both(decay(30.0), Decay(1.0, 1.0, 1.0)) == decay(30.0)


def test_three_repetitions_by_hand():
    """fresh 10, m 0.5: the slow part takes 0.5 (0.3 + d^5) with d = 0.1, 0.2, 0.3; two groups, 1 and 0.5."""
    weights, k = np.array([1.0, 0.5]), 0.03
    expected = 0.5 * (0.3 + 0.1**5) + 0.5 * (0.3 + 0.2**5) + 0.5 * (0.3 + 0.3**5)
    body = body_of(weights)
    work(body, weights, k, 10.0, 0.5, 3.0, 0.0, 6.0, False)

    assert body.rows[SLOW] == pytest.approx(expected * k * weights / 1.25)
    assert body.rows[FAST] == pytest.approx((3 - expected) * k * weights / 1.25)


@given(WEIGHTS, K, FRESH, MULTIPLIER, st.floats(0.0, 0.95), st.floats(0, 400))
@settings(deadline=None)
def test_the_wait_is_the_first_step_that_suffices(weights, k, fresh, multiplier, share, rested):
    """Against looking at every step, one after the other."""
    body = body_of(weights)
    work(body, weights, k, fresh, multiplier, fresh, 0.0, 60.0, False)
    spent = body.spent(weights, k, 60.0 + rested)
    allowed = share * fresh
    found = seconds_until(spent, allowed, 5.0, 3600.0)
    looked_at = next(
        (t for t in np.arange(0.0, 3600.0, 5.0) if total(after_rest(spent, decay(t))) <= allowed), 3600.0
    )

    assert found == pytest.approx(looked_at, abs=5.0 if abs(total(spent) - allowed) < 1e-6 else 1e-6)


def log_strength(kg_80, n_80, k):
    """ln S of who has n repetitions at a load."""
    return math.log(kg_80) + n_80 * k


@pytest.mark.parametrize("k", [0.025, 0.030, 0.035])
def test_a_drop_set_leaves_repetitions_at_the_lighter_load(k):
    """Bench press to failure with 80 kg at eight, then 50 kg at once: 8 to 20 repetitions; rows are almost untouched
    (common practice, no source). k is about what percentage tables give for the bench press; with 0.02, the steepest
    of them, 50 kg would be there for 31 fresh and for 24 then.
    """
    strength = log_strength(80.0, 8.0, k)
    body = body_of(PRESS)
    work(body, PRESS, k, 8.0, 0.75, 8.0, 0.0, 20.0, True)
    at_50 = (strength - math.log(50.0)) / k

    assert 8.0 <= left(body, PRESS, k, at_50, 25.0) <= 20.0
    assert left(body, PRESS, k, 8.0, 25.0) < 2.0
    assert left(body, ROW, k, 12.0, 25.0) == 12.0


def test_work_that_shares_muscles_is_touched_in_part():
    """After bench presses to failure some overhead presses are left, and not all of them."""
    body = body_of(PRESS)
    work(body, PRESS, 0.03, 10.0, 0.5, 10.0, 0.0, 25.0, True)

    assert 2.0 < left(body, OVERHEAD, 0.03, 10.0, 25.0) < 9.5


def test_others_recover_while_one_works():
    """Rows between two sets of presses are rest for the presses, and no more than rest."""
    pressed, rested = body_of(PRESS), body_of(PRESS)
    for body in (pressed, rested):
        work(body, PRESS, 0.03, 10.0, 0.5, 10.0, 0.0, 25.0, False)
    work(pressed, ROW, 0.03, 12.0, 0.5, 12.0, 30.0, 30.0, False)

    assert left(pressed, PRESS, 0.03, 10.0, 60.0) == pytest.approx(left(rested, PRESS, 0.03, 10.0, 60.0))


def repeated(multiplier, rest_s, fresh, cap, sets, weights=PRESS, k=0.03, rep_s=2.5):
    """Repetitions of each of so many sets, ended by the cap or by failure."""
    body, now, done = body_of(weights), 0.0, []
    for _ in range(sets):
        available = int(left(body, weights, k, fresh, now) + 1e-9)
        size = float(min(cap, available))
        done.append(size)
        work(body, weights, k, fresh, multiplier, size, now, rep_s * size, available < cap)
        now += rep_s * size + rest_s
    return done


# (study, cap, fresh, sets, {rest [s]: (mean, SD)}). Totals of repetitions.
# Ratamess et al. 2010, JSCR 24 suppl 1: bench press 10RM, three sets capped at ten.
# Senna et al. 2009, JSSM 8:197-202: 10RM, three exercises of three sets, of 90; a third is one exercise. Two rests,
# both of them fitted: that one m gives both is all that is shown.
# Willardson & Burkett 2005, JSCR 19(1):23-26: 8RM, four sets; totals from memory, they give the published
# percentages (+26 %, +50 %) exactly; SD not known: 15 % of the mean, as in the other studies.
STUDIES = [
    ("Ratamess men", 10, 10.5, 3, {60: (18.0, 3.8), 120: (21.4, 3.8), 180: (23.5, 5.1)}),
    ("Ratamess women", 10, 10.5, 3, {60: (23.3, 3.8), 120: (27.1, 2.6), 180: (28.7, 1.5)}),
    ("Senna upper body", 10, 10.5, 3, {120: (71.1 / 3, 4.7 / 3), 300: (83.7 / 3, 6.1 / 3)}),
    ("Senna lower body", 10, 10.5, 3, {120: (66.7 / 3, 4.9 / 3), 300: (80.9 / 3, 6.9 / 3)}),
    ("Willardson bench press", 99, 8.5, 4, {60: (17.07, 2.6), 120: (21.47, 3.2), 300: (25.53, 3.8)}),
]


def misfit(multiplier, study):
    _, cap, fresh, sets, totals = study
    ends = (min(totals), max(totals))
    # The mean of people around the 10RM, so that the total does not jump by whole repetitions.
    spread = np.linspace(-0.5, 0.5, 9)
    return sum(
        ((np.mean([sum(repeated(multiplier, rest, fresh + d, cap, sets)) for d in spread]) - totals[rest][0])
         / totals[rest][1]) ** 2
        for rest in ends
    )  # fmt: skip


@pytest.mark.parametrize("study", STUDIES, ids=lambda study: study[0])
def test_published_totals_with_one_multiplier_each(study):
    """One m per group, fitted at the shortest and the longest rest, gives both within an SD. It predicts the one
    between within an SD too where there is one: in three of the five, not in Senna's.
    """
    grid = np.geomspace(0.05, 3.0, 60)
    best = min(grid, key=lambda m: misfit(m, study))
    _, cap, fresh, sets, totals = study
    spread = np.linspace(-0.5, 0.5, 9)
    for rest_s, (mean, sd) in totals.items():
        found = np.mean([sum(repeated(best, rest_s, fresh + d, cap, sets)) for d in spread])
        assert abs(found - mean) <= sd, (best, rest_s, found)


def second_sets(multiplier):
    """Mean repetitions of a second set to failure after 1, 3 and 5 min, of people with about eleven."""
    people = 11.0 + np.linspace(-2.5, 2.5, 41)
    return {
        rest: np.mean([repeated(multiplier, rest, fresh, 99, 2)[1] for fresh in people])
        for rest in (60, 180, 300)
    }


def test_a_second_set_at_three_quarters():
    """Richmond & Godard 2004, JSCR 18:846-849 (abstract): 28 men, two sets with 75 % of the bench press to failure.
    Work of the second 1389 (530), 1495 (451) and 1711 (478) after 1, 3 and 5 min, the first not regained after five;
    eight to twelve are kept with three minutes and more. 75 % is about eleven repetitions (table, from memory). One
    m that gives the ratio of the ends gives the middle within an SD, which is 451 of 1711.
    """
    grid = np.geomspace(0.05, 3.0, 60)
    best = min(grid, key=lambda m: abs(second_sets(m)[60] / second_sets(m)[300] - 1389.1 / 1711.4))
    found = second_sets(best)

    assert found[60] / found[300] == pytest.approx(1389.1 / 1711.4, abs=0.05)
    assert found[180] / found[300] == pytest.approx(1494.9 / 1711.4, abs=451.0 / 1711.4)
    assert found[300] < 11.0
    assert 8.0 <= found[180] <= 12.0


SQUATS = np.array([[1.0, 0.7], [1.0, 0.7]])


def test_light_work_does_not_forbid_heavy_work_for_the_day():
    """Forty air squats of sixty, then squats of five and a half: of the heavy work the slow part takes nine tenths at
    most, so that three of them are there again within minutes.
    """
    body, per_unit, fresh = Body(2), np.array([0.03, 0.025]), np.array([5.5, 60.0])
    for start in (0.0, 200.0, 400.0):
        body.set(SQUATS, per_unit, fresh, 1, 0.5, 40.0, start, 60.0, False)
    spent = body.spent(SQUATS[0], 0.03, 460.0)

    assert spent.first + spent.later == pytest.approx(0.9 * 5.5)
    assert seconds_until(spent, 2.5, 5.0, 3600.0) < 600.0


@pytest.mark.parametrize("failed", [False, True])
def test_the_slow_part_takes_up_to_its_limit_of_the_muscles_that_are_shared(failed):
    """60 units of work that takes two groups by 1 and a half; other work takes the second alone, four units of it are
    there fresh, and 0.9 of them are the limit, whether or not the last unit failed.
    """
    weights, per_unit, fresh = (
        np.array([[1.0, 0.5], [0.0, 1.0]]),
        np.array([0.03, 0.05]),
        np.array([60.0, 4.0]),
    )
    body = Body(2)
    body.set(weights, per_unit, fresh, 0, 0.75, 60.0, 0.0, 120.0, failed)

    assert body.rows[SLOW, 1] == pytest.approx(0.9 * 4.0 * 0.05)
    assert body.rows[SLOW, 0] == pytest.approx(2.0 * body.rows[SLOW, 1])


def test_part_of_a_unit_is_taken_at_its_own_depth():
    """Two units of ten are spent, two and a half follow: to depths 0.3, 0.4 and, the half one, 0.45."""
    expected = 0.5 * (0.3 + 0.3**5) + 0.5 * (0.3 + 0.4**5) + 0.5 * 0.5 * (0.3 + 0.45**5)
    assert slow_share(2.0, 10.0, 0.5, 2.5) == pytest.approx(expected)


def test_work_that_cannot_be_done_bounds_nothing():
    """A load that is too heavy fresh is no measure of what the lighter one leaves."""
    bodies = [Body(2) for _ in range(2)]
    for body, heavy in zip(bodies, (0.3, 30.0), strict=True):
        body.set(SQUATS, np.array([0.03, 0.025]), np.array([heavy, 20.0]), 1, 0.5, 18.0, 0.0, 40.0, False)
    assert bodies[0].rows == pytest.approx(bodies[1].rows)


def test_a_failed_repetition_costs_as_the_convention_says():
    """0.05 m of a repetition beside what was done, in the slow part."""
    done, failed = body_of(PRESS), body_of(PRESS)
    work(done, PRESS, 0.03, 10.0, 0.5, 8.0, 0.0, 20.0, False)
    work(failed, PRESS, 0.03, 10.0, 0.5, 8.0, 0.0, 20.0, True)
    assert PRESS @ (failed.rows[SLOW] - done.rows[SLOW]) == pytest.approx(0.05 * 0.5 * 0.03)
    assert failed.rows[FAST] == pytest.approx(done.rows[FAST])


def test_multipliers_are_log_normal():
    """Against scipy's log-normal with median 0.5 and log-SD 0.4."""
    u = np.array([0.1, 0.5, 0.9])

    assert slow_multipliers(u) == pytest.approx(lognorm(0.4, scale=0.5).ppf(u))
    with pytest.raises(ValueError, match="inside 0 to 1"):
        slow_multipliers(np.array([0.0, 0.5]))


@given(st.floats(0, 2), st.floats(0, 1), st.integers(0, 60))
@settings(deadline=None)
def test_fifth_powers_are_added_up(first, step, count):
    expected = math.fsum((first + unit * step) ** 5 for unit in range(1, count + 1))
    assert fifth_powers(first, step, float(count)) == pytest.approx(expected, rel=1e-9, abs=1e-12)
