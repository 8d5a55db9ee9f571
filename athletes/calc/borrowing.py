"""What is known of somebody in movements where they were seen, for one where they never were.

How far somebody lies from what is true of people, z = (ln L10 - mean) / SD of the prior, goes together between
movements: z is normal over them with the correlations below. Seen movements tell z with an error, the unseen one
takes its expectation and what spread is left.

    correlation = 0.30 + 0.30 * likeness of the muscle groups + 0.10 same family + 0.10 same pattern

All ours: strength in different lifts relative to body mass goes together with about 0.5 to 0.8 (from memory, no
single source). Whoever trains is stronger in everything (0.30); the more of the muscles are the same the more. A sum
of kernels, so that any set of movements has a proper correlation matrix. What remains is the movement's own.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from athletes.calc.state import Capacity
from programming.calc.arrays import FloatArray
from programming.calc.prior import Prior

GENERAL: Final = 0.30
MUSCLES: Final = 0.30
FAMILY: Final = 0.10
PATTERN: Final = 0.10
LEAST_TOLD: Final = 0.05
"""Share of the prior's precision that sights must add before they count as telling of strength."""


@dataclass(frozen=True)
class Traits:
    """What two movements may have in common: pattern ("vertical_push": of the family "push"), weights of groups."""

    pattern: str
    muscle_groups: Mapping[str, float]

    @property
    def family(self) -> str:
        return self.pattern.rpartition("_")[2]


@dataclass(frozen=True)
class Told:
    """Where somebody stands among people in a seen movement: z, and the variance of its error."""

    z: float
    error: float


def told_by(capacity: Capacity) -> Told | None:
    """What the sights say, the prior taken off again; None where they tell next to nothing, or no prior is known."""
    if capacity.start is None or not capacity.observations:
        return None
    return told_from(capacity.weight, capacity.mean, capacity.var, capacity.start)


def told_from(
    weight: FloatArray, node_mean: FloatArray, node_var: FloatArray, start: tuple[float, float, float]
) -> Told | None:
    """The same of the parts of a capacity, the first three (K,)."""
    _, prior_mean, prior_sd = start
    mean = float(weight @ node_mean)
    variance = float(weight @ (node_var + (node_mean - mean) ** 2))
    added = prior_sd**2 / variance - 1.0
    if added < LEAST_TOLD:
        return None
    z = (mean - prior_mean) / prior_sd
    return Told(z * (1.0 + 1.0 / added), 1.0 / added)


def correlation(one: Traits, other: Traits) -> float:
    """Between two different movements."""
    shared = GENERAL + MUSCLES * _likeness(one.muscle_groups, other.muscle_groups)
    return shared + FAMILY * (one.family == other.family) + PATTERN * (one.pattern == other.pattern)


def _likeness(one: Mapping[str, float], other: Mapping[str, float]) -> float:
    """Cosine between the weights; 0 where a movement has none.

    Summed in the order of the names, so that neither a mapping's order nor who comes first changes the last bit.
    """
    product = sum(one[name] * other[name] for name in sorted(one.keys() & other.keys()))
    size = math.sqrt(_square(one) * _square(other))
    return product / size if size > 0.0 else 0.0


def _square(weights: Mapping[str, float]) -> float:
    return sum(weights[name] ** 2 for name in sorted(weights))


def borrowed(prior: Prior, of: Traits, seen: Sequence[tuple[Traits, Told]]) -> Prior:
    """The prior of an unseen movement for somebody who was seen in others; itself without any."""
    if not seen:
        return prior
    among: FloatArray = np.array([[correlation(a, b) for b, _ in seen] for a, _ in seen])
    np.fill_diagonal(among, 1.0)
    to = np.array([correlation(of, traits) for traits, _ in seen])
    share = np.linalg.solve(among + np.diag([told.error for _, told in seen]), to)
    z = float(share @ np.array([told.z for _, told in seen]))
    left = max(1.0 - float(share @ to), 1e-6)
    return replace(
        prior,
        log_l10=prior.log_l10 + prior.log_l10_sd * z,
        log_l10_sd=max(prior.log_l10_sd * math.sqrt(left), 1e-4),
    )
