"""Critical power and its reserve from time trials: W(t) = W' + CP t, or d(t) = D' + CS t.

Two parameters, in logarithms with normal priors (model: Monod & Scherrer 1965). What is told is the amount that was
done in the time: ln W = ln(W' + CP t) + drift + noise. The drift is a random walk of fitness that moves both
parameters by one factor: maximal trials of one day share it, so its covariance between two of them is what both have
in common up to the last day. Lower bounds are read each by itself, as if its drift were its own: the probability of
several that share it has no closed form, and of the bounds of some weeks only those are kept that no other implies.

Over the parameters the posterior is a grid of 41 x 41 nodes, laid along the axes of the normal approximation at its
highest point and moved until it shows the posterior; kept is, for each W', the mean and variance of ln CP.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from scipy.linalg import cholesky, solve_triangular
from scipy.special import log_ndtr

from athletes.calc.ageing import Ageing, ageing
from athletes.calc.constants import BODY_MASS_CHANGED
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

NODES: Final = 41
SPAN: Final = 4.5
RESOLVED: Final = 0.65
EDGE_WEIGHT: Final = 1e-3
MOST_GRIDS: Final = 6
MOST_STEPS: Final = 60
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
    maximal, bounds = (_without_absence(trials, ages, first) for trials in (maximal, bounds))
    fallen, gathered = ages.step(first, last - first)
    posterior = _Posterior(
        start,
        maximal,
        bounds,
        gathered - ages.between(first, maximal.day).variance,
        gathered - ages.between(first, bounds.day).variance,
    )
    log_reserve, weight, mean, var, resolved = _on_grid(posterior)
    kept = weight > NEGLIGIBLE_WEIGHT
    state = CriticalCapacity(
        measure=start.measure,
        log_reserve=log_reserve[kept] - fallen,
        weight=weight[kept] / weight[kept].sum(),
        mean=mean[kept] - fallen,
        var=var[kept],
        day=last,
        reasons=_reasons(maximal, len(used)) + (() if resolved else (UNRESOLVED,)),
        observations=len(used),
        absences=ages.absences,
    )
    return aged_critical(state, day - last)


def _without_absence(trials: Trials, ages: Ageing, first: int) -> Trials:
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


def _reasons(maximal: Trials, used: int) -> tuple[str, ...]:
    if not used:
        return (PRIOR_ONLY,)
    if not maximal.day.size:
        return (BOUNDS_ONLY,)
    spread = float(maximal.seconds.max() / maximal.seconds.min())
    wide = (ONE_TRIAL,) if spread < SAME_TIME else ()
    return (*wide, CONTRADICTORY_TRIALS) if contradict(maximal) else wide


class _Posterior:
    """Density of theta = (ln W', ln CP) given the trials, as it is on the day of the last one.

    since, bounds_since (M,): variance of the walk between each trial and the last one.
    """

    def __init__(
        self,
        start: CyclicalStart,
        maximal: Trials,
        bounds: Trials,
        since: FloatArray,
        bounds_since: FloatArray,
    ) -> None:
        self.centre = np.array([start.log_reserve, start.log_critical])
        self.sd = np.array([start.log_reserve_sd, start.log_critical_sd])
        self.maximal, self.bounds = maximal, bounds
        covariance = np.diag(maximal.sd**2) + np.minimum.outer(since, since)
        size = maximal.day.size
        root = cholesky(covariance, lower=True) if size else np.zeros((0, 0))
        # Applied without BLAS, whose threads cost more than products of this size.
        self.whiten = solve_triangular(root, np.eye(size), lower=True) if size else root
        self.bound_sd = np.sqrt(bounds.sd**2 + bounds_since)

    def log_density(self, theta: FloatArray) -> FloatArray:
        """(G,) at theta (G, 2), up to a constant."""
        total: FloatArray = -0.5 * (((theta - self.centre) / self.sd) ** 2).sum(axis=1)
        if self.maximal.day.size:
            rest = np.einsum("ij,jg->ig", self.whiten, self._ahead(theta, self.maximal))
            total -= 0.5 * (rest * rest).sum(axis=0)
        if self.bounds.day.size:
            total += log_ndtr(self._ahead(theta, self.bounds) / self.bound_sd[:, None]).sum(axis=0)
        return total

    def curvature(self, theta: FloatArray) -> tuple[FloatArray, FloatArray]:
        """(gradient (2,), negative curvature (2, 2), never indefinite) of the log density at theta (2,)."""
        gradient = -(theta - self.centre) / self.sd**2
        bend = np.diag(1.0 / self.sd**2)
        if self.maximal.day.size:
            slope = self.whiten @ self._slope(theta, self.maximal)
            gradient = gradient - slope.T @ (self.whiten @ self._ahead(theta[None, :], self.maximal)[:, 0])
            bend = bend + slope.T @ slope
        if self.bounds.day.size:
            slope = self._slope(theta, self.bounds) / self.bound_sd[:, None]
            z = self._ahead(theta[None, :], self.bounds)[:, 0] / self.bound_sd
            hazard = np.exp(-0.5 * z**2 - 0.5 * math.log(2.0 * math.pi) - log_ndtr(z))
            gradient = gradient + slope.T @ hazard
            bend = bend + slope.T @ (np.maximum(hazard * (hazard + z), 0.0)[:, None] * slope)
        return gradient, bend

    def _ahead(self, theta: FloatArray, trials: Trials) -> FloatArray:
        """ln of what the parameters (G, 2) can do in the time above what was done, (M, G)."""
        slow = theta[None, :, 1] + np.log(trials.seconds)[:, None]
        ahead: FloatArray = np.logaddexp(theta[None, :, 0], slow) - trials.log_amount[:, None]
        return ahead

    def _slope(self, theta: FloatArray, trials: Trials) -> FloatArray:
        """Derivatives (M, 2): the shares of the reserve and of the critical power in the amount."""
        steady = 1.0 / (1.0 + np.exp(np.clip(theta[0] - theta[1] - np.log(trials.seconds), -500.0, 500.0)))
        shares: FloatArray = np.stack([1.0 - steady, steady], axis=1)
        return shares


def _peak(posterior: _Posterior) -> tuple[FloatArray, FloatArray]:
    """(theta, covariance) of the normal approximation at the highest point: damped Newton steps."""
    theta: FloatArray = posterior.centre.copy()
    damping = 1e-3
    height = float(posterior.log_density(theta[None, :])[0])
    gradient, bend = posterior.curvature(theta)
    for _ in range(MOST_STEPS):
        step = np.linalg.solve(bend + damping * np.diag(np.diag(bend)), gradient).astype(np.float64)
        reached = float(posterior.log_density((theta + step)[None, :])[0])
        if reached >= height:
            theta, height, damping = theta + step, reached, max(damping / 10.0, 1e-12)
            gradient, bend = posterior.curvature(theta)
            if float(np.abs(step).max()) < 1e-10:
                break
        else:
            damping *= 10.0
            if damping > 1e12:
                break
    return theta, np.linalg.inv(bend).astype(np.float64)


def _on_grid(posterior: _Posterior) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray, bool]:
    """(ln W', weight, mean and variance of ln CP), each (NODES,), and whether the grid shows the posterior."""
    centre, covariance = _peak(posterior)
    side = np.linspace(-SPAN, SPAN, NODES)
    z = np.stack(np.meshgrid(side, side, indexing="ij"), axis=-1)
    for attempt in range(MOST_GRIDS):
        root = np.linalg.cholesky(covariance)
        # The first axis is ln W' alone: each row of the grid has one W'.
        theta = centre + z[..., :1] * root[:, 0] + z[..., 1:] * root[:, 1]
        log_weight = posterior.log_density(theta.reshape(-1, 2)).reshape(NODES, NODES)
        weight = np.exp(log_weight - log_weight.max())
        weight /= weight.sum()
        centre_z = np.einsum("ij,ijk->k", weight, z)
        away = z - centre_z
        spread = np.einsum("ijk,ijl->kl", weight[..., None] * away, away)
        shares = (weight.sum(axis=1), weight.sum(axis=0))
        cut_off = any(max(s[0], s[-1]) > EDGE_WEIGHT * s.max() for s in shares)
        spacing = side[1] - side[0]
        resolved = not cut_off and math.sqrt(float(np.linalg.eigvalsh(spread)[0])) >= RESOLVED * spacing
        if resolved:
            break
        centre = centre + root @ centre_z
        # A bent ridge, as of one trial, leaves at a corner of each grid of the same span: wider every time.
        widened = spread * (2.0 ** (attempt + 1) if cut_off else 1.0) + (0.5 * spacing) ** 2 * np.eye(2)
        covariance = root @ widened @ root.T
    rows = weight.sum(axis=1)
    given = weight / np.maximum(rows, 1e-300)[:, None]
    mean = (given * theta[..., 1]).sum(axis=1)
    var = (given * (theta[..., 1] - mean[:, None]) ** 2).sum(axis=1)
    return theta[:, 0, 0], rows, mean, np.maximum(var, 1e-14), resolved
