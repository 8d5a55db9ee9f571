"""Reading numbers back from a stored state: what cannot have been written there is refused with its name."""

from collections.abc import Mapping

import numpy as np

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
