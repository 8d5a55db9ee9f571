"""Capacity by brute force: the posterior on a dense grid over (ln L10, ln k), written from the generative
story.

Nothing is approximated but the grid. Each observation multiplies the grid by its probability in repetitions:
the day makes N = n* + noise of n*, and a count r to failure is floor(N). Between days the grid is convolved
with the step of the random walk by Fourier transform. What else is unknown (the personal error of statements of
reserve, the offset of another variation, the effect of unusual work) is gone through value by value, each value
with its own grid. No code of the filter is used.
"""

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr, ndtr

from athletes.calc.observation import Observation
from programming.calc.prior import Prior

DRIFT = 2.5e-5
BIAS_SD = 0.7
OFFSET_SD = 0.05
Array = NDArray[np.float64]


@dataclass
class Posterior:
    """Probabilities (X, K) of ln L10 = x (X,) and k (K,); loads tested from both sides."""

    x: Array
    k: Array
    p: Array
    a: float
    tested: list[float]

    def counts(self, load: float) -> Array:
        """n* (X, K) at a load, without any bound."""
        return counts(self.x, self.k, self.a, load)

    def moments(self, load: float) -> tuple[float, float]:
        """Mean and SD of n* with the misfit, 0 where negative (a normal variable cut off at 0)."""
        n, sd = self.counts(load), self.misfit(load)
        positive, density = ndtr(n / sd), np.exp(log_normal(n / sd))
        first = float((self.p * (n * positive + sd * density)).sum())
        second = float((self.p * ((n**2 + sd**2) * positive + n * sd * density)).sum())
        return first, float(np.sqrt(max(second - first**2, 0.0)))

    def probability(self, load: float, lo: float, hi: float) -> float:
        """P(lo <= n* <= hi) with the misfit; lo > 0."""
        n, sd = self.counts(load), self.misfit(load)
        return float((self.p * (ndtr((hi - n) / sd) - ndtr((lo - n) / sd))).sum())

    def misfit(self, load: float) -> float:
        """n (0.04 + max(0.25 (1 - e^(-d / 0.15)), 0.4 d)) repetitions; untested n (0.04 + 0.4 d); n as expected."""
        expected = float((self.p * np.clip(self.counts(load), 0.0, 500.0)).sum())
        centre = [float((self.p.sum(axis=1) * self.x).sum())]
        distance = min(abs(np.log(load) - other) for other in (self.tested or centre))
        near = 0.25 * (1 - np.exp(-distance / 0.15)) if self.tested else 0.0
        return max(expected * (0.04 + max(near, 0.4 * distance)), 1e-9)


def counts(x: Array, k: Array, a: float, load: float) -> Array:
    """n* (X, K) from L = A + (S - A) e^(-k n), A = a S, solved for S from L10 and for n from L."""
    s = np.exp(x)[:, None] / (a + (1 - a) * np.exp(-10 * k))[None, :]
    with np.errstate(invalid="ignore", divide="ignore"):
        n = -np.log((load / s - a) / (1 - a)) / k[None, :]
    return np.where(load > a * s, n, np.inf)


def log_normal(z: Array) -> Array:
    """ln of the standard normal density."""
    return -0.5 * z**2 - 0.5 * math.log(2.0 * math.pi)


def log_likelihood(seen: Observation, x: Array, k: Array, a: float, bias: float = 1.0) -> Array:
    """ln P(what was seen | ln L10 = x, k), (X, K), in repetitions; bias: what the person says too little."""
    n = counts(x, k, a, seen.load_kg)
    trust = np.sqrt(seen.weight * (0.25 if seen.kind == "at_least_weak" else 1.0))
    r = seen.repetitions
    if seen.kind == "one_rm":
        maximum = x[:, None] + np.log((a + (1 - a) * np.exp(-k)) / (a + (1 - a) * np.exp(-10 * k)))[None, :]
        return log_normal((np.log(seen.load_kg) - maximum) / (0.04 / trust)) - np.log(0.04 / trust)
    if seen.kind == "rir":
        said = r + (seen.rir or 0.0)
        spread = 0.4 + 0.15 * (seen.rir or 0.0) + 0.06 * min(said, 12) + 0.47 * max(said - 12, 0)
        middle = said + (bias if seen.rir else 0.0) + 0.5
        expected = said + (1.0 if seen.rir else 0.0) + 0.5
        sd = np.hypot(0.5 + 0.043 * expected, spread) / trust
        return log_normal((middle - n) / sd) - np.log(sd)
    if seen.kind == "zero" or (seen.kind == "to_failure" and r < 1):
        return log_ndtr((1 - n) / (0.543 / trust))
    if seen.kind == "to_failure":
        sd = (0.5 + 0.043 * (r + 0.5)) / trust
        low, high = (r - n) / sd, (r + 1 - n) / sd
        swap = low > 0  # take the difference in the thinner tail
        low, high = np.where(swap, -high, low), np.where(swap, -low, high)
        upper, lower = log_ndtr(high), log_ndtr(low)
        with np.errstate(invalid="ignore"):
            inside = upper + np.log(-np.expm1(np.minimum(lower - upper, -1e-300)))
        return np.where(np.isinf(n), -np.inf, inside)
    return log_ndtr((n - r) / ((0.5 + 0.043 * r) / trust)) if r > 0 else np.zeros_like(n)


