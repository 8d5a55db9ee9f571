"""The personal multiplier of slow fatigue: a plain second implementation, and people whose multiplier is known."""

import math

import numpy as np
import pytest
from scipy.stats import norm

from athletes.calc.constants import TEST_NOISE_BASE, TEST_NOISE_SLOPE
from athletes.calc.fatigue import MULTIPLIER_LOG_SD, MULTIPLIER_MEDIAN
from athletes.calc.multiplier import (
    CHOICE,
    FAILURE,
    METHOD_VERSION,
    OTHERWISE,
    Able,
    SetsDone,
    learn,
    likelihood,
)

PUSH = np.array([[1.0, 0.9, 0.4]])
K = 0.03


def done(amounts, starts, ended, pieces=None, pace=2.0):
    count = len(amounts)
    return SetsDone(
        np.array(pieces or [0] * count, np.int64),
        np.array(starts, float),
        np.array(amounts, float) * pace,
        np.array(amounts, float),
        np.array(ended, np.int64),
    )


def able(fresh, weights=PUSH, k=K):
    fresh = np.asarray(fresh, float)
    return Able(fresh, np.full_like(fresh, k), weights)


class PlainBody:
    """One piece of work: fast and slow in units, unit after unit."""

    def __init__(self, fresh, m):
        self.fresh, self.m, self.fast, self.slow, self.ended, self.sets = fresh, m, 0.0, 0.0, 0.0, 0

    def there(self, moment):
        rest = moment - self.ended
        self.fast *= math.exp(-rest / 21.5)
        self.slow *= math.exp(-rest / (388.0 if self.sets == 1 else 716.0))
        self.ended = moment
        return self.fresh - self.fast - self.slow

    def work(self, amount, seconds, failed):
        slow, spent = 0.0, self.fast + self.slow
        for unit in range(1, int(amount) + 1):
            slow += min(1.0, self.m * (0.3 + ((spent + unit) / self.fresh) ** 5))
        room = max(0.0, 0.9 * self.fresh - self.slow)
        slow = min(slow, room)
        self.fast += amount - slow
        self.slow += slow + (min(0.05 * self.m, room - slow) if failed else 0.0)
        self.ended, self.sets = self.ended + seconds, self.sets + 1


def test_likelihood_is_that_of_a_plain_computation():
    """Three people, four sets of one movement, three multipliers: products of differences of the normal's CDF."""
    sets = done([12, 7, 5, 4], [0, 84, 158, 258], [FAILURE, FAILURE, CHOICE, OTHERWISE])
    fresh, grid = [11.0, 12.6, 14.2], [0.2, 0.5, 1.1]
    expected = []
    for m in grid:
        each = []
        for available in fresh:
            body, product = PlainBody(available, m), 1.0
            for start, seconds, amount, ended in zip(
                sets.start, sets.seconds, sets.amount, sets.ended, strict=True
            ):
                there = body.there(start)
                noise = TEST_NOISE_BASE + TEST_NOISE_SLOPE * max(there, 0.0)
                low, high = (amount - there) / noise, (amount + 1 - there) / noise
                if ended == FAILURE:
                    product *= 0.98 * (norm.cdf(high) - norm.cdf(low)) + 0.02 * 0.02
                elif ended == CHOICE:
                    product *= 0.98 * norm.sf(low) + 0.02
                body.work(amount, seconds, ended == FAILURE)
            each.append(product)
        expected.append(math.log(np.mean(each)))

    found = likelihood(sets, able(np.array(fresh)[:, None]), np.array(grid))
    assert found == pytest.approx(expected, rel=1e-6)


def test_nothing_logged_leaves_what_was_thought():
    told = learn([])
    assert told.median == pytest.approx(MULTIPLIER_MEDIAN)
    assert told.log_sd == pytest.approx(MULTIPLIER_LOG_SD, rel=0.02)
    assert told.sets == 0


@pytest.mark.parametrize(("median", "log_sd"), [(0.3, 0.4), (0.75, 0.4), (0.5, 0.15), (0.75, 0.8)])
def test_what_was_thought_before_is_told_and_weighed(median, log_sd):
    """Against quadrature of prior and likelihood over ln m; nothing logged gives the prior back."""
    before = learn([], median=median, log_sd=log_sd)
    assert (before.median, before.log_sd) == pytest.approx((median, log_sd), rel=0.02)

    fresh = 12.5 * np.exp(0.1 * norm.ppf((np.arange(64) + 0.5) / 64))
    sets, people = done([12, 7, 5], [0, 114, 218], [FAILURE] * 3), able(fresh[:, None])
    log_m = np.log(median) + log_sd * np.linspace(-3.0, 3.0, 2001)
    weight = norm.pdf(log_m, np.log(median), log_sd) * np.exp(likelihood(sets, people, np.exp(log_m)))
    weight /= weight.sum()
    mean = weight @ log_m
    told = learn([(sets, people)], median=median, log_sd=log_sd)
    assert math.log(told.median) == pytest.approx(mean, abs=0.02)
    assert told.log_sd == pytest.approx(math.sqrt(weight @ (log_m - mean) ** 2), rel=0.05)


