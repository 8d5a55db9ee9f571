"""Constants of the capacity model that no source gives: ours, from a first calibration, each with its reason.

Published values stand where they are used (programming.calc.prior).
"""

from typing import Final

METHOD_VERSION: Final = 5
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

RIR_BIAS_SD: Final = 0.7
"""Spread between people of that error. Ours: studies differ almost wholly by more than chance (I2 97.9 %, Halperin
et al. 2022), and with 0.7 nine of ten people underrate themselves, as nearly all studies found. A person's own is
learned as far as tests to failure tell it apart from strength."""

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

OFFSET_LOG_SD: Final = 0.05
"""What one variation is harder or easier for a person than its effective load says, in ln L, against the variation
seen most. Ours: published shares of the body mass in one push-up differ by 6 to 12 % with the method of measuring
(0.64 Ebben et al. 2011, 0.72 Suprak et al. 2011, 0.68 to 0.70 Mier et al. 2014); grips and stances differ less."""

ABSENCE_GRACE_DAYS: Final = 7
ABSENCE_LARGEST_LOSS: Final = 0.30
ABSENCE_LOSS_DAYS: Final = 100.0
ABSENCE_LOSS_CV: Final = 0.5
"""Fall of ln L10 after d days of confirmed absence: 0.30 (1 - exp(-(d - 7) / 100)), half of it as SD; nothing in the
first week. About 0.3 % a day at first: 5 % in 24 days, 12 % in eight weeks, 26 % in eight months. Bosquet et al.
2013 (Scand J Med Sci Sports 23:e140-e149, from memory, middling sure): maximal strength falls markedly from the
third week on, standardised by -0.46, strength endurance by -0.62; with people's spread of about 0.2 in ln L that
is 9 to 12 % over typical studies of some eight weeks. That endurance falls faster comes by itself: 5 % of the
load costs a fifth of ten repetitions."""

BODY_MASS_CHANGED: Final = 1.2
"""Since the last observation the body mass counts as changed from a fifth up or down: less is food, water, scales."""

BODY_MASS_SHARE: Final = 0.5
"""SD of ln L10 that a change of body mass adds, per ln of the change: between nothing (fat) and all of it (muscle).
Its direction is not foreseen."""

SORE_FULL_HOURS: Final = 24.0
SORE_HALF_HOURS: Final = 24.0
SORE_END_HOURS: Final = 168.0
SAME_SESSION_HOURS: Final = 3.0
"""The capacity is lowered in full up to a day after, by half of the rest per day from then on, no more after a week;
within three hours it is the same session, whose fatigue is another matter (M3)."""

FAILURE_REPETITIONS: Final = 30.0
FAILURE_LOSS: Final = 0.03
FAILURE_LOSS_SD: Final = 0.02
"""Fall of ln L a day after 30 repetitions in sets to failure, three sets of ten as in the study. Recovery takes 24 to
48 hours longer than after sets stopped halfway (Moran-Navarro et al. 2017, read in the abstract); the size, 3 % of
the load, is ours: about one repetition of ten."""

USUAL_DAYS: Final = 28
UNUSUAL_RATIO: Final = 2.0
UNUSUAL_LEAST: Final = 30.0
UNUSUAL_UNKNOWN: Final = 100.0
UNUSUAL_LOSS: Final = 0.20
UNUSUAL_LOSS_SD: Final = 0.15
"""Far more than usual: at least twice the median session of four weeks and 30 repetitions, or 100 where no earlier
session is known. Fall of ln L for four times the usual and more (for twice, half of it). Force a day after
unaccustomed work is down by less than 20 % where the damage is mild and by 20 to 50 % where it is moderate
(Paulsen et al. 2012, Exerc Immunol Rev 18:42-97; from memory, middling sure)."""

CONTRADICTION_SD: Final = 3.6
CONTRADICTION_DAYS: Final = 56
CONTRADICTION_NEIGHBOURS: Final = 6
"""Two sights at most eight weeks apart contradict each other when they are so many SDs apart, noise and the spread of
k between people included: by chance once in about 6 000 comparisons of one side. Each is held against the six
before it. The walk between them is counted in; over longer times people do change more than it foresees."""

TEST_DUE_LOG_SD: Final = 0.06
"""A test is due when ln L10 is less certain than this. Ours: 80 % within three repetitions of ten (0.06 x 1.28 at a
fall-off of 0.025), more than lies between neighbouring versions of a movement; reached some four months after a
single test."""

WEAK_WEIGHT: Final = 0.25
"""How much a set counts that pain, a judge or the clock ended, against one that was stopped as planned."""

MISFIT_AT_TESTED: Final = 0.04
MISFIT_NEAR: Final = 0.25
MISFIT_REACH: Final = 0.15
MISFIT_FAR: Final = 0.4
"""SD of what the curve cannot tell, n (0.04 + the greater of 0.25 (1 - exp(-d / 0.15)) and 0.4 d) repetitions at the
distance d in ln L to the nearest tested load: small where somebody was tested, 16 % of n a tenth of the load away,
32 % at half the load, where published equations differ by tens of percent. The near part is set so that 80 %
intervals hold 75 to 85 % of the next counts of people whose curves are other published ones (Epley, Brzycki,
Wathan, a critical load), and 70 % even for Mayhew et al. 1992, whose slope in ln L halves between 85 and 65 %;
without it that was 65 %. Where nobody tested anything the distance is from the load expected for ten and the near
part falls away: the spread of people covers it."""

BEYOND_CURVE_PROBABILITY: Final = 0.05
"""A load is beyond the curve when it lies at or below the asymptote with at least this probability."""

MOST_REPETITIONS: Final = 500.0
"""Forecasts end here: more in one unbroken set is no matter of strength, and an unbounded tail has no
mean."""
