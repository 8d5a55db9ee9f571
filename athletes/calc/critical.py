"""Critical power and its reserve from time trials: W(t) = W' + CP t, or d(t) = D' + CS t.

Two parameters, in logarithms with normal priors (model: Monod & Scherrer 1965). What is told is the amount that was
done in the time: ln W = ln(W' + CP t) + drift + noise. The drift is a random walk of fitness that moves both
parameters by one factor: maximal trials of one day share it, so its covariance between two of them is what both have
in common up to the last day. Lower bounds are read each by itself, as if its drift were its own: the probability of
several that share it has no closed form, and of the bounds of some weeks only those are kept that no other implies.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from athletes.calc.ageing import Ageing, ageing
from athletes.calc.constants import BODY_MASS_CHANGED
from athletes.calc.critical_posterior import TrialPosterior, on_grid
from athletes.calc.decay import Absence
from athletes.calc.endurance_constants import TRIAL_LOG_SD
from athletes.calc.record import body_mass_variance
from athletes.calc.stored import absences_of, array_of, whole_of
from athletes.calc.trials import Trial, Trials, columns, contradict
from programming.calc.arrays import FloatArray
from programming.calc.movement_prior import MEASURES, CyclicalStart

PRIOR_ONLY: Final = "prior_only"
BOUNDS_ONLY: Final = "bounds_only"
ONE_TRIAL: Final = "one_trial"
CONTRADICTORY_TRIALS: Final = "contradictory_trials"
UNRESOLVED: Final = "unresolved"
"""No grid was found that shows the posterior: the numbers are rough."""
REASONS: Final = (PRIOR_ONLY, BOUNDS_ONLY, ONE_TRIAL, CONTRADICTORY_TRIALS, UNRESOLVED)

NEGLIGIBLE_WEIGHT: Final = 1e-8
SAME_TIME: Final = 1.25
"""Two trials whose times differ by less than this factor are one point of the curve (ours)."""
ARRAYS: Final = ("log_reserve", "weight", "mean", "var")


@dataclass(frozen=True, eq=False)
class CriticalCapacity:
    """Mixture over ln of the reserve of normal distributions of ln of the critical power or speed, on `day`.

    log_reserve, weight, mean, var are (K,), weights summing to 1, mean and var of ln CP given W'. measure is "power"
    (W, J) or "speed" (m/s, m); reasons say why the numbers are wide or doubtful; observations counts what was used;
    absences are those that a later day has to be told of.
    """

    measure: str
    log_reserve: FloatArray
    weight: FloatArray
    mean: FloatArray
    var: FloatArray
    day: int
    reasons: tuple[str, ...]
    observations: int
    absences: tuple[Absence, ...] = ()

    def __post_init__(self) -> None:
        for name in ARRAYS:
            getattr(self, name).setflags(write=False)


def estimate_critical(
    start: CyclicalStart,
    seen: Sequence[Trial],
    *,
    day: int,
    noise: float = TRIAL_LOG_SD,
    absences: Sequence[Absence] = (),
) -> CriticalCapacity:
    """Capacity on `day`; trials of later days are not used, the order of nothing matters.

    absences are confirmed ones, up to `day` or beyond it; the prior is not lowered by those before the first trial.
    noise: SD of ln of the amount in an all-out trial, at least 1e-6.
    """
    if not noise >= 1e-6:
        raise ValueError(f"noise must be at least 1e-6, got {noise!r}")
    used = [trial for trial in seen if trial.day <= day]
    maximal, bounds = columns(used, noise)
    first, last = (pick((trial.day for trial in used), default=day) for pick in (min, max))
    ages = ageing(absences, [(trial.day, trial.body_mass_kg) for trial in used])
    maximal, bounds = (trials_without_absence(trials, ages, first) for trials in (maximal, bounds))
    fallen, gathered = ages.step(first, last - first)
    posterior = TrialPosterior(
        start,
        maximal,
        bounds,
        gathered - ages.between(first, maximal.day).variance,
        gathered - ages.between(first, bounds.day).variance,
    )
    log_reserve, weight, mean, var, resolved = on_grid(posterior)
    kept = weight > NEGLIGIBLE_WEIGHT
    state = CriticalCapacity(
        measure=start.measure,
        log_reserve=log_reserve[kept] - fallen,
        weight=weight[kept] / weight[kept].sum(),
        mean=mean[kept] - fallen,
        var=var[kept],
        day=last,
        reasons=reasons_of(maximal, len(used)) + (() if resolved else (UNRESOLVED,)),
        observations=len(used),
        absences=ages.absences,
    )
    return aged_critical(state, day - last)


def trials_without_absence(trials: Trials, ages: Ageing, first: int) -> Trials:
    """The trials as they would have been without absence since the first day."""
    return trials._replace(log_amount=trials.log_amount + ages.between(first, trials.day).fall)


def aged_critical(capacity: CriticalCapacity, days: int) -> CriticalCapacity:
    """The capacity as it is known `days` later: both parameters have drifted by one unknown factor since, and fallen
    with confirmed absence."""
    fall, grown = Ageing(capacity.absences).step(capacity.day, days)
    aged = replace(
        capacity,
        log_reserve=capacity.log_reserve - fall,
        mean=capacity.mean - fall,
        day=capacity.day + days,
    )
    return _spread(aged, grown)


def critical_after_body_mass(
    capacity: CriticalCapacity, before_kg: float, after_kg: float
) -> CriticalCapacity:
    """When the body mass has changed much since the last trial: less certain, neither lower nor higher."""
    if max(after_kg / before_kg, before_kg / after_kg) < BODY_MASS_CHANGED:
        return capacity
    return _spread(capacity, body_mass_variance(before_kg, after_kg))


def _spread(capacity: CriticalCapacity, drift: float) -> CriticalCapacity:
    """Both parameters multiplied by one unknown factor, whose ln has this variance.

    The covariance of (ln W', ln CP) grows by the drift's variance in every entry: exact for mean and covariance.
    """
    if drift <= 0.0:
        return capacity
    weight, y = capacity.weight, capacity.log_reserve
    middle = float(weight @ y)
    var_y = float(weight @ (y - middle) ** 2)
    cov = float(weight @ ((y - middle) * (capacity.mean - float(weight @ capacity.mean))))
    if var_y <= 0.0:  # one node: its reserve cannot be spread over several
        y, mean, var = y, capacity.mean, capacity.var + drift
    else:
        stretch = math.sqrt(1.0 + drift / var_y)
        slope, new_slope = cov / var_y, (cov + drift) / (var_y + drift)
        # What ln CP keeps of its own beside W': the Schur complement, which a common drift never lowers.
        own = drift * (1.0 - slope) ** 2 * var_y / (var_y + drift)
        mean = capacity.mean + (new_slope * stretch - slope) * (y - middle)
        var = capacity.var + own
        y = middle + stretch * (y - middle)
    return replace(capacity, log_reserve=y, mean=mean, var=var)


def critical_to_json(capacity: CriticalCapacity) -> dict[str, object]:
    """Plain numbers and lists that read back to the same capacity, bit for bit."""
    document: dict[str, object] = {name: getattr(capacity, name).tolist() for name in ARRAYS}
    return {
        "kind": "cyclical",
        "measure": capacity.measure,
        **document,
        "day": capacity.day,
        "reasons": list(capacity.reasons),
        "observations": capacity.observations,
        "absences": [[absence.from_day, absence.to_day] for absence in capacity.absences],
    }


def critical_from_json(document: Mapping[str, object]) -> CriticalCapacity:
    """The capacity that :func:`critical_to_json` wrote. Raises ValueError when it cannot have been written there."""
    log_reserve, weight, mean, var = (array_of(document, name) for name in ARRAYS)
    if not log_reserve.size == weight.size == mean.size == var.size > 0:
        raise ValueError("log_reserve, weight, mean and var must have one common length, at least 1")
    if not ((weight >= 0.0).all() and (var > 0.0).all() and abs(weight.sum() - 1.0) <= 1e-9):
        raise ValueError("weight must not be negative and must sum to 1, var must be positive")
    measure, reasons = document.get("measure"), document.get("reasons")
    if measure not in MEASURES or not isinstance(measure, str):
        raise ValueError(f"measure must be one of {', '.join(sorted(MEASURES))}")
    if not isinstance(reasons, list) or not set(reasons) <= set(REASONS):
        raise ValueError(f"reasons must be a list of {', '.join(REASONS)}")
    day, observations = whole_of(document, "day"), whole_of(document, "observations")
    return CriticalCapacity(
        measure, log_reserve, weight, mean, var, day, tuple(reasons), observations, absences_of(document)
    )


def reasons_of(maximal: Trials, used: int) -> tuple[str, ...]:
    if not used:
        return (PRIOR_ONLY,)
    if not maximal.day.size:
        return (BOUNDS_ONLY,)
    spread = float(maximal.seconds.max() / maximal.seconds.min())
    wide = (ONE_TRIAL,) if spread < SAME_TIME else ()
    return (*wide, CONTRADICTORY_TRIALS) if contradict(maximal) else wide
