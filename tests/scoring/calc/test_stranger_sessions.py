"""Sessions of the strangers: the rules are kept, logs add up, histories are what they promise."""

from collections import Counter
from datetime import timedelta

import numpy as np
import pytest

from tests.oracles.strangers.people import MAXIMA_KG
from tests.oracles.strangers.populations import (
    BENCH_PRESS,
    FAILURE,
    LAT_PULL,
    PLANNED,
    POPULATIONS,
    Amount,
    Form,
    Rounds,
    Swap,
    as_planned,
    history,
    perform,
    to_failure,
)

NAMES = sorted(POPULATIONS)


@pytest.fixture(scope="module", params=NAMES)
def people(request):
    return POPULATIONS[request.param](np.random.default_rng(21), 60)


def kg(one, movement, share):
    return share * one.maximum_kg[movement]


@pytest.fixture(scope="module")
def histories(people):
    rng = np.random.default_rng(22)
    return [(one, history(rng, one)) for one in people]


@pytest.mark.parametrize("name", NAMES)
def test_the_same_seed_gives_the_same_people_and_logs(name):
    def sessions(seed):
        rng = np.random.default_rng(seed)
        return [history(rng, one) for one in POPULATIONS[name](rng, 5)]

    assert sessions(1) == sessions(1)
    assert sessions(1) != sessions(2)


def test_people_are_of_either_sex_and_unlike_each_other(people):
    assert {one.sex for one in people} == {"m", "w"}
    for movement in MAXIMA_KG["m"]:
        maxima = [one.maximum_kg[movement] for one in people]
        assert len(set(maxima)) == len(people)
        assert min(maxima) > 0.4 * MAXIMA_KG["w"][movement] and max(maxima) < 2.5 * MAXIMA_KG["m"][movement]


def test_a_load_for_a_count_gives_it(people):
    for one in people:
        load = one.load_for(BENCH_PRESS, 10.0)
        assert one.curve.reps(BENCH_PRESS, one.share(BENCH_PRESS, load, Form())) == pytest.approx(10.0)


def test_sets_to_failure_end_by_failure_and_add_up(people):
    rng = np.random.default_rng(23)
    for one in people:
        log = perform(rng, one, to_failure(BENCH_PRESS, kg(one, BENCH_PRESS, 0.7), [60.0, 120.0]))
        assert [done.rest_s for done in log.sets] == [None, 60.0, 120.0]
        assert {(done.ended_by, done.planned) for done in log.sets} == {(FAILURE, None)}
        assert log.elapsed_s == pytest.approx(180.0 + sum(done.seconds for done in log.sets), abs=0.2)
        assert log.score_s is None


def test_planned_sets_stop_at_their_count_or_fail_below_it(people):
    rng, ends = np.random.default_rng(24), Counter()
    for one in people:
        log = perform(rng, one, as_planned(LAT_PULL, kg(one, LAT_PULL, 0.75), [9, 9, 9], [60.0] * 2))
        for done in log.sets:
            assert (done.repetitions == 9) == (done.ended_by == PLANNED) and done.repetitions <= 9
            ends[done.ended_by] += 1
    assert min(ends[PLANNED], ends[FAILURE]) > 10


def test_a_set_stopped_early_leaves_more_for_the_next(people):
    """Without noise: four sets of half the count, the fourth to failure, against all four to failure."""
    rng = np.random.default_rng(25)
    for one in people:
        calm, load = one.calm(), one.load_for(BENCH_PRESS, 12.0)
        hard = perform(rng, calm, to_failure(BENCH_PRESS, load, [60.0] * 3)).sets[-1].repetitions
        easy = (
            perform(rng, calm, as_planned(BENCH_PRESS, load, [6, 6, 6, 99], [60.0] * 3)).sets[-1].repetitions
        )
        assert easy >= hard


def test_swap_changes_the_movement_at_each_break_and_charges_for_it(people):
    rng = np.random.default_rng(26)
    for one in people:
        amounts = (
            Amount(BENCH_PRESS, kg(one, BENCH_PRESS, 0.65), 40),
            Amount(LAT_PULL, kg(one, LAT_PULL, 0.65), 30, largest_set=8),
        )
        log = perform(rng, one, Swap(amounts, rest_s=30.0))
        done = {amount.movement: 0 for amount in amounts}
        breaks = 0
        for i, (this, after) in enumerate(zip(log.sets, (*log.sets[1:], None), strict=True)):
            amount = amounts[this.movement == LAT_PULL]
            other = amounts[this.movement != LAT_PULL]
            assert i > 0 or this.movement == BENCH_PRESS
            done[this.movement] += this.repetitions
            breaks += done[this.movement] < amount.repetitions
            if after is not None:
                open_elsewhere = done[other.movement] < other.repetitions
                assert after.movement == (other.movement if open_elsewhere else this.movement)
        assert log.finished and done == {BENCH_PRESS: 40, LAT_PULL: 30}
        assert log.breaks == breaks > 0
        assert log.score_s == pytest.approx(log.elapsed_s + 60.0 * breaks, abs=0.2)


