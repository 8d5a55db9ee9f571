"""Fitness and fatigue from daily loads: what a plan of loads would do by a published model. Illustrative only.

    g_t = g_{t-1} exp(-1 / tau_g) + w_t,   h_t = h_{t-1} exp(-1 / tau_h) + w_t,   p_t = p0 + k_g g_t - k_h h_t

Morton, Fitz-Clarke & Banister 1990, J Appl Physiol 69(3):1171-1177 (recursion read in the abstract; 45 and 15 days,
k 1 and 2 from memory). Loads of the day itself count in p_t in that paper ("inclusive"); others foresee a day before
its own session ("exclusive"): then g and h are exp(-1 / tau) of those of the day before, the load less.

The constants are of no athlete here: fitted ones are too unsure to tell anybody apart (Hellard et al. 2006, J Sports
Sci 24:509-520: 95 % intervals of 17 to 59 and 6 to 32 days). p is in units of load and is neither a forecast of a
performance nor of how ready anybody is; its sign and its turning points are what the model shows.

How a load u days before an event counts there, L(u) = k_g exp(-u / tau_g) - k_h exp(-u / tau_h), is 0 at t_n and
greatest at t_g (Fitz-Clarke, Morton & Banister 1991, J Appl Physiol 71:1151-1158; formulas from memory).
"""

from dataclasses import dataclass
from math import exp, expm1, inf, log
from typing import Final, Literal, NamedTuple, get_args

import numpy as np
from scipy.signal import lfilter

from programming.calc.arrays import FloatArray

Convention = Literal["inclusive", "exclusive"]
CONVENTIONS: Final[tuple[Convention, ...]] = get_args(Convention)
MEANING: Final = "illustrative: constants from the literature, not of this athlete"
SOURCE: Final = "Morton, Fitz-Clarke & Banister 1990, J Appl Physiol 69(3):1171-1177"


@dataclass(frozen=True)
class Constants:
    """tau in days, k without unit, start in AU. Raises ValueError unless tau_fitness > tau_fatigue > 0 and k >= 0."""

    tau_fitness: float = 45.0
    tau_fatigue: float = 15.0
    k_fitness: float = 1.0
    k_fatigue: float = 2.0
    start: float = 0.0

    def __post_init__(self) -> None:
        if not inf > self.tau_fitness > self.tau_fatigue > 0.0:
            raise ValueError("fitness must last longer than fatigue, and both longer than 0 days")
        if not (0.0 <= self.k_fitness < inf and 0.0 <= self.k_fatigue < inf and abs(self.start) < inf):
            raise ValueError("k must be at least 0, and all numbers finite")


MORTON_1990: Final = Constants()


class Course(NamedTuple):
    """Of each day (D,), in AU."""

    fitness: FloatArray
    fatigue: FloatArray
    performance: FloatArray


class Turning(NamedTuple):
    """Days before an event: later loads than `neutral` lower it, loads at `greatest` raise it most; 0 where no load
    lowers it."""

    neutral: float
    greatest: float


def course(
    loads: FloatArray, constants: Constants = MORTON_1990, convention: Convention = "inclusive"
) -> Course:
    """Of daily loads (D,) in AU, nothing having been done before. Raises ValueError for loads below 0."""
    if convention not in CONVENTIONS:
        raise ValueError(f"unknown convention {convention!r}")
    if not np.all(np.isfinite(loads) & (loads >= 0.0)):
        raise ValueError("loads must be at least 0 and finite")
    fitness, fatigue = (
        _faded_sum(loads, tau, convention) for tau in (constants.tau_fitness, constants.tau_fatigue)
    )
    told = constants.start + constants.k_fitness * fitness - constants.k_fatigue * fatigue
    return Course(fitness, fatigue, told)


def _faded_sum(loads: FloatArray, tau: float, convention: Convention) -> FloatArray:
    kept = exp(-1.0 / tau)
    onto = [1.0] if convention == "inclusive" else [0.0, kept]
    total: FloatArray = lfilter(onto, [1.0, -kept], loads)
    return total


def steady(load: float, tau: float, convention: Convention = "inclusive") -> float:
    """What g or h comes to under the same load every day [AU]."""
    inclusive = load / -expm1(-1.0 / tau)
    return inclusive if convention == "inclusive" else inclusive - load


def influence(days_before: FloatArray, constants: Constants = MORTON_1990) -> FloatArray:
    """L(u): what a load of 1 AU so many days (U,) before an event does there."""
    raised = constants.k_fitness * np.exp(-days_before / constants.tau_fitness)
    told: FloatArray = raised - constants.k_fatigue * np.exp(-days_before / constants.tau_fatigue)
    return told


def turning(constants: Constants = MORTON_1990) -> Turning | None:
    """t_n and t_g [days]; None where either k is 0, since then there is nothing to weigh up."""
    if constants.k_fitness == 0.0 or constants.k_fatigue == 0.0:
        return None
    slow, quick = constants.tau_fitness, constants.tau_fatigue
    span, share = slow * quick / (slow - quick), constants.k_fatigue / constants.k_fitness
    return Turning(max(span * log(share), 0.0), max(span * log(share * slow / quick), 0.0))