@dataclass
class Story:
    """What happened beside the observations, as the generative story has it.

    away: (first day, last day) without training. sore: hour at which the hard work ended, mean and SD of its effect.
    reference: the variation whose offset is 0. values: how many values of each unknown are gone through, on a grid
    of so many points of x.
    """

    away: Sequence[tuple[int, int]] = ()
    sore: tuple[float, float, float] | None = None
    reference: str = ""
    values: int = 15
    points: int = 700

    def fallen(self, day: int) -> tuple[float, float]:
        """Fall of the mean and variance that absence has made by this day."""
        lost = []
        for first, last in self.away:
            days = min(day, last + 1) - first - 7
            lost.append(0.3 * (1 - np.exp(-days / 100)) if days > 0 else 0.0)
        return sum(lost), sum((0.5 * each) ** 2 for each in lost)

    def felt(self, day: int, hour: float) -> float:
        """Share of the soreness left."""
        if self.sore is None:
            return 0.0
        since = 24 * day + hour - self.sore[0]
        if not 3 <= since <= 168:
            return 0.0
        return 1.0 if since <= 24 else 0.5 ** ((since - 24) / 24)

    def unknowns(self, history: Sequence[Observation]) -> dict[str, tuple[Array, Array]]:
        """Values and weights of each unknown that the history touches, by name."""
        z, weight = np.polynomial.hermite_e.hermegauss(self.values)
        found = {}
        if any(o.rir for o in history):
            found["bias"] = (1.0 + BIAS_SD * z, weight)
        for name in sorted({o.variation for o in history} - {self.reference}):
            found[name] = (OFFSET_SD * z, weight)
        if self.sore is not None and any(self.felt(o.day, o.hour) for o in history):
            found["sore"] = (self.sore[1] + self.sore[2] * z, weight)
        return found


def posterior(
    prior: Prior,
    observations: Sequence[Observation],
    day: int,
    x_range: tuple[float, float],
    story: Story | None = None,
    *,
    felt: bool = False,
    variation: str = "",
) -> Posterior:
    """The whole posterior on `day`: x on points of x_range, ln k on 61 over five prior SDs each side.

    felt: with the soreness of that day's noon. variation: of that one instead of the reference.
    """
    story = story or Story()
    x = np.linspace(*x_range, story.points)
    log_k = np.linspace(prior.log_k - 5 * prior.log_k_sd, prior.log_k + 5 * prior.log_k_sd, 61)
    k = np.exp(log_k)
    start = np.outer(
        np.exp(log_normal((x - prior.log_l10) / prior.log_l10_sd)),
        np.exp(log_normal((log_k - prior.log_k) / prior.log_k_sd)),
    )
    history = sorted(uncovered(observations), key=lambda o: o.day)
    unknowns = story.unknowns(history)
    fallen = story.fallen(day)[0] - (story.fallen(history[0].day)[0] if history else 0.0)

    @cache
    def seen_at(number: int, lowered: float, bias: float) -> Array:
        """Most values of the unknowns leave an observation as it is: it need not be worked out for each of them."""
        return log_likelihood(history[number], x - lowered, k, prior.asymptote_share, bias)

    parts = []
    for combination in itertools.product(*(zip(*unknown, strict=True) for unknown in unknowns.values())):
        values = dict(zip(unknowns, (value for value, _ in combination), strict=True))
        log_p = _of_values(history, seen_at, day, x, start, story, values)
        moved = fallen - values.get(variation, 0.0)
        if felt and story.sore is not None:
            moved += story.felt(day, 12.0) * values.get("sore", story.sore[1])
        parts.append((np.log(np.prod([weight for _, weight in combination])), log_p, moved))
    peak = max(log_weight + log_p.max() for log_weight, log_p, _ in parts)
    p = np.zeros((x.size, k.size))
    for log_weight, log_p, moved in parts:
        share = np.exp(log_p + log_weight - peak)
        p += shifted(share, moved / (x[1] - x[0]))
    tested = [float(np.log(o.load_kg)) for o in history if o.kind in ("one_rm", "to_failure", "rir")]
    return Posterior(x, k, p / p.sum(), prior.asymptote_share, tested)


