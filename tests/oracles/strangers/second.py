"""Second population: a hyperbola of load and repetitions that ends at the maximum, two recoveries, and noise with
heavy tails and slips.

Status of a constant: P read in the paper itself, S read in a secondary text, MEM from memory; DERIVED arithmetic from
such; else invented.
"""

from dataclasses import dataclass

import numpy as np

from tests.oracles.strangers.movements import (
    BENCH_PRESS,
    LAT_PULL,
    LEG_PRESS,
    MOVEMENTS,
    SHOULDER_PRESS,
    transfers,
)
from tests.oracles.strangers.people import maxima, of_movements, paces, sexes, within
from tests.oracles.strangers.stranger import Form, Stranger
from tests.oracles.strangers.two_recoveries import TwoRecoveries

NAME = "second"

# The three-parameter hyperbola (Morton 1996, MEM) with repetitions for time and load for power, and one repetition at
# the maximum: n = 1 + L' (1 / (p - CL) - 1 / (1 - CL)). The two-parameter one is wrong by half at 90 % (DERIVED).
# The critical load is 0.33 of the maximum: the further up, the further 70 % leaves the published 14.1 (12.4–16.1).
CRITICAL_LOAD, CRITICAL_SPREAD = 0.33, 0.045
#: Counts at 80 %: bench 8.8, leg press 13.1 (Nuzzo et al. 2024, S), lat pull 9.9 (Johnson et al. 2009, P); shoulder
#: press invented. Each sets L' of its movement.
COUNT_AT_80 = {BENCH_PRESS: 8.8, SHOULDER_PRESS: 8.0, LEG_PRESS: 13.1, LAT_PULL: 9.9}

# L' and CL spread against each other, as those of critical power do (MEM), and as they must: SD 2.51 at 80 % and 4.36
# at 60 % (Nuzzo et al. 2024, S) grow less than the counts.
# Both are set so that those SDs come out.
RESERVE_SPREAD, OPPOSED = 0.45, -0.93  # SD of the logarithm of L'; correlation
COMMON = 0.6  # of either variance, what a person's movements share; invented

# The critical load is not held forever, but for 49 ± 14 repetitions (Dinyer et al. 2019, P: deadlift). How the bound
# is approached is invented: a mean of power -2 of it and the hyperbola.
MOST, MOST_SPREAD = 49.0, 14.0
LEG_MOST = 1.5  # times as many for the legs: Richens & Cleather 2014 (P) saw runners do 39.9 ± 17.6 at 70 %

# Errors of Student's distribution with four degrees of freedom, of scale ERROR * sqrt(count), and slips: a set that
# ends early for no reason. Together they stay within the SEM of Mitter et al. 2022 (P: 1.1 [.8, 1.4] at 70 %,
# 0.7 [.5, .9] at 90 %). How often one slips is invented.
FREEDOM, ERROR = 4, 0.16
SLIP, SLIP_LOSS = 0.015, (0.15, 0.45)  # probability of a set, part of its repetitions lost
FORM_SCALE = 0.006  # of the same distribution, each day anew; invented

# Chorley et al. 2022 (P), individuals: fast amplitude .477 ± .178, 22.0 ± 11.8 s, slow 377 ± 100 s, the second time
# 549 ± 226 s. Women: Ratamess et al. 2010 (P) saw them recover far more in one to three minutes; the two constants
# are set so that their totals come out.
FAST_PART, FAST_PART_SPREAD = {"m": 0.477, "w": 0.92}, {"m": 0.178, "w": 0.05}
FAST_S, FAST_S_SPREAD = {"m": 22.0, "w": 46.0}, 11.8
SLOW_S, SLOW_S_SPREAD = 377.0, 100.0
SLOWEST_S, SLOWEST_S_SPREAD = 549.0, 226.0


@dataclass(frozen=True)
class HyperbolaCurve:
    """`{movement: (critical load as a part of the maximum, L', most repetitions)}`."""

    parameters: dict[str, tuple[float, float, float]]

    def reps(self, movement, share):
        critical, reserve, most = self.parameters[movement]
        if share <= critical:
            return most
        beyond = reserve * (1 / (share - critical) - 1 / (1 - critical))
        # The bound is felt only beyond the first repetition, so that everybody has one at the maximum.
        return 1.0 + beyond / (1.0 + (beyond / (most - 1.0)) ** 2) ** 0.5


class HeavyTails:
    """Independent days and sets, most of them ordinary."""

    def forms(self, rng, days):
        return [
            Form(strength=float(np.exp(np.clip(FORM_SCALE * rng.standard_t(FREEDOM), -0.15, 0.08))))
            for _ in days
        ]

    def error(self, rng, expected, form):
        error = ERROR * expected**0.5 * rng.standard_t(FREEDOM)
        if rng.random() < SLIP:
            error -= expected * rng.uniform(*SLIP_LOSS)
        return min(error, 0.5 * expected)  # bad luck has no bound, good luck has


def _curves(rng, n):
    """Critical loads, reserves and bounds of n people, (n, movements) each."""
    first, second = of_movements(rng, n, COMMON), of_movements(rng, n, COMMON)
    opposed = OPPOSED * first + np.sqrt(1 - OPPOSED**2) * second
    critical = CRITICAL_LOAD + CRITICAL_SPREAD * within(opposed, 2.5)
    reserve = np.exp(RESERVE_SPREAD * within(first, 2.5) - RESERVE_SPREAD**2 / 2)
    counts = np.array([COUNT_AT_80[movement] for movement in MOVEMENTS])
    reserve = reserve * (counts - 1) * (0.8 - CRITICAL_LOAD) * (1 - CRITICAL_LOAD) / 0.2
    most = np.clip(MOST + MOST_SPREAD * rng.standard_normal((n, 1)), 25.0, 90.0)
    most = most * np.array([LEG_MOST if movement == LEG_PRESS else 1.0 for movement in MOVEMENTS])
    return np.stack([critical, reserve, most], axis=-1)


def population(rng, n):
    """List of n strangers of the second kind."""
    sex = sexes(rng, n)
    strengths, pace = maxima(rng, sex), paces(rng, n)
    curves = _curves(rng, n).tolist()
    z = rng.standard_normal((n, 4))
    overlap = rng.uniform(0.5, 1.0, n)
    return [
        Stranger(
            population=NAME,
            sex=str(sex[i]),
            maximum_kg=strengths[i],
            pace_s=float(pace[i]),
            curve=HyperbolaCurve({m: tuple(curves[i][j]) for j, m in enumerate(MOVEMENTS)}),
            fatigue=_recoveries(str(sex[i]), z[i], float(overlap[i])),
            noise=HeavyTails(),
        )
        for i in range(n)
    ]


def _recoveries(sex, z, overlap):
    """Recoveries of a person; the bounds keep the tails of four normal distributions in what is possible."""
    slow_s = float(np.clip(SLOW_S + SLOW_S_SPREAD * z[2], 150.0, 800.0))
    return TwoRecoveries(
        fast_part=float(np.clip(FAST_PART[sex] + FAST_PART_SPREAD[sex] * z[0], 0.05, 0.95)),
        fast_s=float(np.clip(FAST_S[sex] + FAST_S_SPREAD * z[1], 5.0, 90.0)),
        slow_s=slow_s,
        slowest_s=max(slow_s, float(SLOWEST_S + SLOWEST_S_SPREAD * z[3])),
        felt=transfers(overlap),
    )
