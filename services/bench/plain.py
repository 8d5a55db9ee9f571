"""The same tasks written the plain way, in Python alone: what a first version would do, for comparison.

Both follow the model step by step and leave out what makes the service's answers better: the filter reads each sight
once, from before, with a fixed grid of k; the pacing tries every pair of options with every policy.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from athletes.calc.capacity import Observation
from athletes.calc.columns import as_history
from athletes.calc.constants import DRIFT_VARIANCE_PER_DAY, SMALLEST_LOAD_SD
from programming.calc.prior import Prior

NODES: Final = 15
POINTS: Final = 31
SPAN: Final = 4.5
SCENARIOS: Final = 32
SHARES: Final = (0.6, 0.7, 0.8, 0.9, 1.0)
RESTS_S: Final = (20.0, 40.0, 60.0, 90.0, 150.0)
REPETITION_S: Final = 2.0
TRANSITION_S: Final = 5.0
TAU_FAST_S, TAU_SLOW_FIRST_S, TAU_SLOW_S = 21.5, 388.0, 716.0


def plain_choice(fresh: Sequence[Sequence[float]], lower: float, upper: float, written: int | None) -> int:
    """Which option's first set misses its window by least, expected over the scenarios; fresh: of each option."""
    losses = []
    for number, draws in enumerate(fresh):
        total = 0.0
        for available in draws:
            whole, scale = math.floor(available), (lower + upper) / 2.0
            total += 3.0 * max(lower - whole, 0.0) / scale + max(whole - upper, 0.0) / scale
        losses.append(total / len(draws) + (0.0 if number == written else 0.03))
    return min(range(len(losses)), key=losses.__getitem__)


def plain_capacity(prior: Prior, observations: Sequence[Observation]) -> float:
    """Posterior mean of ln L10 on the day of the last sight; of a prior without asymptote."""
    sights = list(zip(*(column.tolist() for column in as_history(observations)), strict=True))
    total, mean = 0.0, 0.0
    told = []
    for node in range(NODES):
        z = SPAN * (2.0 * node / (NODES - 1) - 1.0)
        told.append(_at_fall_off(math.exp(prior.log_k + prior.log_k_sd * z), prior, sights))
        told[-1] = (told[-1][0] - 0.5 * z * z, told[-1][1])
    highest = max(log_weight for log_weight, _ in told)
    for log_weight, centre in told:
        weight = math.exp(log_weight - highest)
        total, mean = total + weight, mean + weight * centre
    return mean / total


def _at_fall_off(k: float, prior: Prior, sights: Sequence[tuple[float, ...]]) -> tuple[float, float]:
    """(ln likelihood, mean of ln L10) at one fall-off: both moments are summed up over points at each sight."""
    log_likelihood, mean, variance = 0.0, prior.log_l10, prior.log_l10_sd**2
    day_before = sights[0][0]
    for day, _, log_load, lower, upper, noise_at, count_sd, load_sd in sights:
        del noise_at  # of a curve without asymptote the slope is k everywhere
        variance += DRIFT_VARIANCE_PER_DAY * (day - day_before)
        day_before = day
        sd, noise = math.sqrt(variance), max(k * count_sd + load_sd, SMALLEST_LOAD_SD)
        low, high = log_load + k * (lower - 10.0), log_load + k * (upper - 10.0)
        zeroth = first = second = norm = 0.0
        for point in range(POINTS):
            z = SPAN * (2.0 * point / (POINTS - 1) - 1.0)
            x = mean + sd * z
            density = math.exp(-0.5 * z * z)
            weight = density * _probability((low - x) / noise, (high - x) / noise)
            norm += density
            zeroth, first, second = zeroth + weight, first + weight * z, second + weight * z * z
        if zeroth <= 0.0:
            return -math.inf, mean
        log_likelihood += math.log(zeroth / norm)
        moved = first / zeroth
        mean, variance = mean + sd * moved, variance * max(second / zeroth - moved * moved, 1e-6)
    return log_likelihood, mean


