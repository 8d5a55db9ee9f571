"""Capacity: what an athlete can do in a movement, as a distribution that a row can store."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from programming.calc.arrays import FloatArray

ARRAYS = ("k_nodes", "weight", "mean", "var", "tested_log_loads")


@dataclass(frozen=True, eq=False)
class Capacity:
    """Mixture over the fall-off k of normal distributions of ln L10 (L10: load in kg for ten repetitions).

    k_nodes, weight, mean, var are (K,), weights summing to 1, mean and var of ln L10 given k, on `day`;
    asymptote_share is a of A = a S; tested_log_loads (T,) are the ln kg of loads at which the curve was
    tested from both sides, ascending; observations counts what was used.
    """

    k_nodes: FloatArray
    weight: FloatArray
    mean: FloatArray
    var: FloatArray
    day: int
    asymptote_share: float
    tested_log_loads: FloatArray
    observations: int

    def __post_init__(self) -> None:
        for name in ARRAYS:
            getattr(self, name).setflags(write=False)


def to_json(capacity: Capacity) -> dict[str, object]:
    """Plain numbers and lists that read back to the same capacity, bit for bit."""
    document: dict[str, object] = {name: getattr(capacity, name).tolist() for name in ARRAYS}
    return document | {
        "day": capacity.day,
        "asymptote_share": capacity.asymptote_share,
        "observations": capacity.observations,
    }


def from_json(document: Mapping[str, object]) -> Capacity:
    """The capacity that :func:`to_json` wrote. Raises ValueError when it cannot have been written there."""
    k_nodes, weight, mean, var, tested = (_array(document, name) for name in ARRAYS)
    if not k_nodes.size == weight.size == mean.size == var.size > 0:
        raise ValueError("k_nodes, weight, mean and var must have one common length, at least 1")
    if not ((k_nodes > 0.0).all() and (weight >= 0.0).all() and (var > 0.0).all()):
        raise ValueError("k_nodes and var must be positive, weight not negative")
    if abs(weight.sum() - 1.0) > 1e-9:
        raise ValueError("weight must sum to 1")
    day, observations, share = (document.get(name) for name in ("day", "observations", "asymptote_share"))
    if not isinstance(day, int) or not isinstance(observations, int) or not isinstance(share, float | int):
        raise ValueError("day and observations must be whole numbers, asymptote_share a number")
    if not 0.0 <= share < 1.0:
        raise ValueError("asymptote_share must lie in 0 to 1")
    return Capacity(k_nodes, weight, mean, var, day, float(share), tested, observations)


def _array(document: Mapping[str, object], name: str) -> FloatArray:
    value = document.get(name)
    if not isinstance(value, list) or not all(type(entry) in (float, int) for entry in value):
        raise ValueError(f"{name} must be a list of numbers")
    array = np.array(value, dtype=np.float64)
    if not np.isfinite(array).all():
        raise ValueError(f"{name} must be finite")
    return array
