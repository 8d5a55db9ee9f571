"""What a plan is to make small, and the official scores of runs."""

from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray, IntArray, compiled, inlined
from programming.calc.rule_codes import RuleCodes
from programming.calc.stepper import official_amount, official_seconds
from scoring.calc.items import (
    BY_INTERVALS,
    BY_LOAD,
    BY_SMALLEST,
    BY_TIME,
)
from scoring.calc.simulation import Runs

NO_MARK: Final = -1000.0  # below any load less any assistance


@inlined
def loss_of(
    codes: RuleCodes, objective: int, total: float, elapsed_s: float, breaks: int, done: float, moved: float,
    rounds: int, smallest: float, heaviest: float,
) -> float:  # fmt: skip
    """What a plan is to make small: the projected time, or the score with its sign turned."""
    if objective == BY_TIME:
        if total < np.inf:
            # Of several units the part that is done is that of the rounds, and the least of it a hundredth.
            part, least = (done, 0.01 * total) if codes.by_progress else (moved, 1.0)
            left = (total - part) * elapsed_s / max(part, least)
            return official_seconds(codes, elapsed_s, breaks) + max(0.0, left)
        return -done if codes.by_progress else -moved
    tie = 1e-6 * elapsed_s
    if objective == BY_LOAD:
        return tie - max(heaviest, NO_MARK)
    if objective == BY_INTERVALS:
        return tie - rounds
    if objective == BY_SMALLEST:
        return tie - smallest
    return tie - official_amount(codes, done, breaks)


@compiled
def losses(codes: RuleCodes, objective: int, total: float, runs: Runs) -> FloatArray:
    """(N,) of runs; only for comparing plans: unfinished work has no official score."""
    found = np.zeros(len(runs.elapsed_s))
    for n in range(len(found)):
        found[n] = loss_of(
            codes, objective, total, runs.elapsed_s[n], runs.breaks[n], runs.done[n], runs.moved[n],
            runs.rounds[n], runs.smallest[n], runs.heaviest[n],
        )  # fmt: skip
    return found


@compiled
def official_times(codes: RuleCodes, elapsed_s: FloatArray, breaks: IntArray) -> FloatArray:
    """The official scores (N,) of finished work for time."""
    found = np.zeros(len(elapsed_s))
    for n in range(len(elapsed_s)):
        found[n] = official_seconds(codes, elapsed_s[n], breaks[n])
    return found


@compiled
def official_amounts(codes: RuleCodes, done: FloatArray, breaks: IntArray) -> FloatArray:
    """The official scores (N,) of amounts."""
    found = np.zeros(len(done))
    for n in range(len(done)):
        found[n] = official_amount(codes, done[n], breaks[n])
    return found
