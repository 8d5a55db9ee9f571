"""The pacing that is chosen beside three that have names, in people that it was not chosen by, by another player.

Every set to failure, equal sets, and 80 % of what is there each time; each with the rest of the grid that is best for
it in the people that the service plans by. A plan that breaks a bound does not count: where something is always kept,
nothing goes to failure; and nobody is sent for less than the service's own patience has worth a rest.
"""

from math import ceil, sqrt

import numpy as np
import pytest
from scipy.special import ndtri

from scoring.calc.items import KEPT
from scoring.calc.pacing import OWN_RESTS_S, best_policy, finer_grid
from tests.oracles.naive_block import NaiveBlock
from tests.oracles.share_player import Way, losses, play
from tests.scoring.calc.athletes import uniforms
from tests.scoring.calc.small_blocks import draw
from tests.support.examples import usually

PLANNED, FRESH = 64, 256
UNSURE = (0.05, 0.1, 0.2, 0.3)


def people(one, log_sd, count, seed):
    """(fresh (M, N), multipliers (N,)) of one athlete, log-normal."""
    u = uniforms(len(one.fresh) + 1, count, seed)
    return one.fresh[:, None] * np.exp(log_sd * ndtri(u[:, :-1].T)), 0.5 * np.exp(0.4 * ndtri(u[:, -1]))


def drawn(number):
    """(block, spread of the athlete, seed) of a number."""
    rng = np.random.default_rng([13, number])
    one = draw(rng, units=(12, 120), fresh=(4.0, 30.0))
    return one, float(rng.choice(UNSURE)), int(rng.integers(1 << 30)), bool(rng.integers(5))


def equal_sizes(one, fresh, kept):
    """By movement: each round in the fewest equal sets of four fifths of what the middle athlete has."""
    asked = one.small.amounts.max(axis=0)
    most = np.maximum(1.0, 0.8 * np.median(fresh, axis=1) - kept)
    return np.array(
        [ceil(amount / ceil(amount / size)) for amount, size in zip(asked, most, strict=True)], float
    )


def compared(number):
    """(name, mean loss more than the named plan's as a share, in standard errors) of each that counts."""
    one, log_sd, seed, to_failure = drawn(number)
    plan_by, by = people(one, log_sd, PLANNED, seed), people(one, log_sd, FRESH, seed + 1)
    scenarios = one.scenarios(*plan_by, to_failure=to_failure)
    kept, none = scenarios.items.table[KEPT].copy(), np.zeros(len(one.fresh))
    rough = best_policy(one.block, scenarios, draws=PLANNED)
    policy = best_policy(one.block, scenarios, finer_grid(scenarios.items, rough), PLANNED)

    def lost(of, share, rest_s, equal):
        return losses(
            one.small, of[0], one.seconds, of[1], Way(share, rest_s, policy.worthwhile, kept, equal)
        )

    chosen, most = lost(by, policy.share, policy.own_rest_s, none), 1.0 if to_failure else 0.8
    named = {"equal sets": (most, equal_sizes(one, plan_by[0], kept)), "80 %": (0.8, none)}
    named |= {"to failure": (1.0, none)} if to_failure else {}
    for name, (share, equal) in named.items():
        rest_s = min(OWN_RESTS_S, key=lambda rest: lost(plan_by, share, rest, equal).mean())
        other = lost(by, share, rest_s, equal)
        more = chosen - other
        error = more.std(ddof=1) / sqrt(FRESH)
        yield name, more.mean() / other.mean(), more.mean() / error if error else 0.0


def test_the_player_says_what_the_naive_block_says():
    """Fifty blocks: the same clock and breaks by shares, kept to nothing."""
    for number in range(50):
        one, log_sd, seed, _ = drawn(number)
        fresh, multipliers = people(one, log_sd, 2, seed)
        none, keyed = np.zeros(len(one.fresh)), one.by_key(one.seconds)
        for share, rest_s, worthwhile in ((0.8, 40.0, 0.0), (1.0, 20.0, 0.25)):
            told = NaiveBlock(
                one.block, one.by_key(fresh[:, 0]), multipliers[0], keyed, share=share, own_rest_s=rest_s,
                worthwhile=worthwhile,
            ).play()  # fmt: skip
            way = Way(share, rest_s, worthwhile, none, none)
            clock, breaks, _, finished = play(one.small, fresh[:, 0], one.seconds, multipliers[0], way)
            assert (clock, breaks, finished) == (pytest.approx(told.elapsed), told.breaks, told.finished)


def test_no_plan_with_a_name_is_better_beyond_chance():
    """A thousand blocks with `thorough`, a hundred else. Of equally good ones one in 44 is two errors apart."""
    rows = [row for number in range(usually(100, thorough=1000)) for row in compared(number)]
    worse = [(name, more) for name, more, errors in rows if errors > 2.0]

    assert len(worse) <= 0.023 * len(rows), worse
    assert max((more for _, more in worse), default=0.0) < 0.05
    assert np.mean([more for _, more, _ in rows]) < -0.03
