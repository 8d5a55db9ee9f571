"""Capacity: what an athlete can do in a movement, as a distribution that a row can store."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from athletes.calc.decay import Absence
from athletes.calc.lifted import Lift
from programming.calc.arrays import FloatArray

ARRAYS: Final = ("k_nodes", "weight", "mean", "var", "tested_log_loads")
PARTS: Final = ("mean", "var", "cov")


@dataclass(frozen=True, eq=False)
class Beside:
    """Something normal beside ln L10 at each node: its mean, variance, and covariance with ln L10, all (K,)."""

    mean: FloatArray
    var: FloatArray
    cov: FloatArray

    def __post_init__(self) -> None:
        for name in PARTS:
            getattr(self, name).setflags(write=False)


@dataclass(frozen=True, eq=False)
class Soreness:
    """The effect of hard work that ended at_hour (24 times the day plus the hour): how much it lowers ln L."""

    at_hour: float
    effect: Beside


@dataclass(frozen=True, eq=False)
class Capacity:
    """Mixture over the fall-off k of normal distributions of ln L10 (L10: load in kg for ten repetitions).

    k_nodes, weight, mean, var are (K,), weights summing to 1, mean and var of ln L10 given k, on `day`, without
    the soreness of that day (see athletes.calc.carry) and in the reference variation; asymptote_share is a of A = a
    S; tested_log_loads (T,) are the ln kg of loads at which the curve was tested from both sides, ascending;
    observations counts what was used. offsets: how far ln L10 of each other seen variation lies above the reference.
    contradictions: pairs of days on which what was seen cannot well be true of one person. absences are those that a
    later day has to be told of; body_mass_changed: much since the last observation, so that the variance was widened.
    start: ln L10 that the catalogue expects of such a person, and mean and SD of ln L10 that the estimate began with.
    lifts: what was lifted of late, below which nothing is told. bounded: how many sights say what was not possible,
    all but the lower bounds; done_kg: the heaviest load that was moved once or more, None where there is none; misfit
    multiplies what the curve cannot tell. gain: of ln L10 in a day of training, for so many days more (gain_days).
    """

    k_nodes: FloatArray
    weight: FloatArray
    mean: FloatArray
    var: FloatArray
    day: int
    asymptote_share: float
    tested_log_loads: FloatArray
    observations: int
    reference: str = ""
    offsets: tuple[tuple[str, Beside], ...] = ()
    soreness: Soreness | None = None
    contradictions: tuple[tuple[int, int], ...] = ()
    absences: tuple[Absence, ...] = ()
    body_mass_changed: bool = False
    start: tuple[float, float, float] | None = None
    lifts: tuple[Lift, ...] = ()
    bounded: int = 0
    done_kg: float | None = None
    misfit: float = 1.0
    gain: float = 0.0
    gain_days: float = 0.0

    def __post_init__(self) -> None:
        for name in ARRAYS:
            getattr(self, name).setflags(write=False)


def to_json(capacity: Capacity) -> dict[str, object]:
    """Plain numbers and lists that read back to the same capacity, bit for bit."""
    document: dict[str, object] = {name: getattr(capacity, name).tolist() for name in ARRAYS}
    sore = capacity.soreness
    return document | {
        "day": capacity.day,
        "asymptote_share": capacity.asymptote_share,
        "observations": capacity.observations,
        "reference": capacity.reference,
        "offsets": {name: _beside_document(beside) for name, beside in capacity.offsets},
        "soreness": None if sore is None else {"at_hour": sore.at_hour} | _beside_document(sore.effect),
        "contradictions": [list(pair) for pair in capacity.contradictions],
        "absences": [[absence.from_day, absence.to_day] for absence in capacity.absences],
        "body_mass_changed": capacity.body_mass_changed,
        "start": None if capacity.start is None else list(capacity.start),
        "lifts": [list(lift) for lift in capacity.lifts],
        "bounded": capacity.bounded,
        "done_kg": capacity.done_kg,
        "misfit": capacity.misfit,
        "gain": capacity.gain,
        "gain_days": capacity.gain_days,
    }


def _beside_document(beside: Beside) -> dict[str, object]:
    return {name: getattr(beside, name).tolist() for name in PARTS}


def from_json(document: Mapping[str, object]) -> Capacity:
    """The capacity that :func:`to_json` wrote. Raises ValueError when it cannot have been written there.

    What the first method did not know of may be missing.
    """
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
    return Capacity(
        k_nodes,
        weight,
        mean,
        var,
        day,
        float(share),
        tested,
        observations,
        reference=str(document.get("reference", "")),
        offsets=_offsets(document, k_nodes.size),
        soreness=_soreness(document, k_nodes.size),
        contradictions=_pairs(document, "contradictions"),
        absences=tuple(Absence(first, last) for first, last in _pairs(document, "absences")),
        body_mass_changed=document.get("body_mass_changed") is True,
        start=_start(document),
        lifts=_lifts(document),
        bounded=_bounded(document, tested),
        done_kg=_done_kg(document),
        misfit=_number(document, "misfit", 1.0, (0.0, np.inf)),
        gain=_number(document, "gain", 0.0, (-1.0, 1.0)),
        gain_days=_number(document, "gain_days", 0.0, (0.0, np.inf)),
    )


def _offsets(document: Mapping[str, object], size: int) -> tuple[tuple[str, Beside], ...]:
    listed = document.get("offsets", {})
    if not isinstance(listed, Mapping):
        raise ValueError("offsets must map variations to their offset")
    return tuple((str(name), _beside(entry, size)) for name, entry in sorted(listed.items()))


def _soreness(document: Mapping[str, object], size: int) -> Soreness | None:
    found = document.get("soreness")
    if found is None:
        return None
    if not isinstance(found, Mapping) or not isinstance(found.get("at_hour"), float | int):
        raise ValueError("soreness must be null or say since which hour")
    return Soreness(float(found["at_hour"]), _beside(found, size))


def _start(document: Mapping[str, object]) -> tuple[float, float, float] | None:
    if document.get("start") is None:
        return None
    start = _array(document, "start")
    if start.size != 3 or start[2] <= 0.0:
        raise ValueError("start must be null or hold two means and a positive SD")
    return float(start[0]), float(start[1]), float(start[2])


def _lifts(document: Mapping[str, object]) -> tuple[Lift, ...]:
    rows = document.get("lifts", [])
    if not isinstance(rows, list):
        raise ValueError("lifts must be a list")
    for row in rows:
        told = isinstance(row, list) and len(row) == 4 and type(row[0]) is int and type(row[3]) is str
        if not told or not all(type(value) in (float, int) and value > 0.0 for value in row[1:3]):
            raise ValueError("a lift must be a day, a load, repetitions and a variation")
    return tuple(Lift(day, float(load), float(count), name) for day, load, count, name in rows)


def _bounded(document: Mapping[str, object], tested: FloatArray) -> int:
    """Of the second method, which did not count them, the loads that were tested from both sides."""
    found = document.get("bounded", tested.size)
    if type(found) is not int or found < 0:
        raise ValueError("bounded must be a count")
    return found


def _done_kg(document: Mapping[str, object]) -> float | None:
    found = document.get("done_kg")
    if found is None:
        return None
    if type(found) not in (float, int) or not float(str(found)) > 0.0:
        raise ValueError("done_kg must be null or positive")
    return float(str(found))


def _number(document: Mapping[str, object], name: str, unknown: float, span: tuple[float, float]) -> float:
    """`unknown` where the method did not know of it."""
    told, (low, high) = document.get(name, unknown), span
    if not isinstance(told, float | int) or not low <= told < high:
        raise ValueError(f"{name} must be a number of {low:g} or more, below {high:g}")
    return float(told)


def _pairs(document: Mapping[str, object], name: str) -> tuple[tuple[int, int], ...]:
    pairs = document.get(name, [])
    if not isinstance(pairs, list):
        raise ValueError(f"{name} must be a list of pairs of days")
    for pair in pairs:
        if not isinstance(pair, list) or [type(day) for day in pair] != [int, int]:
            raise ValueError(f"{name} must be pairs of whole days")
    return tuple((first, second) for first, second in pairs)


def _beside(entry: object, size: int) -> Beside:
    if not isinstance(entry, Mapping):
        raise ValueError("an offset or a soreness must hold mean, var and cov")
    mean, var, cov = (_array(entry, name) for name in PARTS)
    if not mean.size == var.size == cov.size == size or not (var >= 0.0).all():
        raise ValueError("mean, var and cov must have the length of k_nodes, var must not be negative")
    return Beside(mean, var, cov)


def _array(document: Mapping[str, object], name: str) -> FloatArray:
    value = document.get(name)
    if not isinstance(value, list) or not all(type(entry) in (float, int) for entry in value):
        raise ValueError(f"{name} must be a list of numbers")
    array = np.array(value, dtype=np.float64)
    if not np.isfinite(array).all():
        raise ValueError(f"{name} must be finite")
    return array
