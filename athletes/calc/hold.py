"""How long a position is held: a power law of load and time, ln t = ln 60 + (ln L60 - ln L) / e.

L60 is the effective load in kg that is held for sixty seconds, e the personal exponent. Published as
t = b0 TL^b1 with TL the share of the maximum, so e = -1 / b1 (Frey-Law & Avin 2010, Ergonomics 53:109-129).

Given e the law is linear in ln L, just as the load-repetition curve is given k: with n = 10 + ln(t / 60) in the place
of repetitions and e in the place of k it *is* that curve, so the same filter reads it (athletes.calc.filtering):
ln L60 normal given e, e on a grid.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from athletes.calc.ageing import Ageing, ageing
from athletes.calc.constants import BODY_MASS_CHANGED
from athletes.calc.decay import Absence
from athletes.calc.filtering import filter_history
from athletes.calc.hold_seen import HoldSeen, hold_history
from athletes.calc.observation import History
from athletes.calc.record import body_mass_variance
from athletes.calc.stored import absences_of, array_of, whole_of
from programming.calc.arrays import FloatArray
from programming.calc.movement_prior import HoldStart

PRIOR_ONLY: Final = "prior_only"
BOUNDS_ONLY: Final = "bounds_only"
UNRESOLVED: Final = "unresolved"

NODES: Final = 25
SPAN: Final = 4.5
RESOLVED: Final = 0.65
EDGE_WEIGHT: Final = 1e-3
MOST_GRIDS: Final = 6
SWEEPS: Final = 3
NEGLIGIBLE_WEIGHT: Final = 1e-8
VARIANCE_UNIT: Final = 1e-9  # the filter counts the walk in whole steps of this variance of ln L60
ARRAYS: Final = ("exponents", "weight", "mean", "var", "tested_log_loads")


@dataclass(frozen=True, eq=False)
class HoldCapacity:
    """Mixture over the exponent e of normal distributions of ln L60 on `day`.

    exponents, weight, mean, var are (K,), weights summing to 1; tested_log_loads (T,) are the ln kg of holds to
    failure, ascending; observations counts what was used. absences are those that a later day has to be told of.
    resolved: whether a grid of e was found that shows the posterior.
    """

    exponents: FloatArray
    weight: FloatArray
    mean: FloatArray
    var: FloatArray
    day: int
    tested_log_loads: FloatArray
    observations: int
    absences: tuple[Absence, ...] = ()
    resolved: bool = True

    def __post_init__(self) -> None:
        for name in ARRAYS:
            getattr(self, name).setflags(write=False)

    @property
    def reason(self) -> str | None:
        """Why the numbers are wide or rough, if they are: no grid shows them, nothing seen, nothing to failure."""
        if not self.resolved:
            return UNRESOLVED
        if self.tested_log_loads.size:
            return None
        return BOUNDS_ONLY if self.observations else PRIOR_ONLY


def estimate_hold(
    start: HoldStart, seen: Sequence[HoldSeen], *, day: int, absences: Sequence[Absence] = ()
) -> HoldCapacity:
    """Capacity on `day`; holds of later days are not used, the order of nothing matters.

    absences are confirmed ones, up to `day` or beyond it.

    The prior holds on the day of the first hold that tells something, or on `day` when there is none.
    """
    used = [one for one in seen if one.day <= day]
    history = hold_history(used)
    ages = ageing(absences, [(one.day, one.body_mass_kg) for one in used])
    moved, fallen = without_absence(history, ages)
    log_e, weight, mean, var, resolved = hold_posterior(start, moved)
    kept = weight > NEGLIGIBLE_WEIGHT
    last = int(history.day[-1]) if history.day.size else day
    lost, grown = ages.step(last, day - last)
    two_sided = np.isfinite(history.lower) & np.isfinite(history.upper)
    return HoldCapacity(
        exponents=np.exp(log_e[kept]),
        weight=weight[kept] / weight[kept].sum(),
        mean=mean[kept] - fallen - lost,
        var=var[kept] + grown,
        day=day,
        tested_log_loads=np.unique(history.log_load[two_sided]),
        observations=len(used),
        absences=ages.absences,
        resolved=resolved,
    )


def without_absence(history: History, ages: Ageing) -> tuple[History, float]:
    """The holds as they would have been without absence, days counted by the walk; the fall up to the last one.

    The filter takes a drift per day: with days of VARIANCE_UNIT each, absence and body mass are longer stretches.
    """
    if not history.day.size:
        return history, 0.0
    walk = ages.between(int(history.day[0]), history.day)
    steps = np.rint(walk.variance / VARIANCE_UNIT).astype(np.int64)
    return history._replace(day=steps, log_load=history.log_load + walk.fall), float(walk.fall[-1])


def aged_hold(capacity: HoldCapacity, days: int) -> HoldCapacity:
    """The capacity as it is known `days` later: ln L60 has drifted since, and fallen with confirmed absence."""
    fall, grown = Ageing(capacity.absences).step(capacity.day, days)
    return replace(capacity, mean=capacity.mean - fall, var=capacity.var + grown, day=capacity.day + days)


def hold_after_body_mass(capacity: HoldCapacity, before_kg: float, after_kg: float) -> HoldCapacity:
    """When the body mass has changed much since the last hold: less certain, neither lower nor higher."""
    if max(after_kg / before_kg, before_kg / after_kg) < BODY_MASS_CHANGED:
        return capacity
    return replace(capacity, var=capacity.var + body_mass_variance(before_kg, after_kg))


def hold_to_json(capacity: HoldCapacity) -> dict[str, object]:
    """Plain numbers and lists that read back to the same capacity, bit for bit."""
    document: dict[str, object] = {name: getattr(capacity, name).tolist() for name in ARRAYS}
    return {
        "kind": "hold",
        **document,
        "day": capacity.day,
        "observations": capacity.observations,
        "absences": [[absence.from_day, absence.to_day] for absence in capacity.absences],
        "resolved": capacity.resolved,
    }


def hold_from_json(document: Mapping[str, object]) -> HoldCapacity:
    """The capacity that :func:`hold_to_json` wrote. Raises ValueError when it cannot have been written there."""
    exponents, weight, mean, var, tested = (array_of(document, name) for name in ARRAYS)
    if not exponents.size == weight.size == mean.size == var.size > 0:
        raise ValueError("exponents, weight, mean and var must have one common length, at least 1")
    if not ((exponents > 0.0).all() and (weight >= 0.0).all() and (var > 0.0).all()):
        raise ValueError("exponents and var must be positive, weight not negative")
    if abs(weight.sum() - 1.0) > 1e-9:
        raise ValueError("weight must sum to 1")
    return HoldCapacity(
        exponents,
        weight,
        mean,
        var,
        whole_of(document, "day"),
        tested,
        whole_of(document, "observations"),
        absences_of(document),
        document.get("resolved", True) is not False,
    )


def hold_posterior(
    start: HoldStart, history: History
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray, bool]:
    """(ln e, weight, mean, variance), each (K,), on a grid that is narrowed or moved until it shows e; whether it
    does."""
    centre, sd = start.log_exponent, start.log_exponent_sd
    for _ in range(MOST_GRIDS):
        log_e = np.linspace(centre - SPAN * sd, centre + SPAN * sd, NODES)
        log_likelihood, mean, var = filter_history(
            np.exp(log_e),
            0.0,
            np.full(NODES, start.log_l60),
            start.log_l60_sd**2,
            VARIANCE_UNIT,
            SWEEPS,
            history,
        )
        log_weight = log_likelihood - 0.5 * ((log_e - start.log_exponent) / start.log_exponent_sd) ** 2
        weight = np.exp(log_weight - log_weight.max())
        weight /= weight.sum()
        spacing = float(log_e[1] - log_e[0])
        centre = float(weight @ log_e)
        sd = math.sqrt(float(weight @ (log_e - centre) ** 2))
        cut_off = max(weight[0], weight[-1]) > EDGE_WEIGHT * weight.max()
        resolved = sd >= RESOLVED * spacing and not cut_off
        if resolved:
            break
        sd = max(sd, 0.5 * spacing) * (2.0 if cut_off else 1.0)
    return log_e, weight, mean, var, resolved
