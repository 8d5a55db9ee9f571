"""How long a logged set took."""

from __future__ import annotations

from math import isfinite

from programming.calc.variation import HOLD_SECONDS
from programming.plans import VariationEntry
from scoring.calc.attempt import SetEntry


def seconds_of(entry: SetEntry, done: VariationEntry) -> float:
    """As it was logged, else its usual time."""
    if entry.duration_s is not None and isfinite(entry.duration_s):
        return entry.duration_s
    return entry.amount if entry.unit == HOLD_SECONDS else entry.amount * done.variation.repetition_s
