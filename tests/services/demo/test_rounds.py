"""Rounds of riding and lifting by invented bodies."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from services.demo.generator import Body
from services.demo.rounds import RoundSet, RoundWork, do_rounds, seconds_of

BODY = Body(
    maxima={}, span=30.0, pace_s=2.0, refill_s=120.0, sink=0.3, gain=0.0, critical_w=200.0, reserve_j=16_000.0
)
WORK = RoundWork(ride_j=16_000.0, repetitions=12, fresh=16.0)
ROUNDS = 5


def done(body: Body = BODY, work: RoundWork = WORK, seed: int = 1) -> tuple[RoundSet, ...]:
    return do_rounds(body, work, ROUNDS, rng=np.random.default_rng(seed))


@pytest.mark.parametrize("fresh", [0.0, 3.0, 16.0, 40.0])
def test_every_round_is_done_whole(fresh: float) -> None:
    """Five rides, and all repetitions of each round between them, however weak the arms are."""
    sets = done(work=replace(WORK, fresh=fresh))
    starts = [place for place, one in enumerate(sets) if one.repetitions is None]
    assert len(starts) == ROUNDS
    for start, end in zip(starts, [*starts[1:], len(sets)], strict=True):
        assert sum(one.repetitions or 0 for one in sets[start + 1 : end]) == WORK.repetitions


def test_a_stronger_engine_rides_faster_and_stronger_arms_need_fewer_sets() -> None:
    """Each shortens the whole, by the part that it is of."""
    assert seconds_of(done(replace(BODY, critical_w=300.0))) < seconds_of(done())
    assert len(done(work=replace(WORK, fresh=40.0))) == 2 * ROUNDS < len(done(work=replace(WORK, fresh=8.0)))


def test_rides_keep_within_power_and_reserve() -> None:
    """Energy is conserved: what was ridden is at most power that lasts times time, with the reserve once."""
    body = replace(BODY, critical_w=150.0)
    seconds = sum(one.duration_s for one in done(body) if one.repetitions is None)
    form = 1.2  # far beyond a good day of the generator
    assert ROUNDS * WORK.ride_j <= form * body.critical_w * seconds + body.reserve_j


def test_the_same_seed_gives_the_same_day() -> None:
    """Nothing but the seed decides."""
    assert done(seed=3) == done(seed=3)
    assert done(seed=3) != done(seed=4)


def test_a_trial_is_of_power_and_reserve() -> None:
    """work = critical power * seconds + reserve (Monod and Scherrer 1965; from memory)."""
    assert BODY.trial_s(200.0 * 300.0 + 16_000.0) == pytest.approx(300.0)
    assert BODY.trial_s(8_000.0) == pytest.approx(10.0)  # nobody rides at more than four times it
