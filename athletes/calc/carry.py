"""A capacity on another day, and in another variation, than the one that it was estimated for."""

from dataclasses import replace
from typing import Final, Protocol

import numpy as np

from athletes.calc.constants import BODY_MASS_CHANGED, OFFSET_LOG_SD, TEST_DUE_LOG_SD
from athletes.calc.decay import away_until
from athletes.calc.record import body_mass_variance, walked
from athletes.calc.soreness import HOURS, share_left
from athletes.calc.state import Capacity
from programming.calc.arrays import FloatArray

NOON: Final = 12.0

NEVER_OBSERVED: Final = "never_observed"
ONLY_LOWER_BOUNDS: Final = "only_lower_bounds"
INTERVAL_GROWN: Final = "interval_grown"


def carried(capacity: Capacity, day: int) -> Capacity:
    """The capacity as it is known on a later day: ln L10 has drifted, fallen with confirmed absence, and risen by
    what training adds.

    Without the soreness of that day (see :func:`on_the_day`). Earlier days change nothing.
    """
    if day <= capacity.day:
        return capacity
    days = np.array([capacity.day, day], dtype=np.float64)
    fall, grown = (float(column[1] - column[0]) for column in walked(capacity.absences, days))
    mean, left = capacity.mean - fall, capacity.gain_days
    if capacity.gain and left:
        before, after = (days - away_until(capacity.absences, days)).tolist()
        mean, left = mean + capacity.gain * min(after - before, left), max(left - (after - before), 0.0)
    return replace(capacity, mean=mean, var=capacity.var + grown, day=day, gain_days=left)


def on_the_day(capacity: Capacity, hour: float = NOON) -> Capacity:
    """What can be done on the capacity's own day, soreness included; nothing of it is left to carry on."""
    sore = capacity.soreness
    if sore is None:
        return capacity
    left = float(share_left(np.array([HOURS * capacity.day + hour - sore.at_hour]))[0])
    effect = sore.effect
    # The effect and ln L10 are known through the same sights: what one takes of them the other does not.
    var = capacity.var + left * left * effect.var - 2.0 * left * effect.cov
    lowered = capacity.mean - left * effect.mean
    return replace(capacity, mean=lowered, var=np.maximum(var, 1e-12), soreness=None)


def in_variation(capacity: Capacity, variation: str) -> Capacity:
    """The capacity of one variation: its own offset where it was seen, a wider one where it never was.

    The reference itself, "" (nobody says which), and a capacity that rests on no observation stay as they are: what
    is true of people in a movement holds for each of its variations.
    """
    if variation in ("", capacity.reference) or not capacity.observations:
        return capacity
    for name, offset in capacity.offsets:
        if name == variation:
            var = capacity.var + offset.var + 2.0 * offset.cov
            return replace(capacity, mean=capacity.mean + offset.mean, var=np.maximum(var, 1e-12))
    return replace(capacity, var=capacity.var + OFFSET_LOG_SD**2)


def is_seen(capacity: Capacity, variation: str) -> bool:
    """Whether anything was seen of the variation."""
    named = (capacity.reference, *(name for name, _ in capacity.offsets))
    return capacity.observations > 0 and variation in named


def after_body_mass(capacity: Capacity, before_kg: float, after_kg: float) -> Capacity:
    """When the body mass has changed much since the last observation: less certain, neither lower nor higher."""
    changed = max(after_kg / before_kg, before_kg / after_kg) >= BODY_MASS_CHANGED
    if not changed:
        return capacity
    var = capacity.var + body_mass_variance(before_kg, after_kg)
    return replace(capacity, var=var, body_mass_changed=True)


class Mixed(Protocol):
    """A mixture of normals over nodes, all (K,): any capacity."""

    @property
    def weight(self) -> FloatArray: ...
    @property
    def mean(self) -> FloatArray: ...
    @property
    def var(self) -> FloatArray: ...


def log_sd(capacity: Mixed) -> float:
    """SD of ln L10, ln L60 or ln of the critical power over all nodes."""
    centre = float(capacity.weight @ capacity.mean)
    return float(np.sqrt(capacity.weight @ (capacity.var + (capacity.mean - centre) ** 2)))


def test_due(capacity: Capacity) -> str | None:
    """Why a test to failure is due on the capacity's day, None when none is."""
    if not capacity.observations:
        return NEVER_OBSERVED
    if not capacity.tested_log_loads.size:
        return ONLY_LOWER_BOUNDS
    return INTERVAL_GROWN if log_sd(capacity) > TEST_DUE_LOG_SD else None
