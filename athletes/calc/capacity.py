"""Capacity of an athlete in a movement: the public names of its calculation, gathered in one place."""

from athletes.calc.constants import METHOD_VERSION, MOST_REPETITIONS
from athletes.calc.estimate import estimate_capacity
from athletes.calc.observation import Kind, Observation
from athletes.calc.predict import (
    BEYOND_CURVE,
    OneRepMax,
    RepetitionForecast,
    load_for_repetitions,
    one_rm,
    probability_beyond,
    repetitions_at,
    sample_repetitions,
)
from athletes.calc.state import Capacity, from_json, to_json
from programming.calc.prior import FallOff, Prior, published_prior

__all__ = [
    "BEYOND_CURVE",
    "METHOD_VERSION",
    "MOST_REPETITIONS",
    "Capacity",
    "FallOff",
    "Kind",
    "Observation",
    "OneRepMax",
    "Prior",
    "RepetitionForecast",
    "estimate_capacity",
    "from_json",
    "load_for_repetitions",
    "one_rm",
    "probability_beyond",
    "published_prior",
    "repetitions_at",
    "sample_repetitions",
    "to_json",
]