def test_a_swap_without_a_break_costs_nothing(people):
    rng = np.random.default_rng(27)
    amounts = [(BENCH_PRESS, 2), (LAT_PULL, 2)]
    for one in people:
        plan = Swap(tuple(Amount(m, kg(one, m, 0.55), n) for m, n in amounts), rest_s=30.0)
        log = perform(rng, one.calm(), plan)
        assert [done.movement for done in log.sets] == [BENCH_PRESS, LAT_PULL]
        assert (log.breaks, log.score_s) == (0, log.elapsed_s)


def test_rounds_do_every_amount_in_turn_and_their_score_is_the_time(people):
    rng = np.random.default_rng(28)
    for one in people:
        pair = (
            Amount(BENCH_PRESS, kg(one, BENCH_PRESS, 0.6), 10),
            Amount(LAT_PULL, kg(one, LAT_PULL, 0.6), 7),
        )
        log = perform(rng, one, Rounds(3, pair, rest_s=20.0))
        expected = [(amount.movement, amount.repetitions) for amount in pair] * 3
        sets = iter(log.sets)
        for movement, amount in expected:
            while amount > 0:
                done = next(sets)
                assert done.movement == movement
                amount -= done.repetitions
            assert amount == 0
        assert next(sets, None) is None and log.score_s == log.elapsed_s


def test_what_cannot_be_lifted_is_given_up_without_a_score(people):
    plan = Rounds(2, (Amount(BENCH_PRESS, kg(people[0], BENCH_PRESS, 1.3), 5),), rest_s=30.0)
    log = perform(np.random.default_rng(29), people[0], plan)
    assert not log.finished and log.score_s is None
    assert {done.repetitions for done in log.sets} == {0}


def test_a_history_is_twelve_sessions_in_ten_weeks(histories):
    for _, sessions in histories:
        began = [one.began for one in sessions]
        assert len(began) == 12 and sorted(set(began)) == began
        assert timedelta(weeks=8) < began[-1] - began[0] < timedelta(weeks=10)
        kinds = Counter(one.kind for one in sessions)
        assert sessions[0].kind == "test" and kinds["test"] == 4
        assert kinds["swap"] + kinds["rounds"] == 2 and kinds["sets"] == 6


def test_loads_and_rests_of_histories_are_within_the_stated_bounds(histories):
    for one, sessions in histories:
        for session in sessions:
            for done in session.log.sets:
                assert 0.55 <= done.load_kg / one.maximum_kg[done.movement] <= 0.90
                assert done.load_kg % 2.5 == 0 and 0 <= done.repetitions < 130 and done.seconds > 0
            if session.kind in ("test", "sets"):
                assert all(30.0 <= rest <= 300.0 for rest in [done.rest_s for done in session.log.sets[1:]])


def test_histories_hold_planned_sets_and_failures_over_the_whole_range(histories):
    sets = [(one, done) for one, sessions in histories for session in sessions for done in session.log.sets]
    ends = Counter(done.ended_by for _, done in sets)
    assert min(ends.values()) > len(sets) / 4
    shares = np.array([done.load_kg / one.maximum_kg[done.movement] for one, done in sets])
    assert np.quantile(shares, 0.1) < 0.62 and np.quantile(shares, 0.95) > 0.80


def test_form_lasts_in_the_first_and_training_shows_in_the_third():
    days = list(range(0, 700, 1))
    first = POPULATIONS["first"](np.random.default_rng(30), 1)[0]
    strengths = np.log([form.strength for form in first.noise.forms(np.random.default_rng(31), days)])
    assert np.corrcoef(strengths[1:], strengths[:-1])[0, 1] == pytest.approx(0.75, abs=0.08)
    third = POPULATIONS["third"](np.random.default_rng(32), 300)
    rng = np.random.default_rng(33)
    gained = [np.log(one.noise.forms(rng, [0.0, 84.0])[1].strength) for one in third]
    assert np.mean(gained) == pytest.approx(12 * 0.004, abs=0.008)
