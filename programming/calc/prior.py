"""What is taken to be true of people in a movement before anything is known of this one.

The fall-off k is the share of the load lost per repetition of the curve n* = ln(S / L) / k. A count of r
repetitions to failure means r <= n* < r + 1, so a published mean count stands for n* half a repetition
higher.
"""

import math
from dataclasses import dataclass
from enum import Enum
from typing import Final

FALL_OFF_CV: Final = 0.19
"""Coefficient of variation of k between people: with a 4 % error of the tested maximum and the test noise it
reproduces the published spread of repetitions at 80 % (2.51) and 60 % (4.36); Nuzzo et al. 2024, read in
secondary texts."""

FALL_OFF_LOG_SD: Final = math.sqrt(math.log1p(FALL_OFF_CV**2))

UNKNOWN_LOG_L10_SD: Final = 0.45
"""Spread of ln L10 when only the movement and the body mass are known. Ours: two thirds of athletes between
0.64 and 1.57 of the typical load, wide enough for beginners and the trained in one population."""


class FallOff(Enum):
    """Median k of kinds of movement, per repetition.

    From the mean counts of Nuzzo et al. 2024 (read in secondary texts), k = ln(100 / percent) / (count -
    0.5): bench and leg press the mean of 70 and 80 % of the one-repetition maximum, where the source gives
    intervals; general the mean of 70 and 90 %.
    """

    BENCH_LIKE = 0.0265
    LEG_PRESS_LIKE = 0.0185
    GENERAL = 0.0240


@dataclass(frozen=True)
class Prior:
    """Normal priors of ln L10 (L10 in kg) and ln k (k per repetition), independent of each other.

    asymptote_share is a, the share of the load at no repetitions that could be moved for ever (A = a S, 0 to
    0.9). misfit multiplies what is taken of people's departures from the curve; gain is what training adds to ln L10
    in a day. Raises ValueError outside the ranges
    in which the curve means anything.
    """

    log_l10: float
    log_l10_sd: float
    log_k: float
    log_k_sd: float
    asymptote_share: float = 0.0
    misfit: float = 1.0
    gain: float = 0.0

    def __post_init__(self) -> None:
        for name, low, high in (
            ("log_l10", -10.0, 15.0),
            ("log_l10_sd", 1e-4, 3.0),
            ("log_k", -9.0, 0.0),
            ("log_k_sd", 1e-3, 1.0),
            ("asymptote_share", 0.0, 0.9),
            ("misfit", 0.0, 10.0),
            ("gain", -0.01, 0.01),
        ):
            value = getattr(self, name)
            if not (math.isfinite(value) and low <= value <= high):
                raise ValueError(f"{name} must lie in {low} to {high}, got {value!r}")


def published_prior(
    typical_l10_kg: float,
    fall_off: FallOff = FallOff.GENERAL,
    *,
    log_l10_sd: float = UNKNOWN_LOG_L10_SD,
    asymptote_share: float = 0.0,
) -> Prior:
    """The prior of a movement from the load in kg that people like this one move ten times.

    Raises ValueError when typical_l10_kg is not positive and finite.
    """
    if not (math.isfinite(typical_l10_kg) and typical_l10_kg > 0.0):
        raise ValueError(f"typical_l10_kg must be positive and finite, got {typical_l10_kg!r}")
    return Prior(
        math.log(typical_l10_kg), log_l10_sd, math.log(fall_off.value), FALL_OFF_LOG_SD, asymptote_share
    )
