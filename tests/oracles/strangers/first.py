"""First population: Wathan's curve, four compartments, counts whose spread grows with them, and day-to-day form that
lasts.

Status of a constant: P read in the paper itself, S read in a secondary text, MEM from memory; DERIVED arithmetic from
such; else invented.
"""

import math
from dataclasses import dataclass

import numpy as np

from tests.oracles.strangers.four_compartments import FourCompartments
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

NAME = "first"

# Wathan 1994 (S): 1RM = 100 w / (48.8 + 53.8 exp(-0.075 r)), so r = -ln((p - 48.8) / 53.8) / 0.075. Singular at
# 48.8 %; nobody here is asked below LEAST_SHARE.
ASYMPTOTE, SPAN, RATE = 0.488, 0.538, 0.075
LEAST_SHARE = 0.52

#: Counts by movement as multiples of Wathan's. Leg press 13.1 / 8.8 at 80 % (Nuzzo et al. 2024, S); lat pull 9.9
#: (Johnson et al. 2009, P) / 8.8; shoulder press invented.
STRETCH = {BENCH_PRESS: 1.0, SHOULDER_PRESS: 0.92, LEG_PRESS: 1.49, LAT_PULL: 1.125}

#: Between people the root of the count is spread evenly. SD 2.51 at 80 % and 4.36 at 60 % (Nuzzo et al. 2024, S) are
#: in the ratio 1.74, Wathan's counts there in that of 2.88, and 2.88 ** 0.52 = 1.74 (DERIVED). Its size leaves room
#: in those SDs for the error of a single test.
SPREAD = 0.47
COMMON = 0.6  # of the variance of the spread, what a person's movements share; invented

# Test-retest SEM 1.1 repetitions at 70 %, 0.7 at 90 % (Mitter et al. 2022, P) = form, rounding (1/12) and this error,
# SD ERROR * count ** ERROR_POWER (DERIVED).
ERROR, ERROR_POWER = 0.31, 0.45
FORM_SPREAD = 0.011  # SD of the maximum from day to day; invented, held down by the SEM at 90 %
FORM_KEPT = 0.75  # correlation of the form with that of the day before; invented

# R 0.00091 1/s and r 15 of a general joint (Frey-Law et al. 2012 and Looft et al. 2018, S) for men; women recover
# faster (Ratamess et al. 2010, P; Rakshit et al. 2021, S: elbow extensor R women/men 2.4). The slow part and the
# women's factor are set so that the totals of Ratamess come out; the slow time constant is that of the second
# recovery of Chorley et al. 2022 (P), between 388 and 716 s.
RECOVERY, FASTER = 0.00091, 15.0
SLOW_S = 500.0
SLOW_PART = {"m": 0.38, "w": 0.06}
SEX_RECOVERY = {"m": 1.1, "w": 1.65}
RECOVERY_SPREAD = 0.25  # SD of the logarithm; invented
SLOW_SPREAD = 0.3  # SD of the logit of the slow part; invented


@dataclass(frozen=True)
class WathanCurve:
    """Wathan's curve stretched by movement; `spread` in roots of a repetition, by movement."""

    spread: dict[str, float]

    def reps(self, movement, share):
        share = max(share, LEAST_SHARE)
        count = -math.log((share - ASYMPTOTE) / SPAN) / RATE
        beyond = max(0.0, STRETCH[movement] * count - 1.0)
        # Near the maximum people do not differ: there everybody's count is 1.
        root = math.sqrt(beyond) + self.spread[movement] * math.tanh(beyond / 2)
        return 1.0 + max(0.0, root) ** 2


class LastingForm:
    """Autoregressive form of the first order; Gaussian errors that grow with the count."""

    def forms(self, rng, days):
        form, last, result = rng.standard_normal(), days[0], []
        for day in days:
            kept = FORM_KEPT ** (day - last)
            form = kept * form + math.sqrt(1 - kept * kept) * rng.standard_normal()
            last = day
            result.append(Form(strength=math.exp(FORM_SPREAD * form)))
        return result

    def error(self, rng, expected, form):
        return ERROR * expected**ERROR_POWER * rng.standard_normal()


def population(rng, n):
    """List of n strangers of the first kind."""
    sex = sexes(rng, n)
    strengths, pace = maxima(rng, sex), paces(rng, n)
    spread = SPREAD * within(of_movements(rng, n, COMMON), 2.5)  # monotone in the load up to there
    recovery = RECOVERY * np.exp(RECOVERY_SPREAD * rng.standard_normal(n))
    slow = SLOW_SPREAD * rng.standard_normal(n)
    overlap = rng.uniform(0.7, 1.1, n)
    return [
        Stranger(
            population=NAME,
            sex=str(sex[i]),
            maximum_kg=strengths[i],
            pace_s=float(pace[i]),
            curve=WathanCurve(dict(zip(MOVEMENTS, spread[i].tolist(), strict=True))),
            fatigue=FourCompartments(
                recovery=float(recovery[i] * SEX_RECOVERY[sex[i]]),
                faster=FASTER,
                slow_part=_shifted(SLOW_PART[sex[i]], slow[i]),
                slow_s=SLOW_S,
                pace_s=float(pace[i]),
                felt=transfers(float(overlap[i])),
            ),
            noise=LastingForm(),
        )
        for i in range(n)
    ]


def _shifted(part, logits):
    """A part of one, moved on the scale of its logit."""
    return float(1 / (1 + (1 - part) / part * np.exp(-logits)))
