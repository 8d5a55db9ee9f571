"""What an organisation's own athletes say of people in a movement: its prior, refitted by partial pooling.

    y_i = shift + by_sex * s_i + per_decade * a_i + deviation_i + error_i

y_i is ln L10 of athlete i as the sights alone tell it, less what the catalogue expects at that body mass; s_i is
1/2 for men, -1/2 for women and 0 where the sex is not given; a_i are decades from 30 years on, 0 where the age is not
known. deviation has the SD tau between people, error the variance that is known of each. Empirical Bayes: the
coefficients have normal priors around 0 and are integrated out, ln tau one around the catalogue's; the most probable
tau is taken (a few athletes therefore move little). Nothing random: the same athletes give the same numbers.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray

FEWEST_PEOPLE: Final = 20
"""Ours: below, the spread between people is known to no better than a sixth, and a single group would be the norm."""

SHIFT_SD: Final = 0.15
SEX_SD: Final = 0.30
DECADE_SD: Final = 0.05
LOG_TAU_SD: Final = 0.25
"""Ours, how far organisations differ from the catalogue: 15 % in the load; between men and women what is published
(pull-up maximum 1.16 and 0.73 of the body mass, ln ratio 0.46; Johnson et al. 2009) as two SDs at most; 5 % a decade;
the spread counts as much as eight people would."""

TAU_STEPS: Final = 81
TAU_REACH: Final = 4.0  # SDs of ln tau each side
UNKNOWN_AGE: Final = 30.0

SHIFT_TOLERANCE: Final = 0.02
SEX_TOLERANCE: Final = 0.05
DECADE_TOLERANCE: Final = 0.02
SD_TOLERANCE: Final = 0.10
"""A fit that moved by less is not worth computing everybody again: 2 % of the load is less than a repetition."""


@dataclass(frozen=True)
class Member:
    """One athlete: y and the variance of its error (see above); sex "female", "male" or other; age in years."""

    y: float
    error: float
    sex: str = ""
    age: float | None = None


@dataclass(frozen=True)
class Fit:
    """Coefficients in ln L10, the SD between people (what is not known of the shift included), and of how many."""

    shift: float
    by_sex: float
    per_decade: float
    sd: float
    people: int

    def at(self, sex: str, age: float | None) -> float:
        """By how much ln L10 of such a person lies above the catalogue's."""
        return self.shift + self.by_sex * _side(sex) + self.per_decade * _decades(age)

    def moved_from(self, other: "Fit | None") -> bool:
        """Whether it differs enough to be worth another snapshot."""
        if other is None:
            return True
        return (
            abs(self.shift - other.shift) > SHIFT_TOLERANCE
            or abs(self.by_sex - other.by_sex) > SEX_TOLERANCE
            or abs(self.per_decade - other.per_decade) > DECADE_TOLERANCE
            or abs(math.log(self.sd / other.sd)) > SD_TOLERANCE
        )


def pooled(members: Sequence[Member], catalogue_sd: float) -> Fit | None:
    """The fit of one movement; None of fewer than FEWEST_PEOPLE. catalogue_sd: the SD between people as shipped."""
    if len(members) < FEWEST_PEOPLE:
        return None
    ordered = sorted(members, key=lambda m: (m.y, m.error, m.sex, m.age or 0.0))
    y = np.array([m.y for m in ordered])
    error = np.array([m.error for m in ordered])
    design = np.array([(1.0, _side(m.sex), _decades(m.age)) for m in ordered])
    steps = np.linspace(-TAU_REACH, TAU_REACH, TAU_STEPS) * LOG_TAU_SD
    score = [
        _log_evidence(y, error, design, catalogue_sd * math.exp(s)) - 0.5 * (s / LOG_TAU_SD) ** 2
        for s in steps
    ]
    tau = catalogue_sd * math.exp(_peak(steps, np.array(score)))
    mean, cov = _coefficients(y, error, design, tau)
    return Fit(
        float(mean[0]), float(mean[1]), float(mean[2]), math.sqrt(tau**2 + float(cov[0, 0])), len(ordered)
    )


def _side(sex: str) -> float:
    return {"male": 0.5, "female": -0.5}.get(sex, 0.0)


def _decades(age: float | None) -> float:
    return 0.0 if age is None else (age - UNKNOWN_AGE) / 10.0


def _coefficients(
    y: FloatArray, error: FloatArray, design: FloatArray, tau: float
) -> tuple[FloatArray, FloatArray]:
    """(mean (3,), covariance (3, 3)) of the coefficients given tau."""
    weight = 1.0 / (tau**2 + error)
    prior = np.diag([SHIFT_SD**-2, SEX_SD**-2, DECADE_SD**-2])
    cov: FloatArray = np.asarray(
        np.linalg.inv(prior + (design * weight[:, None]).T @ design), dtype=np.float64
    )
    mean: FloatArray = cov @ (design.T @ (weight * y))
    return mean, cov


def _log_evidence(y: FloatArray, error: FloatArray, design: FloatArray, tau: float) -> float:
    """ln of the density of y given tau, the coefficients integrated out, up to a constant."""
    variance = tau**2 + error
    mean, cov = _coefficients(y, error, design, tau)
    quadratic = float(y @ (y / variance)) - float(mean @ np.linalg.solve(cov, mean))
    return -0.5 * (float(np.log(variance).sum()) - float(np.linalg.slogdet(cov)[1]) + quadratic)


def _peak(steps: FloatArray, score: FloatArray) -> float:
    """Where the score is highest: the vertex of the parabola through the best step and its neighbours."""
    best = int(np.argmax(score))
    if best in (0, steps.size - 1):
        return float(steps[best])
    left, middle, right = score[best - 1 : best + 2]
    bend = left - 2.0 * middle + right
    return (
        float(steps[best] + 0.5 * (steps[1] - steps[0]) * (left - right) / bend)
        if bend < 0.0
        else float(steps[best])
    )
