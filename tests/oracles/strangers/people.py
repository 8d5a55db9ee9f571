"""What the three populations have in common, which is little: sexes, maxima and pace. All of it is invented; the
maxima in proportions that trained people show, and correlated over movements."""

import numpy as np

from tests.oracles.strangers.movements import BENCH_PRESS, LAT_PULL, LEG_PRESS, MOVEMENTS, SHOULDER_PRESS

WOMEN = 0.45  # part of the population
MAXIMA_KG = {  # medians
    "m": {BENCH_PRESS: 92.0, SHOULDER_PRESS: 60.0, LEG_PRESS: 230.0, LAT_PULL: 85.0},
    "w": {BENCH_PRESS: 48.0, SHOULDER_PRESS: 32.0, LEG_PRESS: 160.0, LAT_PULL: 52.0},
}
MAXIMA_SPREAD = 0.16  # SD of the logarithm
PACE_S, PACE_SPREAD_S = 3.0, 0.35  # so that ten repetitions take the half minute of a 30-s sprint


def sexes(rng, n):
    return np.where(rng.random(n) < WOMEN, "w", "m")


def of_movements(rng, n, common):
    """(n, movements) standard normal deviates of which the part `common` of the variance is the person's own."""
    own = rng.standard_normal((n, 1))
    return np.sqrt(common) * own + np.sqrt(1 - common) * rng.standard_normal((n, len(MOVEMENTS)))


def within(deviates, most):
    """Deviates with their tails folded onto ±`most`, for parameters whose curve bends back beyond."""
    return np.clip(deviates, -most, most)


def maxima(rng, sex):
    """List of `{movement: kg}`, one for each of the sexes."""
    factors = np.exp(MAXIMA_SPREAD * of_movements(rng, len(sex), 0.6))
    return [
        {movement: MAXIMA_KG[one][movement] * float(factors[i, j]) for j, movement in enumerate(MOVEMENTS)}
        for i, one in enumerate(sex)
    ]


def paces(rng, n):
    return np.clip(PACE_S + PACE_SPREAD_S * rng.standard_normal(n), 2.0, 4.5)
