"""Reading numbers back from a stored state: what cannot have been written there is refused with its name."""

from collections.abc import Mapping

import numpy as np

from athletes.calc.decay import Absence
from programming.calc.arrays import FloatArray


def array_of(document: Mapping[str, object], name: str) -> FloatArray:
    """A list of finite numbers as an array. Raises ValueError."""
    value = document.get(name)
    if not isinstance(value, list) or not all(type(entry) in (float, int) for entry in value):
        raise ValueError(f"{name} must be a list of numbers")
    array = np.array(value, dtype=np.float64)
    if not np.isfinite(array).all():
        raise ValueError(f"{name} must be finite")
    return array


def whole_of(document: Mapping[str, object], name: str) -> int:
    """A whole number. Raises ValueError."""
    value = document.get(name)
    if type(value) is not int:
        raise ValueError(f"{name} must be a whole number")
    return value


def absences_of(document: Mapping[str, object]) -> tuple[Absence, ...]:
    """Pairs of days; none where they were not kept yet. Raises ValueError."""
    value = document.get("absences", [])
    if not isinstance(value, list) or not all(
        isinstance(pair, list) and len(pair) == 2 and all(type(day) is int for day in pair) for pair in value
    ):
        raise ValueError("absences must be a list of pairs of whole numbers")
    return tuple(Absence(first, last) for first, last in value)