def shifted(p: Array, points: float) -> Array:
    """p (X, K) at so many points further on, between two points by a straight line, 0 beyond the grid."""
    whole = math.floor(points)
    share = points - whole
    size = p.shape[0]
    wide = np.zeros((size + 1, p.shape[1]))
    from_, to = max(whole, 0), min(size + 1 + whole, size)
    if from_ < to:
        wide[from_ - whole : to - whole] = p[from_:to]
    return (1.0 - share) * wide[:-1] + share * wide[1:]


def _of_values(
    history: Sequence[Observation],
    seen_at: Callable[[int, float, float], Array],
    day: int,
    x: Array,
    start: Array,
    story: Story,
    values: Mapping[str, float],
) -> Array:
    """ln of the joint density (X, K) of x on `day`, k and all that was seen, with the unknowns at these values."""
    p, log_scale = start, 0.0
    clock = history[0].day if history else day
    first = clock
    for number, seen in enumerate(history):
        p = walk(p, x, _step(story, clock, seen.day))
        clock = seen.day
        lowered = story.fallen(clock)[0] - story.fallen(first)[0]
        if story.sore is not None:
            lowered += story.felt(clock, seen.hour) * values.get("sore", story.sore[1])
        lowered -= values.get(seen.variation, 0.0)
        log_l = seen_at(number, lowered, values.get("bias", 1.0) if seen.rir else 1.0)
        with np.errstate(divide="ignore"):
            log_p = np.log(p) + log_l
        log_scale += log_p.max()
        p = np.exp(log_p - log_p.max())
    p = walk(p, x, _step(story, clock, day))
    with np.errstate(divide="ignore"):
        return np.log(p) + log_scale


def _step(story: Story, before: int, after: int) -> float:
    return DRIFT * (after - before) + story.fallen(after)[1] - story.fallen(before)[1]


def side(seen: Observation) -> str:
    """Which side of N an observation bounds."""
    if seen.kind in ("at_least", "at_least_weak"):
        return "below" if seen.repetitions > 0 else "neither"
    missed = seen.kind == "zero" or (seen.kind == "to_failure" and seen.repetitions < 1)
    return "above" if missed else "both"


def uncovered(observations: Sequence[Observation]) -> list[Observation]:
    """The observations without those that another of the same four weeks makes needless."""

    def implied_by(one: Observation, other: Observation) -> bool:
        trust = [o.weight * (0.25 if o.kind == "at_least_weak" else 1.0) for o in (one, other)]
        harder = (other.load_kg, other.repetitions)
        if one.variation != other.variation or side(one) != side(other):
            return False
        if trust[1] < trust[0] or abs(one.day - other.day) >= 28:
            return False
        if side(one) == "below":
            return harder[0] >= one.load_kg and harder[1] >= one.repetitions
        return side(one) == "above" and harder[0] <= one.load_kg

    kept: list[Observation] = []
    ordered = sorted(observations, key=lambda o: o.day)
    for i, one in enumerate(ordered):
        others = [(j, other) for j, other in enumerate(ordered) if j != i and implied_by(one, other)]
        # Of two that imply each other the later one stays.
        if side(one) != "neither" and not any(j > i or not implied_by(other, one) for j, other in others):
            kept.append(one)
    return kept


def walk(p: Array, x: Array, variance: float) -> Array:
    """The density after a normal step; the ends of the grid are empty, so wrapping round does no harm."""
    if variance == 0:
        return p
    omega = 2 * np.pi * np.fft.rfftfreq(x.size, x[1] - x[0])
    damped = np.fft.rfft(p, axis=0) * np.exp(-0.5 * variance * omega**2)[:, None]
    moved = np.fft.irfft(damped, x.size, axis=0)
    return np.maximum(moved, 0.0)