def test_another_likelihood_is_another_method():
    """What is stored is kept until METHOD_VERSION moves, so the two are raised and noted here together: a session of
    known answer, as version 2 (a failed unit costs units, not strength) reads it. A record, no claim of truth.
    """
    people = able(np.linspace(11.5, 13.5, 9)[:, None], k=0.01)
    told = learn([(done([12, 6, 4], [0, 114, 216], [FAILURE] * 3), people)])
    assert (METHOD_VERSION, told.median) == (2, pytest.approx(1.02564, rel=1e-5))


def test_only_sets_that_tell_something_are_counted():
    ended = [FAILURE, CHOICE, OTHERWISE, FAILURE]
    assert learn([(done([12, 5, 4, 4], [0, 114, 218, 320], ended), able([[12.5]]))]).sets == 3


def performed(fresh, m, rng, rests=(90.0, 90.0, 60.0)):
    """Four sets to failure of somebody with so much available and this multiplier."""
    body, start, amounts, starts = PlainBody(fresh, m), 0.0, [], []
    for rest in (0.0, *rests):
        start += rest
        there = body.there(start)
        noise = TEST_NOISE_BASE + TEST_NOISE_SLOPE * max(there, 0.0)
        count = max(1, math.floor(there + noise * rng.standard_normal()))
        amounts.append(count)
        starts.append(start)
        body.work(count, 2.0 * count, True)
        start += 2.0 * count
    return done(amounts, starts, [FAILURE] * len(amounts))


def test_the_interval_holds_who_was_simulated():
    """300 of the prior, three sessions each: 80 % intervals of ln m hold 75 to 85 % (SE 2.3), and are narrower."""
    rng, held, spreads = np.random.default_rng(7), 0, []
    for _ in range(300):
        m = MULTIPLIER_MEDIAN * math.exp(MULTIPLIER_LOG_SD * rng.standard_normal())
        sessions = []
        for _ in range(3):
            fresh = math.exp(math.log(16.0) + 0.15 * rng.standard_normal())
            people = 16.0 * np.exp(0.15 * norm.ppf((np.arange(128) + 0.5) / 128))
            sessions.append((performed(fresh, m, rng), able(people[:, None])))
        told = learn(sessions)
        held += abs(math.log(m / told.median)) <= norm.ppf(0.9) * told.log_sd
        spreads.append(told.log_sd)
    assert 0.75 <= held / 300 <= 0.85
    assert np.mean(spreads) < 0.75 * MULTIPLIER_LOG_SD


def test_who_keeps_repetitions_tires_less():
    """12, 11, 11 after 90 s each is a smaller multiplier than 12, 6, 4 (a fact of the model's meaning)."""
    people = able(np.linspace(11.5, 13.5, 9)[:, None])
    few = learn([(done([12, 11, 11], [0, 114, 226], [FAILURE] * 3), people)])
    many = learn([(done([12, 6, 4], [0, 114, 216], [FAILURE] * 3), people)])
    assert few.median < MULTIPLIER_MEDIAN < many.median


def test_rows_tell_of_who_presses_by_the_person_alone():
    """Work that shares no muscles is still the same person's: the multiplier is one."""
    weights = np.array([[1.0, 0.0], [0.0, 1.0]])
    people = Able(np.full((1, 2), 12.5), np.full((1, 2), K), weights)
    sets = done([12, 12, 5, 5], [0, 30, 90, 110], [FAILURE] * 4, pieces=[0, 1, 0, 1])
    assert learn([(sets, people)]).median > MULTIPLIER_MEDIAN


@pytest.mark.parametrize(
    ("amounts", "starts"), [([5, 5], [0, 5]), ([5, 5], [50, 0]), ([5, 0], [0, 60]), ([5, math.nan], [0, 60])]
)
def test_sets_that_cannot_be_are_refused(amounts, starts):
    with pytest.raises(ValueError, match="must"):
        learn([(done(amounts, starts, [FAILURE] * 2), able([[12.0]]))])
