"""Constants of the capacity model that no source gives: ours, from a first calibration, each with its reason.

Published values stand where they are used (programming.calc.prior).
"""

from typing import Final

METHOD_VERSION: Final = 1
"""Raise when the same inputs would give another capacity: stored ones are then computed again."""

TEST_NOISE_BASE: Final = 0.5
TEST_NOISE_SLOPE: Final = 0.043
"""Day-to-day SD of a set to failure, 0.5 + 0.043 n repetitions. With the published spread of k and a 4 %
error of the tested maximum the spread between people comes out as published: 2.5 at 80 %, 4.4 at 60 % of the
maximum."""

ONE_RM_LOG_SD: Final = 0.04
"""Error of a tested one-repetition maximum, about 4 %."""

RIR_BIAS: Final = 1.0
"""People stop with about one repetition more in them than they say (0.95, Halperin et al. 2022), unless they
say that none is left."""

RIR_SD_BASE: Final = 0.4
RIR_SD_PER_RIR: Final = 0.15
RIR_SD_PER_REPETITION: Final = 0.06
RIR_SD_PER_REPETITION_BEYOND: Final = 0.47
RIR_STEEP_FROM: Final = 12.0
"""SD of that statement in repetitions. The slopes per repetition up to and beyond 12 are the published growth
of the error (Halperin et al. 2022); base and slope per repetition in reserve give about 1 repetition near
failure and about 2 at eight in reserve of a set of ten (Hackett et al. 2017)."""

COVERED_WITHIN_DAYS: Final = 28
"""Sets stopped as planned count once per four weeks: over that time the random walk's 2.6 % is about a set's
own noise, so an older one begins to tell something of its own."""

SMALLEST_LOAD_SD: Final = 1e-3
"""Floor of the noise in ln L. Near an asymptote the curve is so flat that a set's noise in repetitions would
mean almost none in load; nobody's strength is steadier than 0.1 %."""

DRIFT_VARIANCE_PER_DAY: Final = 2.5e-5
"""Random walk of ln L10, 0.5 % per square root of a day: 2.6 % in four weeks, 10 % in a year. Enough for a
trained person's changes; a beginner's gain of 20 % in three months is followed through tests, not
foreseen."""

WEAK_WEIGHT: Final = 0.25
"""How much a set counts that pain, a judge or the clock ended, against one that was stopped as planned."""

MISFIT_SHARE: Final = 0.4
MISFIT_OFFSET: Final = 0.1
"""SD of what the curve cannot tell, 0.4 n (0.1 + distance in ln L to the nearest tested load) repetitions: an
exponential through 70 to 90 % misses by tens of percent at half the load (Mitter et al. 2023 show the form
only for 70 to 90 %)."""

BEYOND_CURVE_PROBABILITY: Final = 0.05
"""A load is beyond the curve when it lies at or below the asymptote with at least this probability."""

MOST_REPETITIONS: Final = 500.0
"""Forecasts end here: more in one unbroken set is no matter of strength, and an unbounded tail has no
mean."""
