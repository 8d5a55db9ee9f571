"""Athletes of other worlds: curves, noise, fatigue and self-report that the capacity model does not assume.

Written from published equations alone. Each world has another load-repetition curve and another error; what they
share is the published amount of scatter: within a person SEM 1.1 repetitions at 70 and 0.7 at 90 % of the
maximum (Mitter et al. 2022, P), between people a coefficient of variation of 0.2 in the repetitions at a share
(0.25 to 0.30 with the within-person part, as 2.5 of 8.8 at 80 %; Nuzzo et al. 2024, S).
No code of the estimator is used but the record of what was seen.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np

from athletes.calc.observation import Observation

CURVES: Final[dict[str, Callable[[float], float]]] = {
    # Repetitions to failure at a share p of the maximum, of a typical person on the bench.
    # Epley 1985: 1RM = w (1 + r / 30). Hyperbola.
    "epley": lambda p: 30.0 * (1.0 / p - 1.0),
    # Brzycki 1993: 1RM = 36 w / (37 - r). Straight line.
    "brzycki": lambda p: 37.0 - 36.0 * p,
    # Wathan 1994: p = 48.8 + 53.8 e^(-0.075 r) %. Exponential above an asymptote far above 0.
    "wathan": lambda p: -math.log(max(p - 0.488, 1e-6) / 0.538) / 0.075,
    # Mayhew et al. 1992: p = 52.2 + 41.9 e^(-0.055 r) %.
    "mayhew": lambda p: -math.log(max(p - 0.522, 1e-6) / 0.419) / 0.055,
    # Three-parameter hyperbola in the form of Morton, Redstone & Moss 2014 (MEM-M): a / (p - c) - b with c = 0.3,
    # a and b from one repetition at the maximum and 14.1 at 70 % (Nuzzo et al. 2024, S).
    "critical": lambda p: 12.227 / max(p - 0.3, 1e-6) - 16.467,
}
NOISES: Final = ("normal", "heavy_tailed", "skewed", "good_and_bad_days")
WORLDS: Final = tuple(zip(CURVES, (*NOISES, "normal"), strict=True))

BETWEEN_CV: Final = 0.2
LATER_SET_SHARE: Final = (0.40, 0.67)
"""Later sets after a minute as a share of the first, DERIVED from Ratamess et al. 2010 (men .40, women .67)."""


def typical_count(curve: str, share: float) -> float:
    """Repetitions of a typical person at a share of the maximum.

    Five of the seven published equations do not give one repetition at the maximum and are meant for two and more:
    from the share of two repetitions to the maximum a straight line leads to one.
    """
    equation = CURVES[curve]
    if equation(share) >= 2.0:
        return equation(share)
    easy = _share_of_two(curve)
    return 2.0 - max(share - easy, 0.0) / (1.0 - easy)


@cache
def _share_of_two(curve: str) -> float:
    """The share of the maximum at which two repetitions are left, by bisection."""
    equation = CURVES[curve]
    easy, hard = 0.5, 1.0
    for _ in range(40):
        middle = 0.5 * (easy + hard)
        easy, hard = (middle, hard) if equation(middle) >= 2.0 else (easy, middle)
    return easy


@cache
def _share_of_ten(curve: str) -> float:
    """The largest share of the maximum, on a grid of half a thousandth, at which there are ten repetitions."""
    return float(next(p for p in np.linspace(0.95, 0.4, 1101) if CURVES[curve](float(p)) >= 10.0))


@dataclass(frozen=True)
class Stranger:
    """A maximum in kg on day 0, its trend in ln per day, and how repetitions, reports and recovery come out."""

    curve: str
    noise: str
    maximum_kg: float
    trend: float
    scale: float
    modesty: float
    recovery: float

    def fresh(self, load_kg: float, day: int) -> float:
        """Repetitions in the middle of what is seen at a load: 1 to 100 up to the maximum, else none."""
        share = load_kg / (self.maximum_kg * math.exp(self.trend * day))
        if share > 1.0:
            return 0.0
        return min(max(self.scale * typical_count(self.curve, share), 1.0), 100.0)

    def count(self, rng: np.random.Generator, load_kg: float, day: int, luck: float) -> int:
        """A set to failure, `luck` being the standard normal of the day."""
        middle = self.fresh(load_kg, day)
        share = min(load_kg / self.maximum_kg, 1.2)
        sd = max(1.1 + (0.7 - 1.1) * (share - 0.7) / 0.2, 0.3)
        error = _error(rng, self.noise, luck)
        return max(0, round(middle + sd * error))


def _error(rng: np.random.Generator, noise: str, luck: float) -> float:
    """A draw of mean 0 and variance 1."""
    if noise == "heavy_tailed":
        return float(rng.standard_t(4)) / math.sqrt(2.0)
    if noise == "skewed":  # a bad day costs more than a good one gives
        return 1.0 - float(rng.gamma(1.0))
    if noise == "good_and_bad_days":  # what a day brings is common to all of its sets
        return math.sqrt(0.7) * luck + math.sqrt(0.3) * float(rng.normal())
    return float(rng.normal())


def stranger(rng: np.random.Generator, curve: str, noise: str, typical_l10_kg: float) -> Stranger:
    """Somebody of a world whose typical ten-repetition load is this."""
    return Stranger(
        curve,
        noise,
        maximum_kg=typical_l10_kg / _share_of_ten(curve) * math.exp(0.4 * rng.normal()),
        trend=float(rng.choice([0.0, 0.0005, 0.001])),  # up to 10 % in a hundred days of training
        scale=math.exp(BETWEEN_CV * rng.normal()),
        # Underrated by 0.95 on average (Halperin et al. 2022, P); people differ.
        modesty=0.95 + 0.7 * float(rng.normal()),
        recovery=float(rng.uniform(*LATER_SET_SHARE)),
    )


def seen_of(rng: np.random.Generator, who: Stranger, sessions: int, days: int) -> list[Observation]:
    """What a log of `sessions` days tells: tests, sets with a report, sets stopped early, and tired later sets."""
    told: list[Observation] = []
    for day in sorted(int(d) for d in rng.integers(0, days, sessions)):
        load = who.maximum_kg * float(rng.uniform(0.62, 0.95))
        luck = float(rng.normal())
        count = who.count(rng, load, day, luck)
        kind = rng.choice(["test", "test", "report", "planned", "maximum"])
        if kind == "maximum":
            found = who.maximum_kg * math.exp(who.trend * day + 0.03 * float(rng.normal()))
            told.append(Observation(day, found, 1.0, "one_rm"))
        elif kind == "report" and count > 2:
            left = int(rng.integers(1, min(5, count)))
            said = max(0, round(left - who.modesty + 0.25 * left * float(rng.normal())))
            told.append(Observation(day, load, float(count - left), "rir", float(said)))
        elif kind == "planned":
            told.append(Observation(day, load, float(count // 2), "at_least"))
        else:
            told.append(Observation(day, load, float(count), "to_failure" if count else "zero"))
            later = round(who.recovery * count)
            if later:
                told.append(Observation(day, load, float(later), "at_least"))
    return told
