"""Capacity of an athlete in a movement: the public names of its calculation, gathered in one place."""

from athletes.calc.carry import (
    INTERVAL_GROWN,
    NEVER_OBSERVED,
    ONLY_LOWER_BOUNDS,
    after_body_mass,
    carried,
    in_variation,
    is_seen,
    on_the_day,
    test_due,
)
from athletes.calc.constants import METHOD_VERSION, MOST_REPETITIONS
from athletes.calc.decay import Absence
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
    sample_lifts,
    sample_lifts_at,
    told_one_rm,
    told_repetitions,
)
from athletes.calc.soreness import Work
from athletes.calc.state import Capacity, from_json, to_json
from programming.calc.prior import FallOff, Prior, published_prior

__all__ = [
    "BEYOND_CURVE",
    "INTERVAL_GROWN",
    "METHOD_VERSION",
    "MOST_REPETITIONS",
    "NEVER_OBSERVED",
    "ONLY_LOWER_BOUNDS",
    "Absence",
    "Capacity",
    "FallOff",
    "Kind",
    "Observation",
    "OneRepMax",
    "Prior",
    "RepetitionForecast",
    "Work",
    "after_body_mass",
    "carried",
    "estimate_capacity",
    "from_json",
    "in_variation",
    "is_seen",
    "load_for_repetitions",
    "on_the_day",
    "one_rm",
    "probability_beyond",
    "published_prior",
    "repetitions_at",
    "sample_lifts",
    "sample_lifts_at",
    "test_due",
    "to_json",
    "told_one_rm",
    "told_repetitions",
]