def _probability(low: float, high: float) -> float:
    """Of a standard normal between two bounds; its density where they are one."""
    if high <= low:
        return math.exp(-0.5 * low * low)
    return 0.5 * (math.erf(high / math.sqrt(2.0)) - math.erf(low / math.sqrt(2.0)))


def plain_pacing(
    fresh: Sequence[Sequence[Sequence[float]]], multiplier: Sequence[float], amount: int, penalty_s: float
) -> float:
    """The least mean official time in s of two items in turns, over every pair of options and every policy.

    fresh: of each item, each option, the repetitions in each scenario.
    """
    best = math.inf
    for one in fresh[0]:
        for other in fresh[1]:
            for share in SHARES:
                for rest_s in RESTS_S:
                    total = 0.0
                    for n in range(SCENARIOS):
                        total += _turns((one[n], other[n]), multiplier[n], amount, penalty_s, share, rest_s)
                    best = min(best, total / SCENARIOS)
    return best


def _turns(
    fresh: tuple[float, float], multiplier: float, amount: int, penalty_s: float, share: float, rest_s: float
) -> float:
    """Official time in s: sets of a share of what is there, each break in a set costing the penalty."""
    left, fast, slow = [amount, amount], [0.0, 0.0], [0.0, 0.0]
    ended, rests, clock, official, item = [0.0, 0.0], [0, 0], 0.0, 0.0, 0
    while left[0] or left[1]:
        if not left[item]:
            item = 1 - item
        begun = left[item] < amount
        start = max(clock + TRANSITION_S, ended[item] + rest_s) if begun else clock + TRANSITION_S
        while True:
            away = start - ended[item]
            tau = TAU_SLOW_FIRST_S if rests[item] <= 1 else TAU_SLOW_S
            now_fast = fast[item] * math.exp(-away / TAU_FAST_S)
            now_slow = slow[item] * math.exp(-away / tau)
            there = fresh[item] - now_fast - now_slow
            if there >= 1.0 or start > 14_400.0:
                break
            start += 5.0
        if start > 14_400.0:
            return 14_400.0
        size = left[item] if there >= left[item] else min(left[item], max(1, int(share * there)))
        fast[item], slow[item] = _tired(now_fast, now_slow, fresh[item], multiplier, size)
        clock = start + REPETITION_S * size
        left[item] -= size
        ended[item], rests[item] = clock, rests[item] + 1
        if left[item]:
            official += penalty_s
            item = 1 - item
    return clock + official


def _tired(fast: float, slow: float, fresh: float, multiplier: float, size: int) -> tuple[float, float]:
    for _ in range(size):
        depth = (fast + slow + 1.0) / fresh
        to_slow = min(1.0, multiplier * (0.30 + depth**5))
        to_slow = max(0.0, min(to_slow, 0.9 * fresh - slow))
        fast, slow = fast + 1.0 - to_slow, slow + to_slow
    return fast, slow


def plain_load(loads: Sequence[float]) -> float:
    """The weighted mean of the last day; weeks, months and their SDs are summed anew for each day before it."""
    acute = chronic = loads[0]
    told: list[tuple[float, float, float]] = []
    for day in range(1, len(loads)):
        acute, chronic = 0.25 * loads[day] + 0.75 * acute, (2.0 * loads[day] + 27.0 * chronic) / 29.0
        if day >= 27:
            week, month = loads[day - 6 : day + 1], loads[day - 27 : day + 1]
            mean = sum(week) / 7.0
            sd = math.sqrt(sum((load - mean) ** 2 for load in week) / 7.0)
            told.append((mean, sd, sum(month) / 28.0))
    return chronic if told else 0.0


def pandas_load(loads: Sequence[float]) -> float:
    """The same by pandas, which is no dependency of the service: of the tests alone."""
    import pandas as pd

    series = pd.Series(loads)
    for days in (7, 21, 28):
        series.rolling(days).mean()
    series.rolling(7).std(ddof=0)
    series.ewm(span=7, adjust=False).mean()
    return float(series.ewm(span=28, adjust=False).mean().iloc[-1])
