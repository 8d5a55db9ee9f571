"""What a test can tell of a change by itself: typical error and minimal detectable change.

Typical error: the spread of one person's result when nothing has changed, SD of the difference of two trials over the
root of 2; of several trials the root of the residual mean square of persons by trials (Hopkins 2000, Sports Med
30:1-15). Minimal detectable change: z sqrt(2) times the typical error, so that 95 % of differences of two tests lie
within it while nothing has changed.
"""

import math
from typing import Final

from scipy.special import ndtri

from athletes.calc.constants import ONE_RM_LOG_SD, TEST_NOISE_BASE, TEST_NOISE_SLOPE
from athletes.calc.endurance_constants import HOLD_LOG_SD
from programming.calc.arrays import FloatArray

CONFIDENCE: Final = 0.95


def typical_error(trials: FloatArray) -> float | None:
    """In the unit of trials (N, K), N persons with K results each; None with fewer than two of either.

    Differences of the trials that all persons share (learning) are no error.
    """
    if min(trials.shape) < 2:
        return None
    rest = trials - trials.mean(axis=1, keepdims=True) - trials.mean(axis=0) + trials.mean()
    degrees = (trials.shape[0] - 1) * (trials.shape[1] - 1)
    return math.sqrt(float((rest**2).sum()) / degrees)


def minimal_detectable_change(error: float, confidence: float = CONFIDENCE) -> float:
    """In the unit of the typical error, which must not be negative; confidence inside 0 to 1. Raises ValueError."""
    if not (math.isfinite(error) and error >= 0.0 and 0.0 < confidence < 1.0):
        raise ValueError(f"no minimal detectable change of {error!r} with {confidence!r}")
    return float(ndtri(0.5 + 0.5 * confidence)) * math.sqrt(2.0) * error


def usual_error_of_repetitions(repetitions: float) -> float:
    """Of a set to failure with so many repetitions."""
    return TEST_NOISE_BASE + TEST_NOISE_SLOPE * repetitions


def usual_error_of_maximum(kg: float) -> float:
    """In kg."""
    return ONE_RM_LOG_SD * kg


def usual_error_of_hold(seconds: float) -> float:
    """In seconds."""
    return HOLD_LOG_SD * seconds
